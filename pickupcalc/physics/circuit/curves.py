"""What a person reads off a response curve: its peak, its cut-off, its Q. Refined, not read off a grid."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

LOWEST, HIGHEST = 20.0, 100e3  # Hz, between which peaks and cut-offs are sought
GRID = 320  # points of the first look, 86 to a decade: finds any peak of a Q below 30
ZOOM = 17  # points of each closer look, which narrows the bracket eightfold
SILENT = 1e-9  # a gain below this is rounding, not signal
LEAST_RISE = 1 + 1e-11  # by which a peak stands above its neighbours, so that rounding makes none

Array = NDArray[Any]
Gain = Callable[[Array], Array]


def highest_peak(gain: Gain) -> tuple[Array, Array]:
    """The highest maximum of a gain between 20 Hz and 100 kHz.

    Parameters
    ----------
    gain : callable
        Takes frequencies, Hz, of shape (points,) or (sets, points) and returns
        magnitudes that broadcast to (sets, points).

    Returns
    -------
    frequency, height : ndarray, shape (sets,)
        Hz, and the gain there; nan where the curve has no maximum inside.
    """
    grid = np.geomspace(LOWEST, HIGHEST, GRID)
    level = np.atleast_2d(gain(grid))
    middle = level[:, 1:-1]
    tops = (middle > level[:, :-2] * LEAST_RISE) & (middle >= level[:, 2:]) & (middle > SILENT)
    best = np.where(tops, middle, -1.0).argmax(axis=1) + 1
    x, step = np.log(grid[best]), np.log(grid[1] / grid[0])
    for _ in range(3):
        around = x[:, np.newaxis] + step * np.linspace(-1, 1, ZOOM)
        level = np.atleast_2d(gain(np.exp(around)))
        near = np.clip(level.argmax(axis=1), 1, ZOOM - 2)
        x = np.take_along_axis(around, near[:, np.newaxis], axis=1)[:, 0]
        step *= 2 / (ZOOM - 1)
    left, top, right = (np.take_along_axis(level, near[:, np.newaxis] + i, axis=1)[:, 0] for i in (-1, 0, 1))
    bend = left - 2 * top + right
    with np.errstate(divide="ignore", invalid="ignore"):
        shift = np.where(bend < 0, 0.5 * (left - right) / bend, 0.0)
    found = tops.any(axis=1)
    frequency = np.where(found, np.exp(x + np.clip(shift, -1, 1) * step), np.nan)
    return frequency, np.where(found, top - 0.25 * (left - right) * shift, np.nan)


def falls_below(gain: Gain, limit: ArrayLike, start: ArrayLike) -> Array:
    """Where a gain first falls below a limit above a start frequency.

    Parameters
    ----------
    gain : callable
        As for `highest_peak`.
    limit, start : array_like, shape (sets,)
        The gain, and the frequency in Hz from which to look upwards.

    Returns
    -------
    ndarray, shape (sets,)
        Hz; nan where the gain does not fall so far below 100 kHz.
    """
    limit, start = np.atleast_1d(limit), np.atleast_1d(start)
    low = np.log(start)
    high = np.full_like(low, np.log(HIGHEST))
    found = np.ones(np.broadcast_shapes(limit.shape, start.shape), dtype=bool)
    fraction = np.linspace(0, 1, GRID)
    for _ in range(4):
        x = low[:, np.newaxis] + (high - low)[:, np.newaxis] * fraction
        level = np.atleast_2d(gain(np.exp(x)))
        below = level < limit[:, np.newaxis]
        found = found & below.any(axis=1)
        first = np.maximum(below.argmax(axis=1), 1)[:, np.newaxis]
        low, high = (np.take_along_axis(x, first + i, axis=1)[:, 0] for i in (-1, 0))
        fraction = np.linspace(0, 1, ZOOM)
    above, under = (np.take_along_axis(level, first + i, axis=1)[:, 0] for i in (-1, 0))
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.clip((above - limit) / (above - under), 0, 1)
    return np.where(found & (limit > SILENT), np.exp(low + (high - low) * part), np.nan)


def q_of_height(height: ArrayLike) -> Array:
    """Q of the second-order low-pass whose peak stands `height` times above its level at zero.

    From |H|max = Q / sqrt(1 - 1/(4 Q^2)), a second-order low-pass's peak (any
    filter text, e.g. Zverev, *Handbook of Filter Synthesis*, 1967). Valid for
    heights of at least 1; nan below.

    Examples
    --------
    >>> round(float(q_of_height(2.0)), 2)
    1.93
    """
    squared = np.asarray(height, dtype=float) ** 2
    with np.errstate(invalid="ignore"):
        return np.sqrt((squared + np.sqrt(squared * (squared - 1))) / 2)


def low_pass_of_fall(at_half: ArrayLike, at_tenth: ArrayLike) -> tuple[Array, Array]:
    """The second-order low-pass that falls through half and a tenth of its power at these frequencies.

    It works where there is no peak. With u = f^2 the low-pass obeys
    1/|H|^2 = 1 + A u + B u^2; two points give A and B. Maximally flat is A = 0.

    Parameters
    ----------
    at_half, at_tenth : array_like
        Hz, the second above the first.

    Returns
    -------
    natural_frequency, q : ndarray
        B^(-1/4) in Hz, and 1/sqrt(2 + A/sqrt(B)). Where the curve falls no steeper
        than one of first order (the frequencies stand 1 to 3 or more), nan and 0.
    """
    u, v = np.asarray(at_half, dtype=float) ** 2, np.asarray(at_tenth, dtype=float) ** 2
    with np.errstate(invalid="ignore", divide="ignore"):
        b = (9 / v - 1 / u) / (v - u)
        a = 1 / u - b * u
        quality = 1 / np.sqrt(2 + a / np.sqrt(b))
        natural = np.where(b > 0, np.abs(b) ** -0.25, np.nan)[()]
    return natural, np.where(b > 0, quality, np.where(np.isnan(b), np.nan, 0.0))[()]
