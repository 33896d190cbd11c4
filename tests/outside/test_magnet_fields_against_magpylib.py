"""Closed-form fields against magpylib (M. Ortner and L. G. C. Bandeira, SoftwareX 11 (2020) 100466)."""

from __future__ import annotations

import magpylib
import numpy as np
import pytest
from scipy.constants import mu_0

from pickupcalc.parts.jig import Blocks
from pickupcalc.parts.magnets import BarUnderPoles, Rods
from pickupcalc.physics.magnetism.assembly import Assembly
from pickupcalc.physics.magnetism.magnets import block_h
from pickupcalc.physics.magnetism.pieces import block, rods

SUBJECT = "magnets"


def fields(ours, theirs, unit, rtol):
    """Two fields to compare: each component, as a fraction of the field's size there."""
    size = np.linalg.norm(theirs, axis=-1, keepdims=True)
    program = {"source": "magpylib", "status": "another program"}
    return program | {"ours": ours, "theirs": theirs, "of": size, "rtol": rtol, "unit": unit}


def rod(points, radius, length):
    """B/mu_0 of a rod of 1 A/m about the origin, in one slice."""
    slices = rods([(0.0, 0.0)], bottom=-length / 2, top=length / 2, radius=radius, slices=1)
    return slices.b_over_mu0(points, np.ones(1))


def rod_of_magpylib(points, radius, length):
    return (
        magpylib.magnet.Cylinder(dimension=(2 * radius, length), magnetization=(0, 0, 1)).getB(points) / mu_0
    )


@pytest.fixture(scope="module")
def points():
    return np.random.default_rng(3).uniform(-0.06, 0.06, (3000, 3))


@pytest.mark.parametrize(("radius", "length"), [(0.0024, 0.017), (0.005, 0.003), (0.03, 0.05)])
def test_cylinder_inside_and_out(points, radius, length, outside):
    ours, theirs = rod(points, radius, length), rod_of_magpylib(points, radius, length)
    outside("field of a cylinder, inside and out", **fields(ours, theirs, "A/m", 1e-10))


@pytest.mark.parametrize("axis", range(3))
@pytest.mark.parametrize("size", [(0.06, 0.012, 0.005), (0.01, 0.01, 0.01), (0.002, 0.05, 0.03)])
def test_block_inside_and_out(points, size, axis, outside):
    theirs = magpylib.magnet.Cuboid(dimension=size, magnetization=np.eye(3)[axis]).getH(points)
    outside(
        "field of a block, inside and out", **fields(block_h(points, size)[..., axis], theirs, "A/m", 1e-11)
    )


def test_special_places(outside):
    """On the axis, on the prolonged side, in the mid-plane and in a block's planes and lines."""
    places = np.array([[0, 0, 0.02], [0, 0, 0.0], [0.0024, 0, 0.012], [0.01, 0, 0], [0.0024, 0, -0.0086]])
    ours, theirs = rod(places, 0.0024, 0.017), rod_of_magpylib(places, 0.0024, 0.017)
    outside("field of a cylinder on its axis and beside its edges", **fields(ours, theirs, "A/m", 1e-7))
    places = np.array([[0.03, 0.006, 0.02], [0.03, 0.02, 0.0], [0.05, 0.006, 0.0025], [0, 0, 0.01]])
    theirs = magpylib.magnet.Cuboid(dimension=(0.06, 0.012, 0.005), magnetization=(0, 0, 1)).getH(places)
    ours = block_h(places, (0.06, 0.012, 0.005))[..., 2]
    outside("field of a block in the planes of its faces", **fields(ours, theirs, "A/m", 1e-11))


def test_far_field_keeps_its_digits(outside):
    far = np.array([[1.0, 0.3, 0.2], [0.0, 0.5, 0.7]])
    ours, theirs = rod(far, 0.0024, 0.017), rod_of_magpylib(far, 0.0024, 0.017)
    outside("field of a rod a metre away", **fields(ours, theirs, "A/m", 1e-10))


def test_six_rods_over_a_bar(points, outside):
    """The map that the picture shows, B inside the bodies included."""
    places = [(x, 0.0) for x in (np.arange(6) - 2.5) * 0.0104]
    row = rods(places, bottom=-0.017, top=0.0, radius=0.0024, slices=1)
    bar = block((0, 0, -0.0196), (0.06, 0.012, 0.005), cut=(1, 1, 1), axes=(2,))
    ours = Assembly((row, bar)).field(points, np.r_[np.full(6, 5e5), 3e5])
    theirs = magpylib.Collection(
        *[
            magpylib.magnet.Cylinder(
                dimension=(0.0048, 0.017), magnetization=(0, 0, 5e5), position=(x, 0, -0.0085)
            )
            for x, _ in places
        ],
        magpylib.magnet.Cuboid(
            dimension=(0.06, 0.012, 0.005), magnetization=(0, 0, 3e5), position=(0, 0, -0.0196)
        ),
    ).getB(points)
    outside("field map of six rods over a bar", **fields(ours, theirs, "T", 1e-11))


@pytest.mark.parametrize("magnets", [Rods(), BarUnderPoles()], ids=["rods", "bar"])
def test_gap_of_two_blocks(magnets, outside):
    """The jig's field through the gap, block by block with the magnetisation it was given."""
    jig = Blocks(gap="24 mm")
    placed = jig.around(magnets)
    line = np.linspace(-0.011, 0.011, 41)
    middle = placed.assembly.centres.mean(axis=0)
    places = middle + np.stack([0.3 * line, 0.1 * line, line], axis=-1)
    (cells,) = {type(g) for g in placed.assembly.groups}
    theirs = np.zeros(places.shape)
    for group, span in zip(placed.assembly.groups, placed.assembly.spans, strict=True):
        for centre, size, m in zip(group.centre, group.size, placed.magnetisation[span], strict=True):
            source = magpylib.magnet.Cuboid(dimension=size, magnetization=(0, 0, m), position=centre)
            theirs += source.getB(places)
    ours = placed.assembly.field(places, placed.magnetisation)
    outside("field of a reversing jig in its gap", **fields(ours, theirs, "T", 1e-12))
    assert cells.__name__ == "Cells"
    assert np.linalg.norm(ours[20]) > 0.2
    assert abs(placed.magnetisation).max() < 1.33 / mu_0
