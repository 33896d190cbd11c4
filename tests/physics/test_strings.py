"""Plucked stiff strings: limits, scalings, and what must vanish."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pickupcalc.physics.sound.strings import (
    Losses,
    Wire,
    decay_rates,
    inharmonicity,
    partial_frequencies,
    plucked,
    rigidity,
    sensed,
)

N = np.arange(1, 2001)
WIRE = Wire(diameter=0.4e-3, mass=1e-3, rigidity=2.5e-4, magnetic_area=1.2e-7)
LOSSES = Losses(thermoelastic=2e-4, viscoelastic=4e-3, conductance=5e-4)
inside = st.floats(0.02, 0.98)


@given(at=inside, height=st.floats(1e-4, 5e-3))
def test_partials_add_up_to_the_plucked_shape(at, height):
    x = np.linspace(0, 1, 41)
    shape = plucked(N, at, height) @ np.sin(np.pi * np.outer(N, x))
    triangle = height * np.where(x < at, x / at, (1 - x) / (1 - at))
    assert np.max(np.abs(shape - triangle)) < 0.03 * height


def test_a_wide_pluck_is_rounder_and_a_point_is_its_limit():
    narrow, wide = plucked(N, 0.2, 1e-3, 1e-6), plucked(N, 0.2, 1e-3, 0.05)
    np.testing.assert_allclose(narrow[:50], plucked(N, 0.2, 1e-3)[:50], rtol=1e-6)
    assert np.sum(np.abs(wide[20:])) < 0.5 * np.sum(np.abs(narrow[20:]))


def test_stiffness_takes_from_the_high_partials_alone():
    ideal, stiff = plucked(N, 0.2, 1e-3), plucked(N, 0.2, 1e-3, stiffness=1e-4)
    assert stiff[0] == pytest.approx(ideal[0], rel=2e-4)
    assert abs(stiff[98]) < 0.6 * abs(ideal[98])


@given(at=inside, aperture=st.floats(0, 0.3), n=st.integers(1, 100))
def test_no_pickup_sees_more_than_the_antinode(at, aperture, n):
    assert abs(sensed(n, at, aperture)) <= 1 + 1e-12


@given(at=st.floats(0.1, 0.9), aperture=st.floats(0.01, 0.19), n=st.integers(1, 30))
def test_the_aperture_is_the_mean_along_the_string(at, aperture, n):
    x = at + aperture * (np.arange(2000) + 0.5 - 1000) / 2000
    assert sensed(n, at, aperture) == pytest.approx(np.mean(np.sin(np.pi * n * x)), abs=1e-5)


def test_nulls_stand_at_their_exact_partials():
    n = np.arange(1, 41)
    for count in (3, 4, 5, 7):
        dead = np.abs(sensed(n, 1 / count)) < 1e-12
        assert n[dead].tolist() == [k for k in range(1, 41) if k % count == 0]
        dead = np.abs(sensed(n, 0.2371, 2 / count)) < 1e-12
        assert n[dead].tolist() == [k for k in range(1, 41) if k % count == 0]
        dead = np.abs(plucked(n, 1 / count, 1e-3)) < 1e-15
        assert n[dead].tolist() == [k for k in range(1, 41) if k % count == 0]


def test_the_note_is_the_first_partial_and_the_others_are_sharp():
    f = partial_frequencies(110.0, 1e-4, N[:40])
    assert f[0] == pytest.approx(110.0)
    assert np.all(np.diff(f) >= 110.0)
    np.testing.assert_allclose(partial_frequencies(110.0, 0.0, N), 110.0 * N)


def test_fretting_an_octave_up_makes_four_times_the_inharmonicity():
    tension = WIRE.tension(196.0, 0.648)
    assert tension == pytest.approx(WIRE.tension(392.0, 0.324))
    half = inharmonicity(WIRE.rigidity, tension, 0.324)
    assert half == pytest.approx(4 * inharmonicity(WIRE.rigidity, tension, 0.648))


def test_rigidity_goes_with_the_fourth_power():
    assert rigidity(1e-3, 2e11) == pytest.approx(16 * rigidity(0.5e-3, 2e11))


def test_high_partials_die_first_and_every_loss_counts():
    f = partial_frequencies(196.0, 1e-4, N[:60])
    rates = decay_rates(f, WIRE, LOSSES, 196.0, 0.648)
    assert np.all(rates > 0)
    assert np.all(np.diff(rates) > 0)
    for key in ("thermoelastic", "viscoelastic", "conductance"):
        less = decay_rates(f, WIRE, replace(LOSSES, **{key: 0.0}), 196.0, 0.648)
        assert np.all(less < rates)
    air = decay_rates(f, WIRE, Losses(0, 0, 0), 196.0, 0.648)
    heavier = decay_rates(f, replace(WIRE, mass=2 * WIRE.mass), Losses(0, 0, 0), 196.0, 0.648)
    np.testing.assert_allclose(air, 2 * heavier)
