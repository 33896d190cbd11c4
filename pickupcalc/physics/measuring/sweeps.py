"""Exponential sweeps, and the ratio of two recorded channels with its error, without averaging anything away.

Source of the sweep: A. Farina, 108th AES Convention, preprint 5093 (2000). Of
the ratio: the local polynomial method, R. Pintelon and J. Schoukens, *System
Identification: A Frequency Domain Approach*, 2nd ed. (2012), ch. 7: within a
narrow band the ratio is a parabola, and what the parabola leaves is noise.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import scipy.fft
from numpy.typing import ArrayLike, NDArray

Array = NDArray[Any]

BANDS_PER_OCTAVE = 24
LEAST_BINS = 12  # of a band: three go into the parabola, the rest tell the noise
TERMS = 3  # of the parabola
OUTLIER = 9.0  # power over a band's noise from which a bin is a line of the mains, not noise
ROUNDS = 4  # of leaving such bins out


def exponential_sweep(
    seconds: float,
    rate: float,
    low: float = 15.0,
    high: float = 22e3,
    level: float = 0.25,
    fade: float = 0.05,
    silence: float = 0.5,
) -> Array:
    """A sweep whose frequency grows by the same factor in each second.

    Parameters
    ----------
    seconds, rate : float
        Length of the sweep itself, and samples per second.
    low, high : float
        Hz; `high` at most 0.48 of the rate.
    level : float
        Peak, full scale being 1.
    fade : float
        Seconds over which it swells and dies.
    silence : float
        Seconds put before and after it.

    Returns
    -------
    ndarray, shape (samples,)
    """
    t = np.arange(round(seconds * rate)) / rate
    growth = np.log(high / low)
    wave = level * np.sin(2 * np.pi * low * seconds / growth * np.expm1(t / seconds * growth))
    count = round(fade * rate)
    ramp = 0.5 - 0.5 * np.cos(np.pi * np.arange(count) / max(count, 1))
    wave[:count] *= ramp
    wave[wave.size - count :] *= ramp[::-1]
    rest = np.zeros(round(silence * rate))
    return np.concatenate([rest, wave, rest])


@dataclass(frozen=True)
class Ratio:
    """One channel over another, in bands.

    Attributes
    ----------
    frequency : ndarray, shape (bands,)
        Hz, of each band's centre.
    value : ndarray of complex, shape (bands,)
    deviation : ndarray, shape (bands,)
        Standard deviation of the real and of the imaginary part, relative to the size.
    coherence : ndarray, shape (bands,)
        Share of the first channel's power that the second explains, 0 to 1.
    """

    frequency: Array
    value: Array
    deviation: Array
    coherence: Array


def ratio_of(
    first: ArrayLike, second: ArrayLike, rate: float, low: float, high: float, faded: float = 1.0
) -> Ratio:
    """Ratio of two channels recorded together over a band of frequencies.

    Parameters
    ----------
    first, second : array_like, shape (samples,)
        From silence to silence: what is cut within a sound leaks.
    rate : float
    low, high : float
        Hz.
    faded : float
        Mean square of the fade put on both, as `trimmed` gives it: noise is seen
        through it, but the sweep is not.

    Returns
    -------
    Ratio
        In bands of a twenty-fourth of an octave, or of `LEAST_BINS` bins where
        those are wider.
    """
    a, b = scipy.fft.rfft(np.asarray(first)), scipy.fft.rfft(np.asarray(second))
    step = rate / np.size(first)
    edges = _edges(step, low, high)
    a, b = a[edges[0] : edges[-1]], b[edges[0] : edges[-1]]
    bands = _Bands(edges[:-1] - edges[0], np.diff(edges))
    one, other = bands.ratio(a, b), bands.ratio(b, a)
    # Noise in the channel divided by pulls the ratio down, so each band divides by its stronger one.
    weaker = np.abs(one[0]) > 1
    value = np.where(weaker, 1 / np.where(other[0] == 0, 1, other[0]), one[0])
    deviation, coherence = (np.where(weaker, other[k], one[k]) for k in (1, 2))
    centre = (edges[:-1] + (np.diff(edges) - 1) / 2) * step
    return Ratio(centre, value, deviation / np.sqrt(faded), coherence)


def trimmed(channels: ArrayLike, rate: float, margin: float = 0.25) -> tuple[Array, float]:
    """The part in which a sweep sounds, with some silence around it that swells and dies.

    Parameters
    ----------
    channels : array_like, shape (samples, channels)
        None of them silent.
    rate : float
    margin : float
        Seconds of silence kept at each end. Faded, it keeps the lines of the
        mains from leaking into all bins.

    Returns
    -------
    part : ndarray, shape (samples, channels)
    faded : float
        Mean square of the fade.
    """
    x = np.asarray(channels)
    piece = max(int(0.01 * rate), 1)
    pieces = x[: len(x) // piece * piece].reshape(-1, piece, x.shape[1])
    size = np.sqrt(np.mean(np.square(pieces), axis=1))
    loud = np.flatnonzero((size > 0.02 * size.max(axis=0)).any(axis=1))
    start, stop = int(loud[0]) * piece, (int(loud[-1]) + 1) * piece
    before, after = min(start, int(margin * rate)), min(len(x) - stop, int(margin * rate))
    part: Array = np.array(x[start - before : stop + after], dtype=float)
    fade = np.ones(len(part))
    for count, end in ((before, fade), (after, fade[::-1])):
        end[:count] = 0.5 - 0.5 * np.cos(np.pi * np.arange(count) / max(count, 1))
    return part * fade[:, np.newaxis], float(np.mean(fade**2))


def _edges(step: float, low: float, high: float) -> NDArray[np.int_]:
    """First bin of each band, and the bin behind the last."""
    edges = [max(int(np.ceil(low / step)), 1)]
    while edges[-1] * step < high:
        wide = int(edges[-1] * (2 ** (1 / BANDS_PER_OCTAVE) - 1))
        edges.append(edges[-1] + max(wide, LEAST_BINS))
    return np.array(edges[:-1] if len(edges) > 2 else edges)


@dataclass(frozen=True)
class _Bands:
    """Bins cut into bands: where each starts and how many bins it has."""

    starts: Array
    counts: Array

    def sum(self, bins: Array) -> Array:
        return np.add.reduceat(bins, self.starts)

    def spread(self, bands: Array) -> Array:
        return np.repeat(bands, self.counts)

    def ratio(self, a: Array, b: Array) -> tuple[Array, Array, Array]:
        """a over b at each band's centre, its relative deviation, and the coherence."""
        half = self.spread((self.counts - 1) / 2)
        x = (np.arange(a.size) - self.spread(self.starts) - half) / half
        use = np.ones(a.size)
        for _ in range(ROUNDS):
            coefficients, inverse, used = self.parabolas(a, b, x, use)
            model = sum(self.spread(coefficients[:, k]) * x**k for k in range(TERMS)) * b
            left = np.square(np.abs(a - model))
            # One bin less than free ones: the noise is itself an estimate, and its inverse is biased.
            noise = self.sum(left * use) / np.maximum(used - TERMS - 1, 1)
            fresh = (left <= OUTLIER * self.spread(noise)).astype(float)
            fresh = np.where(self.spread(self.sum(fresh)) < LEAST_BINS / 2, use, fresh)
            if np.array_equal(fresh, use):
                break
            use = fresh
        power = np.square(np.abs(a))
        kept = self.sum(power * use)
        size = np.maximum(np.abs(coefficients[:, 0]), 1e-300)
        explained = 1 - noise * np.maximum(used - TERMS, 1) / np.maximum(kept, 1e-300)
        deviation = np.sqrt(noise * inverse / 2) / size
        return coefficients[:, 0], deviation, np.clip(explained, 0, 1)

    def parabolas(self, a: Array, b: Array, x: Array, use: Array) -> tuple[Array, Array, Array]:
        """Least squares in all bands at once: coefficients, variance factor of the first, bins used."""
        weight = use * np.square(np.abs(b))
        crossed = use * np.conj(b) * a
        moments = []
        for _ in range(2 * TERMS - 1):
            moments.append(self.sum(weight))
            weight = weight * x
        sides = []
        for _ in range(TERMS):
            sides.append(self.sum(crossed))
            crossed = crossed * x
        rows = [np.stack([moments[i + j] for j in range(TERMS)], -1) for i in range(TERMS)]
        normal = np.stack(rows, -2)
        normal = normal + (1e-12 * normal[:, :1, :1] + 1e-300) * np.eye(TERMS)
        inverse = np.linalg.inv(normal)
        coefficients = (inverse @ np.stack(sides, -1)[..., np.newaxis])[..., 0]
        return coefficients, inverse[:, 0, 0], self.sum(use)
