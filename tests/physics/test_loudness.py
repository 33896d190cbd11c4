"""Loudness: its filter at other rates, its gates, silence and short sounds."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import sosfilt

from pickupcalc.physics.sound import loudness


def tone(level_db, seconds, rate=48_000):
    return 10 ** (level_db / 20) * np.sin(2 * np.pi * 1000 * np.arange(round(seconds * rate)) / rate)


def test_the_filter_by_transform_is_the_filter():
    x = np.random.default_rng(1).normal(size=30_000)
    exact = sosfilt(loudness.k_filter(48_000), x)
    np.testing.assert_allclose(loudness.k_weighted(x, 48_000), exact, atol=1e-9)


@pytest.mark.parametrize("rate", [22_050, 32_000, 44_100, 88_200, 96_000, 192_000])
def test_other_rates_weigh_alike(rate):
    f = np.array([30.0, 100.0, 1000.0, 3000.0, 6000.0])
    gain = np.abs(loudness._response(f, rate))
    assert 20 * np.log10(gain / loudness.k_gain(f)) == pytest.approx(np.zeros(5), abs=0.25)


def test_twice_the_amplitude_is_six_units():
    quiet, loud = (loudness.integrated(tone(level, 3), 48_000) for level in (-30, -30 + 20 * np.log10(2)))
    assert loud - quiet == pytest.approx(20 * np.log10(2), abs=1e-9)


def test_silence_and_short_sounds():
    assert loudness.integrated(np.zeros(48_000), 48_000) == -np.inf
    assert loudness.integrated(np.zeros(0), 48_000) == -np.inf
    assert np.isfinite(loudness.integrated(tone(-20, 0.1), 48_000))


def test_a_pause_does_not_count():
    whole = loudness.integrated(tone(-20, 4), 48_000)
    paused = loudness.integrated(np.concatenate([tone(-20, 4), np.zeros(192_000)]), 48_000)
    assert paused == pytest.approx(whole, abs=0.3)
