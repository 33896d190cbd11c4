"""Lines of the mains in a recording: their frequency, their power, and the floor between them.

The recording is cut into segments of about two seconds. Of each, the Hann
windowed power spectrum up to a little above 2 kHz is kept; what is above is
only averaged. So memory does not grow with the sample rate, and the spread
between segments tells how sure a level is.

Sources: frequency between two bins of a Hann window, D. C. Rife and
G. A. Vincent, Bell Syst. Tech. J. 49, 197 (1970); averaging of segments,
P. D. Welch, IEEE Trans. Audio Electroacoust. 15, 70 (1967).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np
import scipy.fft
from numpy.typing import NDArray

Array = NDArray[Any]

LOWEST_MAINS, HIGHEST_MAINS = 45.0, 65.0  # Hz
HIGHEST_LINE = 2000.0  # Hz
KEPT = 2150.0  # Hz, up to which every segment's spectrum is kept
AUDIBLE = (20.0, 20e3)  # Hz, over which the floor is summed
LOBE = 2  # bins on either side of a line that hold its power under a Hann window
NEXT_BIN, NEXT_BUT_ONE = 4 / 9, 1 / 36  # correlation of noise powers of bins under a Hann window
WANDER = 0.02  # Hz that the mains may move within a segment
GAP = 0.25  # of the mains frequency: bins nearer than this to a line are not floor
STANDS_OUT = 8.0  # a line's mean power over the floor's, from which its frequency is used


@dataclass(frozen=True)
class Spectra:
    """Power spectra of a recording's segments; mean square of a full-scale sine is 1/2.

    Attributes
    ----------
    step : float
        Hz between bins.
    kept : ndarray, shape (segments, bins)
        Power in each bin up to `KEPT`, one-sided, in single precision: an hour of them fits.
    mean : ndarray, shape (all bins,)
        Average over the segments, up to half the sample rate.
    """

    step: float
    kept: Array
    mean: Array

    @property
    def segments(self) -> int:
        return len(self.kept)


def spectra(segments: Iterable[Array], rate: float) -> Spectra:
    """Spectra of segments of equal length, one channel.

    Parameters
    ----------
    segments : iterable of ndarray, shape (samples,)
        At least one, all of the first one's length.
    rate : float
        Samples per second.
    """
    kept: list[Array] = []
    total: Array | None = None
    window = np.zeros(0)
    for x in segments:
        if not window.size:
            window = 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(x.size) / x.size)
            window *= np.sqrt(2 / (x.size * np.sum(window**2)))
            last = int(KEPT * x.size / rate) + 1
        power = np.square(np.abs(scipy.fft.rfft((x - x.mean()) * window)))
        total = power if total is None else total + power
        kept.append(power[:last].astype(np.float32))
    if total is None:
        raise ValueError("no segments")
    return Spectra(rate / window.size, np.array(kept), total / len(kept))


@dataclass(frozen=True)
class Lines:
    """The mains' harmonics in a recording.

    Attributes
    ----------
    spectra : Spectra
    mains : float
        Hz, mean over the recording.
    mains_deviation : float
        Standard error of it; infinite where no line stands out and `mains` was only assumed.
    """

    spectra: Spectra
    mains: float
    mains_deviation: float

    @property
    def found(self) -> bool:
        """Whether any line stands out of the floor."""
        return bool(np.isfinite(self.mains_deviation))

    @cached_property
    def orders(self) -> Array:
        """1, 2 ... up to 2 kHz."""
        return np.arange(1, int(HIGHEST_LINE / self.mains + 0.01) + 1)

    @cached_property
    def powers(self) -> Array:
        """Mean square of each line in each segment, the floor under it taken off, shape (segments, lines)."""
        low, high = self._edges()
        kept = self.spectra.kept
        inside = [kept[:, a : b + 1].sum(axis=1, dtype=float) for a, b in zip(low, high, strict=True)]
        return np.stack(inside, axis=1) - (high - low + 1) * self.floor[self.orders - 1]

    @cached_property
    def signals(self) -> Array:
        """How many standard errors each line stands above the floor, shape (lines,)."""
        low, high = self._edges()
        bins = high - low + 1
        # A Hann window makes the floor in neighbouring bins alike: their powers do not vary each by itself.
        spread = bins + 2 * (bins - 1) * NEXT_BIN + 2 * (bins - 2) * NEXT_BUT_ONE
        error = self.floor[self.orders - 1] * np.sqrt(spread / self.spectra.segments)
        return self.powers.mean(axis=0) / np.maximum(error, 1e-300)

    @cached_property
    def floor(self) -> Array:
        """Floor per bin around each multiple of the mains, up to the end of the audible band."""
        return _floor(self.spectra, self.mains)

    def floor_power(self, weight: Array | float = 1.0) -> float:
        """Mean square of the floor over the audible band, each multiple weighted."""
        per_multiple = self.mains / self.spectra.step
        return float(np.sum(self.floor * per_multiple * weight))

    @cached_property
    def between(self) -> Array:
        """Power between the lines, 30 Hz to 2 kHz, of each segment, shape (segments,)."""
        return np.asarray(self.spectra.kept @ (self._gaps() / self._gaps().sum()).astype(np.float32), float)

    @cached_property
    def strangers(self) -> tuple[float, float]:
        """Frequency of the strongest tone between the lines below 900 Hz, and its power over the floor's."""
        mean = self.spectra.kept.mean(axis=0, dtype=float)
        bins = np.flatnonzero(self._gaps())
        hertz = bins * self.spectra.step
        bins = bins[(hertz > 60) & (hertz < 900)]
        multiple = np.clip(np.round(bins * self.spectra.step / self.mains).astype(int), 1, self.floor.size)
        expected = self.floor[multiple - 1] + self._skirt(bins, multiple)
        ratio = mean[bins] / np.maximum(expected, 1e-300)
        best = int(np.argmax(ratio))
        return float(bins[best] * self.spectra.step), float(ratio[best])

    def _edges(self) -> tuple[Array, Array]:
        centre = np.round(self.orders * self.mains / self.spectra.step).astype(int)
        half = LOBE + np.ceil(self.orders * WANDER / self.spectra.step).astype(int)
        return centre - half, np.minimum(centre + half, self.spectra.kept.shape[1] - 1)

    def _gaps(self) -> Array:
        """Kept bins that are far from every line; lines a few bins wide leave most of a gap free."""
        hertz = np.arange(self.spectra.kept.shape[1]) * self.spectra.step
        away = np.abs(hertz - np.round(hertz / self.mains) * self.mains)
        return np.asarray((hertz > 30) & (hertz < HIGHEST_LINE) & (away > 5 + 0.002 * hertz))

    def _skirt(self, bins: Array, multiple: Array) -> Array:
        """What a Hann window lets a line leave d bins away: at most 1/(pi d (d^2 - 1)) of its height."""
        height = np.maximum(self.powers.mean(axis=0), 0)[np.minimum(multiple, self.orders.size) - 1] / 1.5
        d = np.abs(bins - multiple * self.mains / self.spectra.step)
        return height * (np.pi * d * (d**2 - 1)) ** -2.0


def find_lines(found: Spectra, assumed: float | None = None) -> Lines:
    """Find the mains between 45 and 65 Hz, by all of its lines together.

    Parameters
    ----------
    found : Spectra
    assumed : float, optional
        Hz; stands in where no line stands out, 50 if left out.
    """
    mean = found.kept.mean(axis=0, dtype=float)
    coarse = _coarse(found, mean)
    orders = np.arange(1, int(HIGHEST_LINE / coarse) + 1)
    floor = _floor(found, coarse)[orders - 1]
    near = np.round(orders * coarse / found.step).astype(int)
    strength = np.max([mean[near + i] for i in (-1, 0, 1)], axis=0) / np.maximum(floor, 1e-300)
    # Noise alone reaches some way above its mean too, the less the more segments there are.
    clear = strength > 1 + STANDS_OUT / np.sqrt(found.segments) * 1.5
    clear &= strength > 2
    if not clear[:10].any():
        return Lines(found, assumed or 50.0, np.inf)
    weight = orders[clear] ** 2 * np.minimum(strength[clear], 1e6)
    each = _between_bins(found, near[clear]) * found.step / orders[clear]
    per_segment = np.average(each, axis=1, weights=weight)
    middle = float(np.median(per_segment))
    good = per_segment[np.abs(per_segment - middle) < 0.5]
    spread = np.std(good, ddof=1) / np.sqrt(good.size) if good.size > 1 else found.step
    return Lines(found, float(good.mean()), float(max(spread, 1e-5)))


def _coarse(found: Spectra, mean: Array) -> float:
    """The candidate whose multiples stand highest above their surroundings, in the sum of logarithms."""
    candidates = np.arange(LOWEST_MAINS, HIGHEST_MAINS + 0.005, 0.01)
    orders = np.arange(1, int(HIGHEST_LINE / HIGHEST_MAINS) + 1)
    bins = np.round(np.outer(candidates, orders) / found.step).astype(int)
    width = max(3, int(15 / found.step))
    padded = np.pad(mean, width, mode="reflect")
    around = np.lib.stride_tricks.sliding_window_view(padded, 2 * width + 1)
    surroundings = np.maximum(np.median(around, axis=-1), 1e-300)
    stands = np.log1p(np.maximum(mean / surroundings - 1, 0))
    score = stands[bins].sum(axis=1)
    top = candidates[score >= score.max() - 1e-9]
    return float(top[np.argmin(np.abs(top - top.mean()))])


def _between_bins(found: Spectra, near: Array) -> Array:
    """Where between bins each line's top lies, shape (segments, lines)."""
    offsets = np.arange(-2, 3)
    around = np.sqrt(found.kept[:, near[:, np.newaxis] + offsets].astype(float))
    peak = 1 + np.argmax(around[..., 1:-1], axis=-1)

    def at(i: int) -> Array:
        return np.take_along_axis(around, (peak + i)[..., np.newaxis], axis=-1)[..., 0]

    left, top, right = at(-1), np.maximum(at(0), 1e-300), at(1)
    up = right >= left
    ratio = np.where(up, right, left) / top
    shift = np.where(up, 1, -1) * (2 * ratio - 1) / (ratio + 1)
    return near + offsets[peak] + shift


def _floor(found: Spectra, mains: float) -> Array:
    """Floor per bin around each multiple: the median of the bins far from lines, as a mean."""
    top = min(AUDIBLE[1], (found.mean.size - 1) * found.step * 0.95)
    count = int(top / mains)
    hertz = np.arange(found.mean.size) * found.step
    multiple = np.round(hertz / mains).astype(int)
    away = np.abs(hertz - multiple * mains)
    use = (away > GAP * mains) & (multiple >= 1) & (multiple <= count)
    order, values = multiple[use], found.mean[use]
    starts = np.searchsorted(order, np.arange(1, count + 2))
    medians = np.array([np.median(values[a:b]) for a, b in pairwise(starts)])
    # Median over mean of an average of n squared magnitudes (Wilson and Hilferty 1931).
    return medians / (1 - 1 / (9 * found.segments)) ** 3
