"""Back from what inductance meters showed to the pickup behind the readings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.measurement.estimates import Figure, figures
from pickupcalc.answers.measurement.meter import MeterReading, shown_values
from pickupcalc.errors import InputError
from pickupcalc.physics.measuring.estimate import most_probable
from pickupcalc.tables import table
from pickupcalc.units import Given, to_si

if TYPE_CHECKING:
    from pint import Quantity

# ohm and spread of its logarithm, where no reading tells; common practice, no source
EXPECTED_LOSS = (1e6, 1.2)
LIKELY_INDUCTANCE = 3.0  # henry; pickups have 2 to 10 H (M. Zollner, Physik der Elektrogitarre, p. 5-62)
PLAIN_BELOW = 150.0  # Hz: in series mode a meter then shows the inductance itself within a percent or two
UNITS = ("ohm", "henry", "farad", "ohm")


@dataclass(frozen=True)
class FromMeter:
    """The pickup behind meter readings.

    Attributes
    ----------
    resistance, inductance, capacitance, loss_resistance : Figure
        Resistance at the temperature it was read at.
    agreement : float
        Summed squared misfit per reading; well above 1, the readings contradict each other.
    """

    resistance: Figure
    inductance: Figure
    capacitance: Figure
    loss_resistance: Figure
    agreement: float

    def as_json(self) -> dict[str, Any]:
        names = ("resistance", "inductance", "capacitance", "loss_resistance")
        return {name: getattr(self, name).as_json() for name in names} | {"agreement": self.agreement}


def from_meter(
    readings: Sequence[MeterReading],
    resistance: Given,
    *,
    resistance_tolerance: float = 0.01,
    capacitance: Given | None = None,
    capacitance_tolerance: float = 0.1,
) -> FromMeter:
    """Inductance, own capacitance and losses behind what meters showed.

    Parameters
    ----------
    readings : sequence of MeterReading
        At one frequency or more. One tells the inductance, two far apart also
        the own capacitance; with Q or resistance, the losses too.
    resistance : Quantity or str
        DC, at the same temperature.
    resistance_tolerance, capacitance_tolerance : float
        Two standard deviations, relative.
    capacitance : Quantity or str, optional
        Own capacitance, if known; otherwise the usual one with its wide spread.

    Returns
    -------
    FromMeter
        What the readings do not tell keeps its expected value, marked as assumed.

    Raises
    ------
    InputError
        Without readings, or for readings no pickup can show.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> from pickupcalc.answers.measurement.meter import MeterReading
    >>> readings = [MeterReading(frequency="1 kHz", inductance="2.45 H")]
    >>> found = pc.from_meter(readings, resistance="6.1 kohm")
    >>> f"{found.inductance.value.m:.2f} H", found.inductance.measured, found.capacitance.measured
    ('2.46 H', True, False)
    """
    if not readings:
        raise InputError.of("readings", "is empty; at least one meter reading is needed")
    r = to_si(resistance, "ohm", "resistance")
    given = capacitance is not None
    c = to_si(capacitance if given else table("usual")["pickup"]["capacitance"], "farad", "capacitance")
    if not (r > 0 and c > 0):
        raise InputError.of("resistance", "resistance and capacitance must be above zero")
    kinds, values, errors = _flat(readings)
    spread_c = (capacitance_tolerance if given else table("uncertainty")["assumed"]["capacitance"]) / 2
    expected = [r, _first_guess(readings[0], r), c, EXPECTED_LOSS[0]]
    spread = [resistance_tolerance / 2, 1.5, spread_c, EXPECTED_LOSS[1]]
    found = most_probable(lambda sets: _model(sets, readings, kinds), expected, spread, values, errors)
    agreement = found.chi_squared / len(values)
    if agreement > 25:
        raise InputError.of(
            "readings", "no pickup shows all of these; check mode, frequency and unit of each reading"
        )
    r_dc, henry, farad, loss = figures(found, UNITS, (True, False, given, False))
    return FromMeter(r_dc, henry, farad, loss, agreement)


def own_inductance(shown: MeterReading, resistance: Given, capacitance: Given | None = None) -> Quantity:
    """The pickup's inductance behind one reading, by the shortest way that serves.

    Parameters
    ----------
    shown : MeterReading
    resistance, capacitance : Quantity or str
        The pickup's, direct current and its own; a usual capacitance stands in where none is given.

    Returns
    -------
    Quantity, henry
    """
    if shown.mode == "series" and shown.frequency.m < PLAIN_BELOW:
        return shown.inductance
    return from_meter([shown], resistance, capacitance=capacitance).inductance.value


def _first_guess(reading: MeterReading, resistance: float) -> float:
    """A parallel reading of R + jwL is L + (R/w)^2 / L: of its two roots, the one like a pickup."""
    shown = abs(reading.inductance.m)
    if reading.mode == "series":
        return shown
    square = (resistance / (2 * np.pi * reading.frequency.m)) ** 2
    root = np.sqrt(max(shown**2 - 4 * square, 0.0))
    roots = ((shown + root) / 2, 2 * square / (shown + root))
    return float(min(roots, key=lambda henry: abs(np.log(henry / LIKELY_INDUCTANCE))))


def _flat(readings: Sequence[MeterReading]) -> tuple[list[tuple[int, int]], list[float], list[float]]:
    """Which number of which reading, its value, and its standard deviation."""
    kinds, values, errors = [], [], []
    for i, r in enumerate(readings):
        shown = (None if r.resistance is None else r.resistance.m, r.inductance.m, r.q)
        for kind, value in enumerate(shown):
            if value is not None and (kind != 0 or r.q is None):
                kinds.append((i, kind))
                values.append(float(value))
                errors.append(abs(value) * r.tolerance / 2 + 1e-12)
    return kinds, values, errors


def _model(
    sets: NDArray[Any], readings: Sequence[MeterReading], kinds: list[tuple[int, int]]
) -> NDArray[Any]:
    shown = [shown_values(sets, r.frequency.m, r.mode) for r in readings]
    return np.stack([shown[i][kind] for i, kind in kinds], axis=-1)
