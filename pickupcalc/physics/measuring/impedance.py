"""A pickup's impedance, what a meter makes of it, and how it moves with each of its parts.

The model: winding resistance and inductance in series, if wanted with one pair
of inductance and resistance side by side in the same path (iron and plates,
which lose inductance as frequency rises), and across all of it the winding's
own capacitance and a loss resistance.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[Any]

NAMES = ("resistance", "inductance", "capacitance", "loss_resistance", "iron_inductance", "iron_resistance")


def pickup_impedance(
    omega: ArrayLike,
    resistance: ArrayLike,
    inductance: ArrayLike,
    capacitance: ArrayLike = 0.0,
    loss_resistance: ArrayLike = np.inf,
    iron_inductance: ArrayLike = 0.0,
    iron_resistance: ArrayLike = 1.0,
) -> Array:
    """Impedance at the leads, ohm; all arguments broadcast.

    Parameters
    ----------
    omega : array_like
        rad/s, above zero.
    resistance, inductance : array_like
        Ohm, henry, in series.
    capacitance, loss_resistance : array_like
        Farad, ohm, across the whole.
    iron_inductance, iron_resistance : array_like
        Henry, ohm, side by side, in series with the first two. At low frequency
        the inductance is the sum of both.
    """
    jw = 1j * np.asarray(omega)
    series = _series(jw, resistance, inductance, iron_inductance, iron_resistance)
    return 1 / (1 / series + jw * np.asarray(capacitance) + 1 / np.asarray(loss_resistance))


def log_slopes(omega: Array, values: ArrayLike) -> Array:
    """How ln Z moves with the logarithm of each part.

    Parameters
    ----------
    omega : ndarray, shape (frequencies,)
    values : array_like, shape (4,) or (6,)
        In the order of `NAMES`.

    Returns
    -------
    ndarray of complex, shape (frequencies, parts)
        The derivatives of the expression in `pickup_impedance`, term by term.
    """
    values = np.asarray(values, dtype=float)
    jw = 1j * np.asarray(omega)
    z = pickup_impedance(omega, *values)
    share = z / _series(jw, values[0], values[1], *values[4:]) ** 2
    slopes = [values[0] * share, jw * values[1] * share, -jw * values[2] * z, z / values[3]]
    if values.size == 6:
        x, r = jw * values[4], values[5]
        pair = x * r / (x + r)
        slopes += [pair**2 / x * share, pair**2 / r * share]
    return np.stack(slopes, axis=-1)


def series_equivalent(omega: ArrayLike, impedance: ArrayLike) -> tuple[Array, Array]:
    """Resistance and inductance in series that have this impedance; negative where it is capacitive."""
    z = np.asarray(impedance)
    return z.real, z.imag / np.asarray(omega)


def parallel_equivalent(omega: ArrayLike, impedance: ArrayLike) -> tuple[Array, Array]:
    """Resistance and inductance side by side that have this impedance."""
    y = 1 / np.asarray(impedance)
    with np.errstate(divide="ignore"):
        return 1 / y.real, -1 / (np.asarray(omega) * y.imag)


def series_inductance(omega: ArrayLike, values: ArrayLike) -> Array:
    """Inductance of the winding's own path, without capacitance and losses across it, henry."""
    values = np.asarray(values, dtype=float)
    jw = 1j * np.asarray(omega)
    return np.asarray(_series(jw, values[0], values[1], *values[4:]).imag / np.asarray(omega))


def _series(
    jw: Array,
    resistance: ArrayLike,
    inductance: ArrayLike,
    iron_inductance: ArrayLike = 0.0,
    iron_resistance: ArrayLike = 1.0,
) -> Array:
    x, r = jw * np.asarray(iron_inductance), np.asarray(iron_resistance)
    return np.asarray(resistance) + jw * np.asarray(inductance) + x * r / (x + r)
