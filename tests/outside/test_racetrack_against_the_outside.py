"""Racetrack coils against filament fields (magpylib) and three-dimensional finite elements."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.constants import mu_0

from pickupcalc.physics.winding.coil import self_inductance
from pickupcalc.physics.winding.coil_field import field, mutual_inductance
from pickupcalc.physics.winding.field_problem import FieldProblem
from pickupcalc.physics.winding.geometry import Rods, Winding

magpylib = pytest.importorskip("magpylib")

SUBJECT = "coils"
MAGPYLIB = {"source": "magpylib, filaments of straight pieces", "status": "another program"}
COIL = Winding(58e-3, 3.4e-3, 3.6e-3, 9e-3, 9000)


def outline(straight, radius, corners=160):
    t = np.linspace(-np.pi / 2, np.pi / 2, corners)
    right = np.stack((straight / 2 + radius * np.cos(t), radius * np.sin(t)), 1)
    loop = np.concatenate((right, -right))
    return np.concatenate((loop, loop[:1]))


def filaments(coil, radial=6, axial=10):
    """Racetrack filaments at Gauss points of the cross-section, each with its share of the turns."""
    x, w = np.polynomial.legendre.leggauss(radial)
    y, v = np.polynomial.legendre.leggauss(axial)
    out = []
    for xi, wi in zip(x, w, strict=True):
        flat = outline(coil.straight, coil.inner_radius + coil.build * (xi + 1) / 2)
        for yi, vi in zip(y, v, strict=True):
            line = np.column_stack((flat, np.full(len(flat), coil.height * yi / 2)))
            out.append(magpylib.current.Polyline(current=coil.turns * wi * vi / 4, vertices=line))
    return out


def test_field_against_straight_filaments(outside):
    points = np.array(
        [[0, 0, 0], [10e-3, 1e-3, 3e-3], [30e-3, 0.5e-3, 8e-3], [5e-3, 9e-3, 7e-3], [0, 0, 12e-3]]
    )
    expected = sum(f.getB(points) for f in filaments(COIL))
    found = mu_0 * np.stack(field(COIL, *points.T), 1)
    whole = abs(expected).max()
    outside(
        "field of a racetrack coil", ours=found, theirs=expected, rtol=2e-5, of=whole, unit="T", **MAGPYLIB
    )


def test_mutual_inductance_against_flux_through_a_second_coil(outside):
    """Flux of magpylib's filaments through racetrack turns of a coil above, on a grid of points."""
    lift = 14e-3
    sources = filaments(COIL, 4, 5)
    upper = Winding(40e-3, 4e-3, 2e-3, 1e-5, 100)
    x, w = np.polynomial.legendre.leggauss(20)
    flux = 0.0
    for place, share in ((0.1127, 5 / 18), (0.5, 8 / 18), (0.8873, 5 / 18)):
        rho = upper.inner_radius + upper.build * place
        t, r = np.pi * (x + 1) / 2 - np.pi / 2, rho * (x + 1) / 2
        sx, sy = np.meshgrid(upper.straight / 2 * x, rho * x, indexing="ij")
        straight_part = np.stack((sx, sy, np.full_like(sx, lift)), -1)
        weights = upper.straight / 2 * rho * np.outer(w, w)
        flux += share * (sum(f.getB(straight_part)[..., 2] for f in sources) * weights).sum()
        tt, rr = np.meshgrid(t, r, indexing="ij")
        end = np.stack((upper.straight / 2 + rr * np.cos(tt), rr * np.sin(tt), np.full_like(rr, lift)), -1)
        weights = np.outer(np.pi / 2 * w, rho / 2 * w) * rr
        flux += share * 2 * (sum(f.getB(end)[..., 2] for f in sources) * weights).sum()
    ours, theirs = mutual_inductance(upper, COIL, lift=lift), upper.turns * flux
    outside(
        "mutual inductance of two racetrack coils", ours=ours, theirs=theirs, rtol=3e-6, unit="H", **MAGPYLIB
    )


# Two dual formulations (reduced scalar potential of order 3, vector potential with edge elements of order 2).
ELEMENTS = {
    "source": "three-dimensional finite elements, general-purpose software",
    "status": "another program",
}


def test_rods_in_a_racetrack_against_three_dimensional_elements(outside):
    """Four rods of 5.0 mm x 16 mm, pitch 19 mm: inductance over that in air."""

    def gain(mu):
        problem = FieldProblem(COIL, Rods(4, 5e-3, 16e-3, 19e-3, 0.0, mu, 0.0))
        return problem.linkage(0.0).real / problem.air_inductance

    outside("gain of magnet rods in a racetrack", ours=gain(4), theirs=1.1963, rtol=5e-5, of=1.0, **ELEMENTS)
    steel = [gain(100), gain(1000)]
    outside(
        "gain of steel rods in a racetrack",
        ours=steel,
        theirs=[1.8705, 1.9645],
        rtol=1.5e-3,
        of=1.0,
        **ELEMENTS,
    )


def test_racetrack_in_air_against_three_dimensional_elements(outside):
    found = self_inductance(COIL)
    outside("inductance of a racetrack in air", ours=found, theirs=3.083, rtol=4e-4, unit="H", **ELEMENTS)


@pytest.mark.parametrize("mu", [4.0, 100.0])
def test_one_rod_in_a_racetrack_against_three_dimensional_elements(mu, outside):
    """scikit-fem's hexahedra, extrapolated."""
    fem = pytest.importorskip("tests.outside.three_dimensional_fem", reason="scikit-fem is not installed")
    short = Winding(20e-3, 3.4e-3, 3.6e-3, 9e-3, 9000)
    expected = fem.extrapolated(lambda points: np.stack(field(short, *points.T), 1), 2.5e-3, 16e-3, mu)
    problem = FieldProblem(short, Rods(1, 5e-3, 16e-3, 0.0, 0.0, mu, 0.0))
    outside(
        "what one rod adds to a racetrack",
        source="scikit-fem, hexahedra, extrapolated",
        status="another program",
        ours=problem.linkage(0.0).real - problem.air_inductance,
        theirs=expected,
        rtol=5e-3,
        unit="H",
    )
