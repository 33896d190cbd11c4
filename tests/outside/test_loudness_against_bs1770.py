"""Loudness against the test signals published for it."""

from __future__ import annotations

import numpy as np
import pytest

from pickupcalc.physics.sound.loudness import integrated

SUBJECT = "strings and sound"
RATE = 48_000


def stereo(*parts: tuple[float, float]):
    """Sine of 1 kHz in both channels: (peak level in dB of full scale, seconds) one after the other."""
    levels = np.concatenate([np.full(round(s * RATE), 10 ** (db / 20)) for db, s in parts])
    wave = levels * np.sin(2 * np.pi * 1000 * np.arange(levels.size) / RATE)
    return np.stack([wave, wave])


def test_the_reference_tone(outside):
    """A 0 dB, 997 Hz sine in one front channel."""
    wave = np.sin(2 * np.pi * 997 * np.arange(5 * RATE) / RATE)
    outside(
        "loudness of the reference tone",
        source="ITU-R BS.1770-4 (2015), Annex 1",
        status="published",
        ours=integrated(wave, RATE),
        theirs=-3.01,
        db=2e-3,
        unit="LKFS",
    )


# EBU Tech 3341, "Loudness metering: EBU mode", table 1, cases 1 to 5, tolerance 0.1 LU; from memory.
CASES = {
    "1": ([(-23, 20)], -23.0),
    "2": ([(-33, 20)], -33.0),
    "3": ([(-36, 10), (-23, 60), (-36, 10)], -23.0),
    "4": ([(-72, 10), (-36, 10), (-23, 60), (-36, 10), (-72, 10)], -23.0),
    "5": ([(-26, 20), (-20, 20.1), (-26, 20)], -23.0),
}


@pytest.mark.parametrize("case", CASES)
def test_minimum_requirement_signals(case, outside):
    parts, expected = CASES[case]
    outside(
        "loudness of five test signals",
        source="EBU Tech 3341, table 1, cases 1 to 5",
        status="from memory",
        ours=integrated(stereo(*parts), RATE),
        theirs=expected,
        db=0.05,
        unit="LUFS",
    )
