"""Sums of decaying sinusoids as samples, by matrix products.

exp((j w - s) t) at t = (k B + i) / rate is a product of a factor of the block k
and a factor of the place i inside it. So all partials of all rows come out of one
matrix product, and no recursion gathers rounding errors. A partial is left out of the
stretches in which it has died away.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

BLOCK = 512  # samples in a block
STRETCH = 32  # blocks in one product
DEAD = 1e-8  # of a row's greatest sum of amplitudes: below this a partial is not heard

Array = NDArray[Any]


def decaying_sinusoids(
    amplitudes: ArrayLike,
    frequencies: ArrayLike,
    decays: ArrayLike,
    samples: int,
    rate: float,
    dead: float = DEAD,
) -> Array:
    """Re of the sum over partials of A exp((2 pi j f - sigma) t), t = 0, 1/rate, ...

    Parameters
    ----------
    amplitudes : array_like of complex, shape (rows, partials)
        One row for each thing to be heard.
    frequencies, decays : array_like, shape (partials,)
        Hz and 1/s. Partials at or above half the rate are left out, so that
        nothing folds back.
    samples : int
    rate : float
        Samples a second.
    dead : float
        Share of the greatest row's sum of amplitudes below which a partial is left out.

    Returns
    -------
    ndarray, shape (rows, samples)
    """
    amplitude = np.atleast_2d(np.asarray(amplitudes, dtype=complex))
    frequency, decay = np.asarray(frequencies, dtype=float), np.asarray(decays, dtype=float)
    kept = (frequency < rate / 2) & np.any(amplitude != 0, axis=0)
    rows = amplitude.shape[0]
    if samples == 0 or not kept.any():
        return np.zeros((rows, samples))
    amplitude, frequency, decay = amplitude[:, kept], frequency[kept], decay[kept]
    step = (2j * np.pi * frequency - decay) / rate
    size = min(BLOCK, samples)
    inside = np.exp(np.outer(step, np.arange(size)))
    blocks = -(-samples // size)
    out = np.zeros((rows, blocks, size))
    strength = np.abs(amplitude) / np.abs(amplitude).sum(axis=1).max()
    for first in range(0, blocks, STRETCH):
        some = np.arange(first, min(first + STRETCH, blocks))
        alive = strength.max(axis=0) * np.exp(-decay * first * size / rate) > dead
        if not alive.any():
            break
        left = amplitude[:, np.newaxis, alive] * np.exp(np.outer(some * size, step[alive]))
        right = inside[alive]
        out[:, some] = np.concatenate([left.real, -left.imag], axis=-1) @ np.concatenate(
            [right.real, right.imag]
        )
    return out.reshape(rows, -1)[:, :samples]


def faded(signals: Array, rise: int, fall: int) -> Array:
    """Signals with a raised-cosine rise and fall of so many samples, in place: no clicks."""
    count = signals.shape[-1]
    for length, ends in ((min(rise, count), slice(None)), (min(fall, count), slice(None, None, -1))):
        ramp = 0.5 - 0.5 * np.cos(np.pi * (np.arange(length) + 0.5) / max(length, 1))
        signals[..., ends][..., :length] *= ramp
    return signals


def filtered(
    signals: ArrayLike, responses: ArrayLike, rate: float, onto: ArrayLike, shrink: int = 1
) -> Array:
    """Signals through linear networks, summed, at a lower rate if wanted.

    Parameters
    ----------
    signals : array_like, shape (sources, samples)
    responses : array_like of complex, shape (rows, sources, frequencies)
        Gain from each source to each row.
    rate : float
        Of the signals, samples a second.
    onto : array_like, shape (frequencies,)
        Hz, ascending: where the responses are given; between them they are interpolated.
    shrink : int
        The output has rate / shrink; what lies above half of that is left out first.

    Returns
    -------
    ndarray, shape (rows, samples / shrink)
        A tenth of a second that leads each signal back to its start is put
        behind it, so that neither a step nor the network's ringing wraps round.
    """
    from scipy.fft import irfft, next_fast_len, rfft

    x, at = np.asarray(signals, dtype=float), np.asarray(onto, dtype=float)
    count = x.shape[-1]
    size = shrink * next_fast_len(-(-(count + int(0.1 * rate)) // shrink), real=True)
    back = 0.5 + 0.5 * np.cos(np.pi * np.arange(1, size - count + 1) / (size - count))
    tail = x[:, :1] + (x[:, -1:] - x[:, :1]) * back
    small = size // shrink
    spectrum = rfft(np.concatenate([x, tail], axis=-1), axis=-1)[:, : small // 2 + 1]
    hertz = np.arange(spectrum.shape[-1]) * rate / size
    out = np.empty((len(np.asarray(responses)), -(-count // shrink)))
    for row, gains in enumerate(np.asarray(responses)):
        total = np.zeros(hertz.size, dtype=complex)
        for gain, source in zip(gains, spectrum, strict=True):
            total += source * (np.interp(hertz, at, gain.real) + 1j * np.interp(hertz, at, gain.imag))
        out[row] = irfft(total, small)[: out.shape[-1]] / shrink
    return out


def low_pass(frequencies: ArrayLike, corner: float, order: int = 4) -> Array:
    """Complex gain of a Butterworth low-pass, 3 dB down at `corner` Hz (S. Butterworth, 1930)."""
    s = 1j * np.asarray(frequencies, dtype=float) / corner
    poles = np.exp(1j * np.pi * (2 * np.arange(1, order + 1) + order - 1) / (2 * order))
    gain = np.ones(s.shape, dtype=complex)
    for pole in poles:
        gain = gain / (s - pole)
    return gain
