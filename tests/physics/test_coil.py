"""The winding in air: convergence, limits, scaling, and two independent roads to the same figure."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.constants import mu_0

from pickupcalc.physics.winding.coil import self_inductance
from pickupcalc.physics.winding.coil_field import field, mutual_inductance, ring_average, vector_potential
from pickupcalc.physics.winding.geometry import Winding

RACETRACK = Winding(58e-3, 3.4e-3, 3.6e-3, 9e-3, 9000)
ROUND = Winding(0.0, 3.4e-3, 3.6e-3, 9e-3, 9000)
SHAPES = [
    RACETRACK, ROUND, Winding(55e-3, 2.5e-3, 3.2e-3, 11e-3, 7900), Winding(30e-3, 2e-3, 9e-3, 2e-3, 5000),
    Winding(0.0, 1e-3, 10e-3, 1e-3, 100), Winding(2e-3, 5e-3, 0.2e-3, 20e-3, 100),
]  # fmt: skip


@pytest.mark.parametrize("coil", SHAPES)
def test_converges_to_a_hundred_thousandth(coil):
    fine = self_inductance(coil, order=28)
    errors = [abs(self_inductance(coil, order=n) / fine - 1) for n in (6, 10, 14)]
    assert errors[1] < 1e-5
    assert errors[2] < 1e-6
    assert errors[2] <= errors[0]


@given(st.floats(0.2, 5.0), st.integers(1, 20000))
def test_scales_with_size_and_turns_squared(size, turns):
    scaled = Winding(58e-3 * size, 3.4e-3 * size, 3.6e-3 * size, 9e-3 * size, turns)
    expected = self_inductance(RACETRACK) * size * (turns / 9000) ** 2
    assert self_inductance(scaled) == pytest.approx(expected, rel=1e-9)


def test_a_short_straight_part_joins_on_smoothly():
    step = self_inductance(replace(ROUND, straight=1e-5)) - self_inductance(ROUND)
    next_step = self_inductance(replace(ROUND, straight=2e-5)) - self_inductance(ROUND)
    assert next_step / step == pytest.approx(2.0, rel=5e-3)


def test_more_of_anything_is_more():
    base = self_inductance(RACETRACK)
    for key in ("straight", "inner_radius", "turns"):
        assert self_inductance(replace(RACETRACK, **{key: 1.05 * getattr(RACETRACK, key)})) > base
    assert self_inductance(replace(RACETRACK, height=1.05 * RACETRACK.height)) < base


def test_two_halves_make_the_whole():
    """Self-inductances of the lower and upper half and their mutual inductance add up to the coil's."""
    half = replace(RACETRACK, height=4.5e-3, turns=4500)
    total = 2 * self_inductance(half) + 2 * mutual_inductance(half, half, lift=4.5e-3)
    assert total == pytest.approx(self_inductance(RACETRACK), rel=4e-3)  # the halves touch: few points there


def test_field_is_the_curl_of_the_vector_potential():
    points = np.array([[3e-3, 1e-3, 2e-3], [30e-3, 1e-3, -3e-3], [10e-3, 1e-3, 8e-3], [31e-3, 9e-3, 1e-3]])
    step = 1e-6
    for x, y, z in points:

        def a(dx=0.0, dy=0.0, dz=0.0, x=x, y=y, z=z):
            return np.array(vector_potential(RACETRACK, *(np.array([v]) for v in (x + dx, y + dy, z + dz))))[
                :, 0
            ]

        ddx, ddy, ddz = ((a(**{k: step}) - a(**{k: -step})) / (2 * step) for k in ("dx", "dy", "dz"))
        curl = np.array([-ddz[1], ddz[0], ddx[1] - ddy[0]])
        b = mu_0 * np.array(field(RACETRACK, *(np.array([v]) for v in (x, y, z))))[:, 0]
        np.testing.assert_allclose(b, curl, rtol=1e-5, atol=1e-7 * abs(curl).max())


def test_ring_average_holds_the_flux_through_the_ring():
    rho, z, x = 2.4e-3, 3e-3, 20e-3
    u, w = np.polynomial.legendre.leggauss(20)
    r, phi = rho * (u + 1) / 2, 2 * np.pi * np.arange(32) / 32
    px, py = x + r[:, None] * np.cos(phi), r[:, None] * np.sin(phi)
    hz = field(RACETRACK, px, py, np.full_like(px, z))[2]
    flux = mu_0 * (hz.mean(-1) * 2 * np.pi * r * rho / 2 * w).sum()
    a = ring_average(RACETRACK, x, np.array([rho]), np.array([z]))[0]
    assert 2 * np.pi * rho * a == pytest.approx(flux, rel=1e-6)


def test_mutual_inductance_is_symmetric_and_turns_negative_beside():
    other = Winding(40e-3, 4e-3, 2e-3, 5e-3, 1000, y=20e-3)
    forth = mutual_inductance(other, RACETRACK)
    back = mutual_inductance(replace(RACETRACK, y=-20e-3), replace(other, y=0.0))
    assert forth == pytest.approx(back, rel=1e-4)
    assert forth < 0 < mutual_inductance(replace(other, y=0.0), RACETRACK, lift=20e-3)


def test_far_apart_two_coils_are_dipoles():
    far = replace(RACETRACK, y=1.5)
    inner, build = RACETRACK.inner_radius, RACETRACK.build
    arcs = np.pi * (inner**2 + inner * build + build**2 / 3)  # averaged over the build
    moment = RACETRACK.turns * (2 * RACETRACK.straight * (inner + build / 2) + arcs)
    assert mutual_inductance(far, RACETRACK) == pytest.approx(
        -mu_0 * moment**2 / (4 * np.pi * 1.5**3), rel=3e-3
    )
