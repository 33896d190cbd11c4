"""Inductance and own capacitance from how far known capacitors pull the peak down.

Across a coil the peak obeys 1/omega^2 = L (C_own + C_added): a straight line
over the added capacitance whose slope is L and whose foot is -C_own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import comb
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.measurement.estimates import Figure
from pickupcalc.errors import InputError
from pickupcalc.limits import COMBINATIONS, at_most, whole
from pickupcalc.parts.preferred import preferred_values
from pickupcalc.units import quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity

LOWEST_PEAK, HIGHEST_PEAK = 1200.0, 20e3  # Hz: below, a peak is too broad; above, no sound card follows
LEAST_STEP = 1.3  # between neighbouring peaks: nearer ones would hide a misread one
MOST_FITTED = 6  # capacitors a plan may name


@dataclass(frozen=True)
class FromPeaks:
    """What the line through the peaks tells.

    Attributes
    ----------
    inductance, capacitance : Figure
        The capacitance is the winding's own with whatever hung on it (leads, probe).
    inductance_rests_on, capacitance_rests_on : str
        What their spread comes from.
    misfit : float
        Summed squares over error, per reading beyond two; above about 4 one peak was misread.
    """

    inductance: Figure
    capacitance: Figure
    inductance_rests_on: str
    capacitance_rests_on: str
    misfit: float


def from_peaks(
    added: Sequence[Any],
    peaks: Sequence[Any],
    *,
    peak_tolerance: float = 0.01,
    capacitor_tolerance: float = 0.01,
    resistance: Any = None,
) -> FromPeaks:
    """Inductance and own capacitance from peaks read with known capacitors across the pickup.

    Parameters
    ----------
    added : sequence of Quantity or str
        Capacitors, zero ("0 F") for none; two different ones at least.
    peaks : sequence of Quantity or str
        Peak frequency with each.
    peak_tolerance, capacitor_tolerance : float
        Two standard deviations, relative.
    resistance : Quantity or str, optional
        Of the winding; it lowers a peak a little (omega^2 = 1/(L C) - R^2/(2 L^2)
        for the voltage at the capacitor), which is then put right.

    Returns
    -------
    FromPeaks

    Raises
    ------
    InputError
        For fewer than two different capacitors, or peaks that do not fall as
        capacitors grow.
    """
    farad = np.array([to_si(c, "farad", "added") for c in added], dtype=float)
    hertz = np.array([to_si(f, "hertz", "peaks") for f in peaks], dtype=float)
    if farad.size != hertz.size or np.unique(farad).size < 2:
        raise InputError.of("added", "needs two different capacitors at least, each with its peak")
    if np.any(farad < 0) or np.any(hertz <= 0):
        raise InputError.of("added", "capacitors are zero or more and peaks above zero")
    ohm = 0.0 if resistance is None else to_si(resistance, "ohm", "resistance")
    square = (2 * np.pi * hertz) ** -2
    slope, foot = _line(farad, square, np.ones_like(square))
    if slope <= 0:
        raise InputError.of("peaks", "do not fall as the capacitor grows; a peak or a capacitor is mixed up")
    for _ in range(4):  # the correction for resistance needs L, which it changes little
        straight = 1 / ((2 * np.pi * hertz) ** 2 + ohm**2 / (2 * slope**2))
        error = np.hypot(peak_tolerance * straight, capacitor_tolerance / 2 * farad * slope)
        slope, foot = _line(farad, straight, error**-2)
    covariance = _covariance(farad, error**-2)
    own = foot / slope
    if own <= 0:
        raise InputError.of("peaks", "give an own capacitance below zero; a peak or a capacitor is mixed up")
    misfit = np.sum(((straight - foot - slope * farad) / error) ** 2) / max(farad.size - 2, 1)
    widen = max(1.0, misfit) if farad.size > 2 else 1.0
    towards = np.array([[0.0, 1 / slope], [1 / foot, -1 / slope]])  # of ln L and ln C over foot and slope
    spread = 2 * np.sqrt(np.diag(towards @ covariance @ towards.T) * widen)
    rests = "reading the peaks" if peak_tolerance > capacitor_tolerance / 2 else "the capacitors"
    return FromPeaks(
        Figure(quantity(float(slope), "henry"), float(spread[0])),
        Figure(quantity(float(own), "farad"), float(spread[1])),
        rests,
        "how far the smallest capacitor is from none" if farad.min() > own else rests,
        float(misfit),
    )


@dataclass(frozen=True)
class Plan:
    """Capacitors to use, where each peak will lie, and how sure the result will be.

    Attributes
    ----------
    added, peaks : Quantity, shape (count,)
        Farad, from none or the smallest up, and hertz.
    inductance_fraction, capacitance_fraction : float
        Two standard deviations, relative.
    """

    added: Quantity
    peaks: Quantity
    inductance_fraction: float
    capacitance_fraction: float


def capacitor_plan(
    inductance: Any,
    capacitance: Any,
    *,
    count: int = 3,
    series: str = "E6",
    peak_tolerance: float = 0.01,
    capacitor_tolerance: float = 0.01,
) -> Plan:
    """The capacitors that tell inductance and own capacitance best.

    Parameters
    ----------
    inductance, capacitance : Quantity or str
        As roughly expected.
    count : int
        How many capacitors, 2 to 6; none at all counts as one of them.
    series : str
        Preferred values to choose from, between 22 pF and 22 nF.
    peak_tolerance, capacitor_tolerance : float
        Two standard deviations, relative.

    Returns
    -------
    Plan
        With the smallest product of both spreads among peaks from 1.2 to 20 kHz
        that lie a third apart.

    Raises
    ------
    InputError
        For values not above zero, a count or series out of range, and where no
        such capacitors put the peaks in reach.
    """
    henry, own = to_si(inductance, "henry", "inductance"), to_si(capacitance, "farad", "capacitance")
    if not (henry > 0 and own > 0):
        raise InputError.of("inductance", "inductance and capacitance must be above zero")
    whole("count", count, 2, MOST_FITTED)
    shop = np.concatenate([[0.0], preferred_values(series, "22 pF", "22 nF", "farad").m])
    peaks = 1 / (2 * np.pi * np.sqrt(henry * (own + shop)))
    usable = shop[(peaks > LOWEST_PEAK) & (peaks < HIGHEST_PEAK)]
    if usable.size < count:
        raise InputError.of("count", f"only {usable.size} capacitors of {series} put the peak in reach")
    at_most("series", comb(usable.size, count), COMBINATIONS, "combinations in reach")
    sets = np.array(list(combinations(usable, count)))
    steps = np.sqrt((own + sets[:, 1:]) / (own + sets[:, :-1]))
    sets = sets[(steps > LEAST_STEP).all(axis=1)]
    if not len(sets):
        raise InputError.of("count", f"{count} capacitors of {series} do not fit between 1.2 and 20 kHz")
    y = henry * (own + sets)
    weight = np.hypot(peak_tolerance * y, capacitor_tolerance / 2 * sets * henry) ** -2
    s0, s1, s2 = (np.sum(weight * sets**k, axis=1) for k in range(3))
    determinant = s0 * s2 - s1**2
    of_l = s0 / determinant / henry**2
    foot = henry * own
    of_c = s2 / determinant / foot**2 + of_l + 2 * s1 / determinant / (foot * henry)
    best = int(np.argmin(of_l * of_c))
    chosen = sets[best]
    return Plan(
        quantity(chosen, "farad"),
        quantity(1 / (2 * np.pi * np.sqrt(henry * (own + chosen))), "hertz"),
        float(2 * np.sqrt(of_l[best])),
        float(2 * np.sqrt(of_c[best])),
    )


def _line(x: NDArray[Any], y: NDArray[Any], weight: NDArray[Any]) -> tuple[float, float]:
    mean_x, mean_y = np.average(x, weights=weight), np.average(y, weights=weight)
    slope = np.sum(weight * (x - mean_x) * (y - mean_y)) / np.sum(weight * (x - mean_x) ** 2)
    return float(slope), float(mean_y - slope * mean_x)


def _covariance(x: NDArray[Any], weight: NDArray[Any]) -> NDArray[Any]:
    """Of foot and slope."""
    moments = [np.sum(weight * x**k) for k in range(3)]
    normal = np.array([[moments[0], moments[1]], [moments[1], moments[2]]])
    scale = np.sqrt(np.diag(normal))
    return np.linalg.inv(normal / np.outer(scale, scale)) / np.outer(scale, scale)
