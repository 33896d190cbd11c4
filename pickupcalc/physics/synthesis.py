"""Sums of decaying sinusoids as samples, by matrix products.

exp((j w - s) t) at t = (k B + i) / rate is a product of a factor of the block k
and a factor of the place i inside it. So all partials of all rows come out of one
matrix product, exactly, and no recursion gathers rounding errors.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

BLOCK = 1024  # samples in a block
LARGEST = 2**21  # numbers in the left factor of one product, 16 MB

Array = NDArray[Any]


def decaying_sinusoids(
    amplitudes: ArrayLike, frequencies: ArrayLike, decays: ArrayLike, samples: int, rate: float
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
    step = (2j * np.pi * frequency[kept] - decay[kept]) / rate
    size = min(BLOCK, samples)
    inside = np.exp(np.outer(step, np.arange(size)))
    right = np.concatenate([inside.real, -inside.imag])
    blocks = -(-samples // size)
    at_once = max(1, LARGEST // (rows * right.shape[0]))
    out = np.empty((rows, blocks, size))
    for first in range(0, blocks, at_once):
        some = np.arange(first, min(first + at_once, blocks))
        left = amplitude[:, np.newaxis, kept] * np.exp(np.outer(some * size, step))
        both = np.concatenate([left.real, left.imag], axis=-1)
        out[:, some] = both @ right
    return out.reshape(rows, -1)[:, :samples]


def fade_in(samples: int, length: int) -> Array:
    """A raised-cosine rise over `length` samples: how a finger lets go, and no click."""
    rise = np.ones(samples)
    count = min(length, samples)
    rise[:count] = 0.5 - 0.5 * np.cos(np.pi * (np.arange(count) + 0.5) / max(length, 1))
    return rise


def filtered(signal: ArrayLike, response: Any, rate: float) -> Array:
    """A signal through a linear network, by its response at every frequency of the transform.

    Parameters
    ----------
    signal : array_like, shape (samples,)
    response : callable
        Complex gain at frequencies in Hz, shape (bins,).
    rate : float

    Returns
    -------
    ndarray, shape (samples,)
        A tenth of a second of silence is put behind the signal, so that the
        network's ringing does not wrap round to its start.
    """
    from scipy.fft import irfft, next_fast_len, rfft, rfftfreq

    x = np.asarray(signal, dtype=float)
    size = next_fast_len(x.size + int(0.1 * rate), real=True)
    return irfft(rfft(x, size) * response(rfftfreq(size, 1 / rate)), size)[: x.size]
