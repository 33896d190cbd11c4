"""Loudness by ITU-R BS.1770-4 (2015): K-weighting, blocks of 400 ms, two gates.

The recommendation prints the two filters for 48 kHz only; other rates use the
analogue filters that give those coefficients by the bilinear transform. Their
constants were found by inverting it and reproduce the printed digits.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

# BS.1770-4, tables 1 and 2: b0, b1, b2, a0, a1, a2 at 48 kHz.
SHELF_48K = (1.53512485958697, -2.69169618940638, 1.19839281085285, 1.0, -1.69065929318241, 0.73248077421585)
HIGH_PASS_48K = (1.0, -2.0, 1.0, 1.0, -1.99004745483398, 0.99007225036621)
OFFSET = -0.691  # dB, BS.1770-4 eq. (2)
BLOCK, STEP = 0.4, 0.1  # s: gating blocks overlap by 75 %
ABSOLUTE_GATE, RELATIVE_GATE = -70.0, -10.0  # LKFS, and LU below the mean

Array = NDArray[Any]


def k_filter(rate: float) -> Array:
    """The two sections as scipy.signal's sos, shape (2, 6), for a sample rate in Hz."""
    if rate == 48_000:
        return np.array([SHELF_48K, HIGH_PASS_48K])
    return np.array([_remade(SHELF_48K, rate), _remade(HIGH_PASS_48K, rate)])


def _remade(section: tuple[float, ...], rate: float) -> list[float]:
    """Back to the analogue filter of a 48 kHz section, and forward at another rate.

    With K = tan(pi f0 / rate) the bilinear transform turns
    (h K^2 + b K s + v s^2) / (K^2 + K s / Q + s^2) into a section; each step is undone.
    """
    b0, b1, b2, _, a1, a2 = section
    # Sums over z = 1, -1 and their difference give the three analogue coefficients.
    low_d, mid_d, high_d = 1 + a1 + a2, 2 * (1 - a2), 1 - a1 + a2
    low_n, mid_n, high_n = b0 + b1 + b2, 2 * (b0 - b2), b0 - b1 + b2
    k = np.sqrt(low_d / high_d)
    new = np.tan(np.arctan(k) * 48_000 / rate) / k
    den = _digital(low_d * new**2, mid_d * new, high_d)
    num = _digital(low_n * new**2, mid_n * new, high_n)
    return [*(num / den[0]), *(den / den[0])]


def _digital(low: float, mid: float, high: float) -> Array:
    return np.array([low + mid + high, 2 * (low - high), low - mid + high]) / 4


def k_gain(frequencies: ArrayLike) -> Array:
    """Magnitude of the K-weighting at frequencies in Hz up to 24 kHz; constant above."""
    return np.abs(_response(np.minimum(np.asarray(frequencies, dtype=float), 23_999.0), 48_000))


def _response(frequencies: Array, rate: float) -> Array:
    z = np.exp(-2j * np.pi * frequencies / rate)
    gain = np.ones(z.shape, dtype=complex)
    for b0, b1, b2, a0, a1, a2 in k_filter(rate):
        gain = gain * (b0 + z * (b1 + z * b2)) / (a0 + z * (a1 + z * a2))
    return gain


def k_weighted(samples: Array, rate: float) -> Array:
    """Signals through the K-filter, by transform; half a second of silence takes up its ringing."""
    from scipy.fft import irfft, next_fast_len, rfft, rfftfreq

    count = samples.shape[-1]
    size = next_fast_len(count + round(0.5 * rate), real=True)
    spectrum = rfft(samples, size, axis=-1) * _response(rfftfreq(size, 1 / rate), rate)
    return irfft(spectrum, size, axis=-1)[..., :count]


def level(mean_square: ArrayLike) -> Any:
    """LKFS of a K-weighted mean square summed over channels; -inf for silence."""
    with np.errstate(divide="ignore"):
        return OFFSET + 10 * np.log10(np.asarray(mean_square, dtype=float))


def integrated(samples: ArrayLike, rate: float) -> float:
    """Gated loudness of a whole programme, LKFS (= LUFS).

    Parameters
    ----------
    samples : array_like, shape (samples,) or (channels, samples)
        Full scale is 1. Channels count alike, as left, right and centre do.
    rate : float
        Hz.

    Returns
    -------
    float
        -inf where nothing passes the absolute gate. Shorter than one block of
        400 ms, the whole is one block (the recommendation does not say).

    Examples
    --------
    >>> tone = np.sin(2 * np.pi * 997 * np.arange(48_000) / 48_000)
    >>> f"{integrated(tone, 48_000):.2f} LUFS"  # as BS.1770 has it for a full-scale tone
    '-3.01 LUFS'
    """
    x = np.atleast_2d(np.asarray(samples, dtype=float))
    blocks = _block_powers(np.sum(k_weighted(x, rate) ** 2, axis=0), rate)
    loud = blocks[level(blocks) > ABSOLUTE_GATE]
    if loud.size == 0:
        return float("-inf")
    gate = level(loud.mean()) + RELATIVE_GATE
    return float(level(loud[level(loud) > gate].mean()))


def _block_powers(power: Array, rate: float) -> Array:
    size, step = round(BLOCK * rate), round(STEP * rate)
    if power.size < size:
        return np.array([power.mean()]) if power.size else np.zeros(0)
    total = np.concatenate([[0.0], np.cumsum(power)])
    first = np.arange(0, power.size - size + 1, step)
    return (total[first + size] - total[first]) / size
