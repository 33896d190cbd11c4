"""Poles and discs against finite elements, a printed skin-effect table and demagnetising factors."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest
from scipy.constants import mu_0

from pickupcalc.physics.winding.field_problem import FieldProblem
from pickupcalc.physics.winding.geometry import Rods, Sheet, Winding
from pickupcalc.physics.winding.rods import Body

fem = pytest.importorskip("tests.outside.axisymmetric_fem", reason="scikit-fem is not installed")

SUBJECT = "coils"
SCIKIT_FEM = {
    "source": "scikit-fem, axisymmetric with eddy currents",
    "status": "another program",
    "unit": "H",
}
COIL = (3.4e-3, 3.6e-3, 9e-3, 9000)  # inner radius, build, height, turns
ROUND = Winding(0.0, *COIL)
RADIUS, LENGTH = 2.5e-3, 16e-3
HERTZ = [100.0, 2000.0, 20e3]


@pytest.mark.parametrize(("mu", "sigma"), [(4, 2e6), (100, 6e6), (1000, 0.0)])
@pytest.mark.parametrize("offset", [0.0, 3e-3])
def test_one_rod_in_a_round_coil(mu, sigma, offset, outside):
    """Time-harmonic finite elements (scikit-fem)."""
    hertz = HERTZ if sigma else [0.0]
    body = (RADIUS, offset - LENGTH / 2, offset + LENGTH / 2, mu, sigma)
    expected = fem.inductance(COIL, [body], hertz, finest=8e-5, growth=1.5)
    problem = FieldProblem(ROUND, Rods(1, 2 * RADIUS, LENGTH, 0.0, offset, mu, sigma))
    ours, theirs = (v - problem.air_inductance for v in (problem.linkages(np.array(hertz)), expected))
    outside(
        "inductance that a rod takes or gives", ours=ours.real, theirs=theirs.real, rtol=5e-4, **SCIKIT_FEM
    )
    if sigma:
        outside("losses of a rod, over omega", ours=-ours.imag, theirs=-theirs.imag, rtol=8e-4, **SCIKIT_FEM)


@pytest.mark.parametrize(("mu", "sigma", "thick"), [(1, 15e6, 0.5e-3), (4, 2e6, 1e-3), (100, 6e6, 1e-3)])
def test_disc_under_a_coil_with_a_rod(mu, sigma, thick, outside):
    """The same for a disc under coil and rod."""
    z, wide = -9e-3, 12e-3
    bodies = [(RADIUS, -LENGTH / 2, LENGTH / 2, 4, 2e6), (wide, z - thick / 2, z + thick / 2, mu, sigma)]
    hertz = np.array(HERTZ)
    with_disc = fem.inductance(COIL, bodies, hertz, finest=8e-5, growth=1.5)
    without = fem.inductance(COIL, bodies[:1], hertz, finest=8e-5, growth=1.5)
    rods = Rods(1, 2 * RADIUS, LENGTH, 0.0, 0.0, 4, 2e6)
    disc = Sheet(2 * wide, 2 * wide, thick, z, mu, sigma, (), True)
    found = FieldProblem(ROUND, rods, (disc,)).linkages(hertz) - FieldProblem(ROUND, rods).linkages(hertz)
    changed = with_disc - without
    outside("what a disc under a coil changes", ours=found, theirs=changed, rtol=8e-3, **SCIKIT_FEM)


# Table XXII: x = r sqrt(omega mu sigma), R/R0 and L/L0 of a round wire. A long rod in
# an axial field has mu_eff/mu = 1/(Z/R0), with Z/R0 = R/R0 + j x^2/8 L/L0.
@pytest.mark.parametrize(
    ("x", "resistance", "inductance"),
    [(1.0, 1.00519, 0.99741), (2.0, 1.07816, 0.96113), (3.0, 1.31809, 0.84517), (5.0, 2.04272, 0.55597)],
)
def test_long_rod_follows_the_skin_effect_table(x, resistance, inductance, outside):
    radius, mu, sigma = 2e-3, 3.0, 5e6
    omega = (x / radius) ** 2 / (mu_0 * mu * sigma)
    body = Body(radius, 0.4, order=5, layers=4)
    # the flux through the middle of a very long rod in a uniform field H0 = 1
    applied = mu_0 * body.rho / 2
    y = body.response(mu, sigma, omega)
    a = np.linalg.solve(np.eye(len(y)) - body.own_potential @ y, applied)
    middle = np.argmin(abs(body.height) + 10 * abs(body.rho - radius))
    mean_b = 2 * a[middle] / radius
    expected = mu / (resistance + 1j * x**2 / 8 * inductance)
    outside(
        "permeability of a long conducting rod, by the skin-effect table",
        source="Rosa and Grover, Bull. Bureau Stand. 8 (1912), table XXII",
        status="published",
        ours=mean_b / mu_0,
        theirs=expected,
        rtol=4e-4,
    )


def magnetisation(radius, length, mu):
    """Moment over volume of a rod in a uniform field H0 = 1, and M through its middle section."""
    body = Body(radius, length, order=6, layers=5)
    y = body.response(mu, 0.0, 0.0)
    a = np.linalg.solve(np.eye(len(y)) - body.own_potential @ y, mu_0 * body.rho / 2)
    moment = np.pi * (body.rho @ body.surface_mass @ (y @ a))  # m = (1/2) integral of r x K
    middle = np.argmin(abs(body.height) + 10 * abs(body.rho - radius))
    return moment / (np.pi * radius**2 * length), 2 * a[middle] / radius / mu_0


# Demagnetising factor 1 - K(d/l) for small susceptibility (Moskowitz and Della Torre 1966), K as printed.
@pytest.mark.parametrize(
    ("ratio", "factor"),
    [(0.5, 0.474490), (1, 0.311577), (2, 0.181864), (4, 0.098351), (5, 0.079907), (10, 0.041193)],
)
def test_demagnetising_factor_of_small_susceptibility(ratio, factor, outside):
    chi = 1e-3
    mean, _ = magnetisation(2e-3, 4e-3 * ratio, 1 + chi)
    outside(
        "demagnetising factor of a weakly magnetic pole",
        source="D.-X. Chen, J. A. Brug, R. B. Goldfarb, IEEE Trans. Magn. 27, 3601 (1991), chi to 0",
        status="published",
        ours=1 / mean - 1 / chi,
        theirs=factor,
        rtol=8e-4,
    )


def test_poles_of_a_highly_permeable_rod(outside):
    mean, b = magnetisation(2e-3, 40e-3, 1e4)
    outside(
        "where the poles of a steel rod lie, of half its length",
        source="R. M. Bozorth, D. M. Chapin, J. Appl. Phys. 13, 320 (1942): near 0.7",
        status="published",
        ours=mean / b,
        theirs=0.7,
        rtol=0.08,
        of=1.0,
    )


def recorded():
    return tomllib.loads((Path(__file__).parents[2] / "data/checks/rods_and_discs_fem.toml").read_text())[
        "case"
    ]


@pytest.mark.parametrize("case", recorded(), ids=lambda case: case["name"])
def test_recorded_finite_elements(case, outside):
    """The larger run's kept values."""
    (radius, low, high, mu, sigma), *discs = case["bodies"]
    rods = Rods(1, 2 * radius, high - low, 0.0, (high + low) / 2, mu, sigma)
    sheets = tuple(Sheet(2 * r, 2 * r, b - a, (a + b) / 2, m, s, (), True) for r, a, b, m, s in discs)
    problem = FieldProblem(ROUND, rods, sheets)
    found = problem.linkages(np.array(case["frequencies_hz"]))
    expected = np.array(case["inductance_h"]) - 1j * np.array(case["loss_h"])
    ours, theirs = found - problem.air_inductance, expected - problem.air_inductance
    if discs:
        outside("what rod and disc change, fine meshes", ours=ours, theirs=theirs, rtol=5e-5, **SCIKIT_FEM)
    else:
        outside("what a rod changes, fine meshes", ours=ours, theirs=theirs, rtol=1e-4, **SCIKIT_FEM)


@pytest.mark.long
def test_larger_reference_run():
    """Fine meshes over the whole range; its results are kept in data/checks/rods_and_discs_fem.toml."""
    for case in recorded():
        bodies = [tuple(b) for b in case["bodies"]]
        found = fem.inductance(tuple(case["coil"]), bodies, case["frequencies_hz"], finest=3e-5, growth=1.25)
        np.testing.assert_allclose(found.real, case["inductance_h"], rtol=2e-4)
        np.testing.assert_allclose(-found.imag, case["loss_h"], rtol=2e-3, atol=1e-7)
