"""Fields of hum sources: limits and scaling."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.constants import mu_0

from pickupcalc.physics.measuring.hum_fields import coil_emf, dipole, uniform, wire_pair


def test_dipole_on_and_beside_its_axis():
    """Textbook: mu0 m / (2 pi r^3) on the axis, half of it and turned round beside it."""
    on, beside = dipole([[0, 0, 0.5], [0.5, 0, 0]], [0, 0, 0], [0, 0, 2.0])
    assert on == pytest.approx([0, 0, mu_0 * 2 / (2 * np.pi * 0.5**3)])
    assert beside == pytest.approx([0, 0, -mu_0 * 2 / (4 * np.pi * 0.5**3)])


def test_wire_pair_far_off_falls_with_the_square():
    pair = {"middle": [0, 0, 0], "along": [0, 1, 0], "apart": [0.01, 0, 0], "current": 3.0}
    near, far = np.linalg.norm(wire_pair([[0, 0, 1.0], [0, 0, 2.0]], **pair), axis=-1)
    assert near / far == pytest.approx(4, rel=1e-3)
    assert near == pytest.approx(mu_0 * 3.0 * 0.01 / (2 * np.pi), rel=1e-3)


def test_a_pair_that_ends_is_as_good_as_endless_up_to_a_fourteenth_of_its_length():
    """Biot and Savart for straight pieces of 1 m, beside their middle: mu0 I / (2 pi r) times a cosine."""
    spacing, away = 0.006, 1 / 14
    near, far = away - spacing / 2, away + spacing / 2
    ending = mu_0 / (2 * np.pi) * (0.5 / (near * np.hypot(near, 0.5)) - 0.5 / (far * np.hypot(far, 0.5)))
    endless = wire_pair([0, 0, 0], [away, 0, 0], [0, 1, 0], [spacing, 0, 0], 1.0)
    assert np.linalg.norm(endless) == pytest.approx(ending, rel=0.01)


def test_between_the_wires_both_add():
    field = wire_pair([0, 0, 0], [0, 0, 0], [0, 1, 0], [0.01, 0, 0], 1.0)
    assert np.linalg.norm(field) == pytest.approx(2 * mu_0 / (2 * np.pi * 0.005))


def test_places_broadcast():
    points = np.zeros((4, 2, 3))
    assert uniform(points, [0, 0, 1e-7]).shape == (4, 2, 3)
    assert dipole(points, np.ones((4, 1, 3)), [0, 0, 1]).shape == (4, 2, 3)


def test_emf_of_a_coil():
    """1 uT through 4 m^2 of turns at 50 Hz: 2 pi 50 * 4e-6 = 1.2566 mV; nothing square to the axis."""
    emf = coil_emf([[0, 0, 1e-6], [1e-6, 0, 0]], [0, 0, 1], 4.0, 2 * np.pi * 50)
    assert emf == pytest.approx([1.256637e-3, 0])
