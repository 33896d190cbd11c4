"""Peaks and cut-offs of curves whose peaks and cut-offs are known."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pickupcalc.physics.circuit.curves import falls_below, highest_peak, q_of_height


def low_pass(f0, q):
    f0, q = (np.atleast_1d(v)[:, np.newaxis] for v in (f0, q))
    return lambda f: 1 / np.abs(1 - (f / f0) ** 2 + 1j * f / f0 / q)


@given(st.floats(100, 2e4), st.floats(0.75, 25))
def test_peak_of_a_low_pass(f0, q):
    """f0 sqrt(1 - 1/(2 Q^2)), and Q / sqrt(1 - 1/(4 Q^2)) high."""
    frequency, height = highest_peak(low_pass(f0, q))
    assert frequency[0] == pytest.approx(f0 * np.sqrt(1 - 1 / (2 * q**2)), rel=1e-7)
    assert height[0] == pytest.approx(q / np.sqrt(1 - 1 / (4 * q**2)), rel=1e-8)
    assert q_of_height(height)[0] == pytest.approx(q, rel=1e-8)


def test_no_peak_is_nan():
    frequency, height = highest_peak(low_pass(1000, 0.7))
    assert np.isnan(frequency[0])
    assert np.isnan(height[0])


def test_silence_has_no_peak():
    assert np.isnan(highest_peak(lambda f: 1e-14 * np.abs(np.sin(f)))[0][0])


def test_sets_are_told_apart():
    frequency, _ = highest_peak(low_pass([500.0, 5000.0, 800.0], [2.0, 4.0, 0.5]))
    assert frequency[0] == pytest.approx(500 * np.sqrt(1 - 1 / 8))
    assert frequency[1] == pytest.approx(5000 * np.sqrt(1 - 1 / 32))
    assert np.isnan(frequency[2])


@given(st.floats(200, 2e4), st.floats(0.3, 10))
def test_cutoff_of_a_low_pass(f0, q):
    """Where |H|^2 = 1/2: x^2 = b + sqrt(b^2 + 1), b = 1 - 1/(2 Q^2)."""
    b = 1 - 1 / (2 * q**2)
    expected = f0 * np.sqrt(b + np.sqrt(b**2 + 1))
    found = falls_below(low_pass(f0, q), [np.sqrt(0.5)], [20.0])[0]
    assert found == pytest.approx(expected, rel=1e-6) if expected < 1e5 else np.isnan(found)


def test_never_falling_is_nan():
    assert np.isnan(falls_below(lambda f: np.ones_like(f), [0.7], [100.0])[0])
