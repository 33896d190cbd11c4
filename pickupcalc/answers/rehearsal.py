"""Invented recordings: to rehearse a measurement, to try a bench on paper, to check the way back.

Nothing here was measured. Each function says what is in what it makes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.sound_card import Bench
from pickupcalc.physics.impedance import pickup_impedance
from pickupcalc.physics.sweeps import exponential_sweep

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
        Of the pickup, SI, in the order of `physics.impedance.NAMES`; one number
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
    played = exponential_sweep(seconds, rate, level=level, high=min(22e3, 0.45 * rate))
    spectrum = np.fft.rfft(played)
    hertz = np.maximum(np.fft.rfftfreq(played.size, 1 / rate), 1e-3)
    z = np.full(hertz.size, parts[0] + 0j) if len(parts) == 1 else pickup_impedance(2 * np.pi * hertz, *parts)
    beside = 1 / bench.input_resistance + 2j * np.pi * hertz * bench.input_capacitance
    r = bench.resistor
    if "pickup" in bench.channels:
        z = z / (1 + z * beside)
    else:
        r = r / (1 + r * beside)
    across = {"pickup": z / (z + r), "resistor": r / (z + r), "both": np.ones(hertz.size)}
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
    t = np.arange(round(seconds * rate)) / rate
    wave = noise * np.random.default_rng(seed).normal(size=t.size)
    for k, share in harmonics.items():
        wave += level * share * np.sin(2 * np.pi * k * mains * t + k)
    return wave
