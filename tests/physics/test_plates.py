"""Plates and bars on a grid: closed forms against quadrature, discs against the exact solution, slots."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.constants import mu_0

from pickupcalc.physics.winding.field_problem import FieldProblem
from pickupcalc.physics.winding.geometry import Rods, Sheet, Slot, Winding
from pickupcalc.physics.winding.potentials import (
    box_potential,
    rectangle_angle,
    rectangle_potential,
    tape_mutual,
)
from pickupcalc.physics.winding.sheets import Net

ROUND = Winding(0.0, 3.4e-3, 3.6e-3, 9e-3, 9000)
RACETRACK = Winding(55e-3, 2.5e-3, 3.2e-3, 11e-3, 7900)
COVER = Sheet(70e-3, 20e-3, 0.5e-3, 9.5e-3, 1.0, 15e6)


def test_strips_against_quadrature():
    x, w = np.polynomial.legendre.leggauss(16)
    x, w = (x + 1) / 2, w / 2
    a, b, dx, dy, z = 2.0, 1.0, 3.0, 1.5, 0.7
    p, q, r, s = np.meshgrid(x, x, x, x, indexing="ij")
    weight = np.einsum("i,j,k,l->ijkl", w, w, w, w)
    distance = np.sqrt((dx + a * (p - q)) ** 2 + (dy + b * (r - s)) ** 2 + z * z)
    expected = mu_0 / (4 * np.pi) * a * a * (weight / distance).sum()
    assert tape_mutual(a, b, np.array(dx), np.array(dy), z) == pytest.approx(expected, rel=1e-9)


def test_a_square_strip_on_itself():
    """Mean of 1/R over a unit square twice: (4/3)(1 - sqrt 2) + 4 asinh 1 = 2.9732..., a known integral."""
    known = 4 * np.arcsinh(1.0) - 4 / 3 * (np.sqrt(2) - 1)
    found = tape_mutual(1.0, 1.0, np.zeros(1), np.zeros(1), 0.0)[0]
    assert found == pytest.approx(mu_0 / (4 * np.pi) * known, rel=1e-12)


def test_potentials_of_flat_and_solid_boxes():
    far = box_potential(*(np.array([v]) for v in (5.0, 4.0, 3.0)), 0.1, 0.2, 0.3)[0]
    assert far == pytest.approx(0.1 * 0.2 * 0.3 / np.sqrt(50), rel=1e-3)
    thin = box_potential(*(np.array([v]) for v in (0.3, 0.2, 0.5)), 1.0, 0.6, 1e-3)[0] / 1e-3
    flat = rectangle_potential(np.array([0.3]), np.array([0.2]), 0.5, 1.0, 0.6)[0]
    assert thin == pytest.approx(flat, rel=1e-5)
    # middle of a unit cube: 2.380077..., from the closed form 3 asinh-type integral, checked by quadrature
    assert box_potential(np.zeros(1), np.zeros(1), np.zeros(1), 1.0, 1.0, 1.0)[0] == pytest.approx(
        2.38008, abs=1e-5
    )


def test_in_the_plane_of_a_rectangle_the_limits_are_finite():
    middle, beside = np.zeros(1), np.array([3.0])
    assert rectangle_potential(middle, middle, 0.0, 1.0, 1.0)[0] == pytest.approx(4 * np.arcsinh(1.0))
    assert rectangle_angle(middle, middle, 1e-9, 1.0, 1.0)[0] == pytest.approx(2 * np.pi, rel=1e-6)
    assert rectangle_angle(beside, middle, 0.0, 1.0, 1.0)[0] == pytest.approx(0, abs=1e-10)


# A disc on the grid against the same disc solved exactly, coil alone and with a rod: how good plates are.
@pytest.mark.parametrize(
    ("mu", "sigma", "thick", "gap", "tolerance"),
    [
        (1.0, 15e6, 0.5e-3, 1.0e-3, 0.08),
        (1.0, 3.4e6, 0.5e-3, 1.0e-3, 0.08),
        (4.0, 2e6, 1.0e-3, 1.0e-3, 0.05),
        (100.0, 6e6, 0.5e-3, 1.25e-3, 0.05),
        (100.0, 6e6, 1.0e-3, 1.0e-3, 0.05),
    ],
)
def test_disc_on_the_grid(mu, sigma, thick, gap, tolerance):
    disc = Sheet(30e-3, 30e-3, thick, -4.5e-3 - gap - thick / 2, mu, sigma, (), True)
    hertz = np.array([100.0, 1e3, 5e3, 20e3])
    air = FieldProblem(ROUND).air_inductance
    exact = FieldProblem(ROUND, None, (disc,)).linkages(hertz) - air
    grid = FieldProblem(ROUND, None, (disc,), exact_discs=False).linkages(hertz) - air
    np.testing.assert_array_less(abs(grid - exact), tolerance * abs(exact) + 1e-9)
    np.testing.assert_allclose(grid.imag, exact.imag, rtol=1.6 * tolerance)


def test_cover_lowers_inductance_and_adds_resistance():
    hertz = np.geomspace(20, 20e3, 14)
    rods = Rods(6, 4.8e-3, 17e-3, 10.4e-3, 0.0, 3.6, 2.1e6)
    bare = FieldProblem(RACETRACK, rods).linkages(hertz)
    covered = FieldProblem(RACETRACK, rods, (COVER,)).linkages(hertz)
    assert np.all(covered.real < bare.real)
    assert np.all(covered.imag < bare.imag)


def test_grid_is_fine_enough():
    def loss(cells):
        sheet = replace(COVER)
        object.__setattr__(sheet, "cells", cells)
        net = Net(sheet)
        m, omega = net.flux_of_coil(RACETRACK), 2 * np.pi * 3e3
        return m @ np.linalg.solve(net.resistance + 1j * omega * net.inductance, -1j * omega * m)

    usual = loss(COVER.cells)
    fine = loss((56, 20))
    assert abs(usual - fine) < 0.03 * abs(fine)


def test_slots_break_the_currents():
    hertz = 3e3
    air = FieldProblem(RACETRACK).air_inductance

    def loss(*slots):
        sheet = Sheet(70e-3, 20e-3, 0.5e-3, 9.5e-3, 1.0, 15e6, slots)
        return -(FieldProblem(RACETRACK, None, (sheet,)).linkage(hertz) - air).imag

    whole = loss()
    to_the_middle = loss(Slot("width", 0.0, 0.0, 10e-3))
    across = loss(Slot("width", 0.0, -10e-3, 10e-3))
    lengthwise = loss(Slot("length", 0.0, -35e-3, 35e-3))
    assert lengthwise < across < to_the_middle < whole * 1.0001
    inside = loss(Slot("length", 0.0, -10e-3, 10e-3))
    assert inside == pytest.approx(
        whole, rel=0.1
    )  # a slot where the currents go round leaves them nearly alone


def test_a_bar_of_ferrite_adds_a_little_and_steel_more():
    rods = Rods(6, 4.8e-3, 17e-3, 10.4e-3, 0.0, 4.0, 0.0)

    def gain(mu):
        bar = Sheet(60e-3, 12e-3, 5e-3, -8.5e-3 - 2.5e-3 - 2e-5, mu, 0.0)
        return FieldProblem(RACETRACK, rods, (bar,)).linkage(0.0).real

    alone = FieldProblem(RACETRACK, rods).linkage(0.0).real
    ferrite, soft, softer = gain(1.1), gain(4.0), gain(50.0)
    assert alone < ferrite < 1.02 * alone
    assert ferrite < soft < softer < 1.3 * alone


def test_two_plates_shield_more_than_one():
    base = Sheet(60e-3, 18e-3, 1.0e-3, -9e-3, 1.0, 3.4e6)
    one = FieldProblem(RACETRACK, None, (COVER,)).linkage(5e3)
    two = FieldProblem(RACETRACK, None, (COVER, base)).linkage(5e3)
    assert two.real < one.real


# The same with a rod standing on the disc or close to it: the hardest case for the grid.
@pytest.mark.parametrize("rod", [(4.0, 2e6), (100.0, 6e6)])
@pytest.mark.parametrize(
    ("mu", "sigma", "thick", "gap"),
    [
        (1.0, 15e6, 0.5e-3, 0.75e-3),
        (100.0, 6e6, 1e-3, 2e-5),
        (100.0, 6e6, 1e-3, 1e-3),
        (1.1, 0.0, 5e-3, 2e-5),
    ],
)
def test_disc_on_the_grid_under_a_rod(rod, mu, sigma, thick, gap):
    rods = Rods(1, 5e-3, 16e-3, 0.0, 0.0, *rod)
    disc = Sheet(24e-3, 24e-3, thick, -8e-3 - gap - thick / 2, mu, sigma, (), True)
    hertz = np.array([0.0, 100.0, 1e3, 5e3, 20e3])
    alone = FieldProblem(ROUND, rods).linkages(hertz)
    exact = FieldProblem(ROUND, rods, (disc,)).linkages(hertz) - alone
    grid = FieldProblem(ROUND, rods, (disc,), exact_discs=False).linkages(hertz) - alone
    np.testing.assert_array_less(abs(grid - exact), 0.10 * abs(exact) + 1e-9)
