"""Keepers against finite elements, the method of images (magpylib), and published values of blocks."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from pickupcalc.parts.magnets import BarUnderPoles, TwinCoil
from pickupcalc.physics.magnetism.assembly import Assembly
from pickupcalc.physics.magnetism.pieces import block, rods
from pickupcalc.physics.magnetism.steel_plates import SteelPlate
from tests.physics.straight_curves import magnetise

magpylib = pytest.importorskip("magpylib")

SUBJECT = "magnets"
STORED = tomllib.loads((Path(__file__).parents[2] / "data/checks/keepers_fem.toml").read_text())["case"]
ON_STRIPS = [case for case in STORED if "strip" in case["name"]]
ON_A_PLATE = [case for case in STORED if "plate" in case["name"]]
FEM = {"source": "scikit-fem, quadratic hexahedra", "status": "another program", "unit": "T"}
HEIGHTS = np.array([2e-3, 4e-3, 8e-3])


def permeability(case):
    return str(case["permeability"])


def field_above(magnets, case, permanent, chi, y, level):
    """Bz in T as the case has it, of a magnet with a straight curve, whatever the table says."""
    nodes, weights = np.polynomial.legendre.leggauss(3)
    z = level + HEIGHTS[:, None] + 5e-4 * nodes
    points = np.stack([0 * z, y + 0 * z, z], axis=-1)
    lying = magnets.work().assembly
    steel = tuple(replace(plate, permeability=case["permeability"]) for plate in lying.answering)
    assembly = Assembly(lying.groups, steel)
    every = np.ones(assembly.count)
    m = magnetise(assembly, permanent=permanent * every, susceptibility=chi * every, applied=0 * every)
    return assembly.field(points, m)[..., 2] @ weights / 2


@pytest.mark.parametrize("case", ON_STRIPS, ids=permeability)
def test_poles_on_strips_against_finite_elements(outside, case):
    strip = {"length": "12 mm", "width": "6 mm"}
    twin = TwinCoil(count=1, bar_length="12 mm", bar_thickness="3.2 mm", keeper=strip)
    ours = field_above(twin, case, 1e6, 2.6, 0.009, 0.0)
    outside("field above a pole on a keeper strip", ours=ours, theirs=case["field_t"], rtol=0.06, **FEM)


@pytest.mark.parametrize("case", ON_A_PLATE, ids=permeability)
def test_a_plate_beneath_a_block_against_finite_elements(outside, case):
    plate = {"length": "30 mm", "width": "20 mm", "thickness": "3 mm"}
    size = {"bar_length": "24 mm", "bar_width": "12 mm", "bar_thickness": "5 mm"}
    ours = field_above(BarUnderPoles(loose=True, **size, keeper=plate), case, 3e5, 0.08, 0.0, -0.01705)
    outside("field above a block on a keeper plate", ours=ours, theirs=case["field_t"], rtol=0.04, **FEM)


@pytest.mark.long
@pytest.mark.parametrize("case", STORED, ids=lambda c: f"{c['name']}, {c['permeability']}")
def test_stored_finite_elements_again(case):
    """On a coarser mesh, some three minutes each; results of the finer one are kept in data/checks."""
    fem = pytest.importorskip("tests.outside.keeper_fem", reason="scikit-fem is not installed")
    field, _ = fem.CASES[case["name"]](case["permeability"], 1.2e-3)
    assert field == pytest.approx(case["field_t"], rel=3e-3)


@pytest.mark.parametrize("kind", ["cylinder", "block"])
def test_a_large_plate_mirrors_a_magnet(outside, kind):
    """Method of images: (mu - 1)/(mu + 1) of the magnet stands as far below the surface (textbook)."""
    gap, tall, permeability = 5e-5, 0.01, 150.0
    size = (0.012, 0.008, tall)
    if kind == "cylinder":
        magnet = rods([(0.0, 0.0)], bottom=gap, top=gap + tall, radius=2.4e-3, slices=1)
        theirs = magpylib.magnet.Cylinder(dimension=(4.8e-3, tall), magnetization=(0, 0, 1e6))
        lies = {"feet": ((0.0, 0.0),), "radius": 2.4e-3}
    else:
        magnet = block((0, 0, gap + tall / 2), size, cut=(1, 1, 1), axes=(2,))
        theirs = magpylib.magnet.Cuboid(dimension=size, magnetization=(0, 0, 1e6))
        lies = {"lines": ((-0.006, 0.006), (-0.004, 0.004))}
    plate = SteelPlate((0.0, 0.0, -5e-3), (0.06, 0.06, 0.01), permeability, **lies)
    points = np.array([(0, 0, z) for z in (0.011, 0.012, 0.014)] + [(0.005, 0.005, 0.012)])
    ours = Assembly((magnet,), (plate,)).field(points, np.array([1e6]))
    mirror = theirs.copy(position=(0, 0, -gap - tall / 2))
    theirs.position = (0, 0, gap + tall / 2)
    strength = (permeability - 1) / (permeability + 1)
    expected = theirs.getB(points) + strength * mirror.getB(points)
    outside(
        "field above a magnet on a large keeper plate",
        source="magpylib, and the method of images",
        status="another program",
        ours=ours,
        theirs=expected,
        of=np.linalg.norm(expected, axis=1, keepdims=True),
        rtol=0.01,
        unit="T",
    )


def moment(plate, axis):
    """Magnetic moment of a plate over its volume, per unit of a uniform field along an axis."""
    applied = plate.directions[..., axis].mean(axis=1)
    strong = plate.susceptibility
    charge = np.linalg.solve(np.eye(plate.count) - strong[:, None] * plate.own(), strong * applied)
    assert abs(charge @ plate.areas) < 1e-9 * (abs(charge) @ plate.areas)
    return (charge * plate.areas) @ (plate.centres - plate.centre)[:, axis] / np.prod(plate.size)


# A. Aharoni, J. Appl. Phys. 83 (1998) 3432, his closed form: along x, y, z.
@pytest.mark.parametrize(
    ("size", "factors"),
    [
        ((0.02, 0.02, 0.02), (1 / 3, 1 / 3, 1 / 3)),
        ((0.06, 0.006, 0.0032), (0.0329, 0.3513, 0.6158)),
        ((0.06, 0.02, 0.003), (0.0473, 0.1484, 0.8042)),
    ],
)
def test_weakly_permeable_blocks_have_published_demagnetising_factors(outside, size, factors):
    plate = SteelPlate((0.0, 0.0, 0.0), size, 1.2, step=4e-3, layers=4)
    expected = [0.2 / (1 + 0.2 * n) for n in factors]
    outside(
        "moment of a weakly permeable block in a uniform field",
        source="A. Aharoni, J. Appl. Phys. 83 (1998) 3432",
        status="published",
        ours=[moment(plate, axis) for axis in range(3)],
        theirs=expected,
        rtol=0.025,
    )


def test_highly_permeable_cube(outside):
    """Polarisability of a perfectly conducting or permeable cube over its volume: 3.6442.

    A. Sihvola et al., IEEE Trans. Antennas Propag. 52 (2004) 2226.
    """
    cube = SteelPlate((0.0, 0.0, 0.0), (0.02, 0.02, 0.02), 1e5, step=3e-3, layers=7)
    outside(
        "moment of a highly permeable cube in a uniform field",
        source="A. Sihvola et al., IEEE Trans. Antennas Propag. 52 (2004) 2226",
        status="from memory",
        ours=moment(cube, 2),
        theirs=3.6442,
        rtol=0.08,
    )
