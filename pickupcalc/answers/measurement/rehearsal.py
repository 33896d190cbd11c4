"""Invented recordings: to rehearse a measurement, to try a bench on paper, to check the way back.

Nothing here was measured. Numbers are SI and levels of full scale 1, as in
`physics`; each function says what is in what it makes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.measurement.hum_change import Comparison, compare
from pickupcalc.answers.measurement.hum_recording import Hum, hum_of
from pickupcalc.answers.measurement.impedance import Measured, measure
from pickupcalc.answers.measurement.sound_card import Bench, Calibration
from pickupcalc.errors import InputError
from pickupcalc.limits import SOUND_SAMPLES, at_most
from pickupcalc.parts.recording import write_recording
from pickupcalc.physics.measuring.impedance import pickup_impedance
from pickupcalc.physics.measuring.sweeps import exponential_sweep

HARMONICS = {1: 1.0, 2: 0.15, 3: 0.5, 5: 0.3, 7: 0.2, 9: 0.12, 11: 0.08, 13: 0.05}  # invented


def sweep_recording(
    parts: Sequence[float],
    bench: Bench,
    *,
    seconds: float = 5.0,
    rate: int = 48_000,
    level: float = 0.25,
    noise: float = 1e-4,
    mains: float = 0.0,
    gain: float = 1.0,
    delay: float = 0.0,
    seed: int = 1,
) -> NDArray[Any]:
    """Both channels of a sweep through a resistor and a pickup.

    Parameters
    ----------
    parts : sequence of float
        Of the pickup, SI, in the order of `physics.measuring.impedance.NAMES`; one number
        alone is a resistor.
    bench : Bench
        Its channels say what is recorded.
    seconds, rate, level
        Of the sweep.
    noise : float
        Root mean square in each channel, full scale being 1.
    mains : float
        Amplitude of the 50 Hz line induced into the pickup.
    gain, delay : float
        Of the first channel against the second; delay in seconds.
    seed : int

    Returns
    -------
    ndarray, shape (samples, 2)
    """
    at_most("seconds", seconds * rate, SOUND_SAMPLES, "samples")
    played = exponential_sweep(seconds, rate, level=level, high=min(22e3, 0.45 * rate))
    spectrum = np.fft.rfft(played)
    hertz = np.maximum(np.fft.rfftfreq(played.size, 1 / rate), 1e-3)
    z = np.full(hertz.size, parts[0] + 0j) if len(parts) == 1 else pickup_impedance(2 * np.pi * hertz, *parts)
    across = bench.voltages(hertz, z)
    rng = np.random.default_rng(seed)
    hum = hum_signal(mains, seconds=played.size / rate, rate=rate) if mains else np.zeros(played.size)
    channels = []
    for i, name in enumerate(bench.channels):
        shift = gain * np.exp(-2j * np.pi * hertz * delay) if i == 0 else 1.0
        wave = np.fft.irfft(spectrum * across[name] * shift, played.size)
        wave += hum * (name != "resistor") + noise * rng.normal(size=played.size)
        channels.append(wave)
    return np.stack(channels, axis=1)


def hum_signal(
    level: float,
    *,
    seconds: float = 12.0,
    rate: int = 48_000,
    mains: float = 50.02,
    noise: float = 0.0,
    harmonics: Mapping[int, float] = HARMONICS,
    seed: int = 1,
) -> NDArray[Any]:
    """Hum of an instrument that nobody plays.

    Parameters
    ----------
    level : float
        Amplitude of the lowest line, full scale being 1.
    mains : float
        Hz.
    noise : float
        Root mean square.
    harmonics : mapping of int to float
        Amplitude of each line against the lowest.

    Returns
    -------
    ndarray, shape (samples,)
    """
    at_most("seconds", seconds * rate, SOUND_SAMPLES, "samples")
    t = np.arange(round(seconds * rate)) / rate
    wave = noise * np.random.default_rng(seed).normal(size=t.size)
    for k, share in harmonics.items():
        wave += level * share * np.sin(2 * np.pi * k * mains * t + k)
    return wave


def rehearse_sweep(
    parts: Sequence[float], bench: Bench, calibration: Calibration | None = None, **made: Any
) -> Measured:
    """A sweep invented by `sweep_recording`, written, read and measured as a real one."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "sweep.wav"
        rate = made.get("rate", 48_000)
        write_recording(path, np.clip(sweep_recording(parts, bench, **made), -1, 1), rate, 24)
        try:
            return measure(path, bench, calibration)
        except InputError as error:
            raise InputError(error.faults) from None


def _hum_of(path: Path) -> Hum:
    try:
        return hum_of(path)
    except InputError as error:
        raise InputError(error.faults, path.name) from None


def rehearse_hum(
    before: float, after: float, *, noise: float = 2e-4, gain: float = 1.0, seconds: float = 8.0
) -> Comparison:
    """Hum invented by `hum_signal` before and after a repair, written, read and compared as a real one.

    Parameters
    ----------
    before, after : float
        Amplitude of the lowest line, full scale being 1.
    noise : float
        Root mean square.
    gain : float
        Of the recorder afterwards against before.
    seconds : float
        Of each recording.
    """
    rate = 16_000
    with TemporaryDirectory() as folder:
        hums = []
        for i, (level, turned) in enumerate(((before, 1.0), (after, gain))):
            path = Path(folder) / f"{('before', 'after')[i]}.wav"
            wave = hum_signal(level, seconds=seconds, rate=rate, mains=50.02 - 0.05 * i, noise=noise, seed=i)
            write_recording(path, np.clip(turned * wave, -1, 1), rate, 24)
            hums.append(_hum_of(path))
        try:
            return compare(hums[0], hums[1], position="both")
        except InputError as error:  # the files it names are gone in a moment
            raise InputError(error.faults) from None
