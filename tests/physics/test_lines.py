"""Lines of the mains in noise: how sure a line is, and what noise alone makes of one."""

from __future__ import annotations

import numpy as np
import pytest

from pickupcalc.answers.measurement.hum_recording import CLEAR, SHORTEST
from pickupcalc.physics.measuring.lines import Lines, find_lines, spectra

RATE, SEGMENT = 8_000, 16_000


def noise(rng, segments=10):
    return (rng.normal(size=SEGMENT) for _ in range(segments))


def test_in_noise_alone_a_line_stands_one_standard_error_off():
    """The bins that a line takes share their noise under a Hann window, so it varies more."""
    rng = np.random.default_rng(5)
    found = np.concatenate([Lines(spectra(noise(rng), RATE), 50.0, 1e-3).signals for _ in range(40)])
    assert np.mean(found) == pytest.approx(0, abs=0.1)
    assert np.std(found) == pytest.approx(1, abs=0.12)


def test_a_tone_has_its_power_and_its_frequency():
    rng = np.random.default_rng(6)
    t = np.arange(10 * SEGMENT) / RATE
    played = 0.3 * np.sin(2 * np.pi * 49.97 * t) + 1e-3 * rng.normal(size=t.size)
    lines = find_lines(spectra(played.reshape(10, SEGMENT), RATE))
    assert lines.mains == pytest.approx(49.97, abs=2e-3)
    assert lines.powers[:, 0].mean() == pytest.approx(0.3**2 / 2, rel=0.01)
    assert lines.floor_power() == pytest.approx(1e-6, rel=0.1)


def test_noise_alone_as_short_as_may_be_makes_no_clear_line():
    rng = np.random.default_rng(7)
    highest = []
    for _ in range(100):
        found = find_lines(spectra((rng.normal(size=RATE) for _ in range(int(SHORTEST))), RATE))
        assert not found.found
        highest.append(found.signals.max())
    assert max(highest) < CLEAR
