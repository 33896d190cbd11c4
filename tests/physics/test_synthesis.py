"""Sums of decaying sinusoids against the sum itself, and filters by transform."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pickupcalc.physics.sound.synthesis import decaying_sinusoids, faded, filtered, low_pass

RATE = 48_000.0


def direct(amplitude, frequency, decay, samples, rate):
    t = np.arange(samples) / rate
    return np.real(amplitude @ np.exp(np.outer(2j * np.pi * frequency - decay, t)))


@settings(max_examples=20)
@given(samples=st.integers(1, 20_000), seed=st.integers(0, 1000))
def test_it_is_the_sum(samples, seed):
    rng = np.random.default_rng(seed)
    amplitude = rng.normal(size=(3, 12)) + 1j * rng.normal(size=(3, 12))
    frequency, decay = rng.uniform(20, 23_000, 12), rng.uniform(0, 200, 12)
    made = decaying_sinusoids(amplitude, frequency, decay, samples, RATE)
    assert made.shape == (3, samples)
    assert np.max(np.abs(made - direct(amplitude, frequency, decay, samples, RATE))) < 1e-6


def test_nothing_folds_back():
    made = decaying_sinusoids(np.ones((1, 3)), np.array([100.0, 24_000.0, 30_000.0]), np.zeros(3), 4800, RATE)
    np.testing.assert_allclose(made[0], np.cos(2 * np.pi * 100 * np.arange(4800) / RATE), atol=1e-9)


def test_nothing_to_play_is_silence():
    assert not decaying_sinusoids(np.zeros((2, 1)), np.array([100.0]), np.zeros(1), 100, RATE).any()
    assert decaying_sinusoids(np.ones((2, 1)), np.array([100.0]), np.zeros(1), 0, RATE).shape == (2, 0)


def test_a_filter_is_exact_for_a_tone_and_halves_the_rate():
    t = np.arange(48_000) / RATE
    onto = np.linspace(0, 24e3, 4096)
    gain = 1 / (1 + 1j * onto / 1000)
    made = filtered(np.cos(2 * np.pi * 1000 * t)[np.newaxis], gain[np.newaxis, np.newaxis], RATE, onto, 2)
    assert made.shape == (1, 24_000)
    exact = np.real(np.exp(2j * np.pi * 1000 * t[::2]) / (1 + 1j))
    np.testing.assert_allclose(made[0, 2000:-2000], exact[2000:-2000], atol=1e-4)


def test_what_lies_above_half_the_lower_rate_is_gone():
    t = np.arange(48_000) / RATE
    onto = np.array([0.0, 24e3])
    made = filtered(np.cos(2 * np.pi * 15_000 * t)[np.newaxis], np.ones((1, 1, 2)), RATE, onto, 2)
    assert np.max(np.abs(made[0, 2000:-2000])) < 1e-3


def test_low_pass():
    gain = np.abs(low_pass(np.array([0.0, 1000.0, 10_000.0]), 1000.0))
    assert gain[:2] == pytest.approx([1, np.sqrt(0.5)])
    assert gain[2] == pytest.approx(1e-4, rel=1e-3)


def test_fades():
    made = faded(np.ones((2, 100)), 10, 20)
    assert np.all(np.diff(made[0, :10]) > 0)
    assert np.all(np.diff(made[0, -20:]) < 0)
    assert np.all(made[:, 10:80] == 1)
    assert faded(np.ones((1, 3)), 10, 10).shape == (1, 3)
