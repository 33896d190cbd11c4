"""What an inductance meter shows for a pickup, why two meters disagree, and back to the pickup.

A meter measures an impedance at its own frequency and shows it as a resistance
and an inductance, either in series or side by side. A pickup is neither: its
wire's resistance, its own capacitance and its losses all enter the number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.measurement.estimates import Figure, figures
from pickupcalc.errors import InputError
from pickupcalc.parts.fields import Part, choice, measured, number
from pickupcalc.parts.pickup import COPPER_20_DEGC, COPPER_COEFFICIENT, Pickup
from pickupcalc.physics.measuring.estimate import most_probable
from pickupcalc.physics.measuring.impedance import parallel_equivalent, pickup_impedance, series_equivalent
from pickupcalc.tables import table
from pickupcalc.units import engineering, quantity, to_si, with_units

if TYPE_CHECKING:
    from pint import Quantity

METER_FREQUENCIES = ("100 Hz", "120 Hz", "1 kHz", "10 kHz")
# ohm and spread of its logarithm, where no reading tells; common practice, no source
EXPECTED_LOSS = (1e6, 1.2)
COLDEST, HOTTEST = 223.15, 423.15  # K, between which copper's line is straight enough
LIKELY_INDUCTANCE = 3.0  # henry; pickups have 2 to 10 H (M. Zollner, Physik der Elektrogitarre, p. 5-62)
UNITS = ("ohm", "henry", "farad", "ohm")


@with_units(resistance="ohm", measured_at="kelvin", wanted_at="kelvin", returns="ohm")
def copper_resistance(resistance: Any, measured_at: Any, wanted_at: Any) -> Any:
    """A winding's resistance at another temperature; 10 K are 4 %.

    Parameters
    ----------
    resistance : Quantity or str
        As read at `measured_at`.
    measured_at, wanted_at : Quantity or str
        Temperatures, -50 to 150 degC.

    Returns
    -------
    Quantity, ohm
        By the straight line of IEC 60028:1925, 0.393 % per kelvin at 20 degC.

    Raises
    ------
    InputError
        For a temperature outside of that range, or a bare number.
    """
    for name, t in (("measured_at", measured_at), ("wanted_at", wanted_at)):
        if not np.all((np.asarray(t) >= COLDEST) & (np.asarray(t) <= HOTTEST)):
            raise InputError.of(name, f"{np.asarray(t) - 273.15} degC is not from -50 to 150 degC")
    slope = [1 + COPPER_COEFFICIENT * (t - COPPER_20_DEGC) for t in (measured_at, wanted_at)]
    return resistance * slope[1] / slope[0]


@dataclass(frozen=True, kw_only=True)
class MeterReading(Part):
    """What a meter shows, or showed.

    Parameters
    ----------
    frequency : Quantity or str
        The meter's own.
    inductance : Quantity or str
        Negative where the pickup is beyond its resonance.
    mode : {"series", "parallel"}
    resistance : Quantity or str, optional
        Shown beside it, in the same mode.
    q : float, optional
        Shown in its place; a meter that shows D shows 1/Q.
    tolerance : float
        Two standard deviations of the shown values, relative.
    """

    frequency: Quantity = measured("hertz", above=0)
    inductance: Quantity = measured("henry")
    mode: str = choice("series", "parallel", default="series")
    resistance: Quantity | None = measured("ohm", default=None)
    q: Any = number(default=None)
    tolerance: Any = number(default=0.02, at_least=1e-5, at_most=1)


def meter_reading(
    pickup: Pickup, frequency: Any, mode: str = "series", temperature: Any = "20 degC"
) -> MeterReading:
    """What a perfect meter shows for a pickup.

    Parameters
    ----------
    pickup : Pickup
    frequency : Quantity or str
    mode : {"series", "parallel"}
    temperature : Quantity or str
        Of the winding.

    Returns
    -------
    MeterReading
    """
    r = copper_resistance.si(
        pickup.resistance_at_20_degc.m, COPPER_20_DEGC, to_si(temperature, "kelvin", "temperature")
    )
    loss = np.inf if pickup.loss_resistance is None else pickup.loss_resistance.m
    hertz = to_si(frequency, "hertz", "frequency")
    shown = _shown(np.array([[r, pickup.inductance.m, pickup.known("capacitance").m, loss]]), hertz, mode)
    resistance, inductance, q = (float(v[0]) for v in shown)
    return MeterReading(
        frequency=quantity(hertz, "hertz"),
        inductance=quantity(inductance, "henry"),
        mode=mode,
        resistance=quantity(resistance, "ohm"),
        q=q,
    )


def meter_curve(pickup: Pickup, frequencies: Any, mode: str = "series") -> Quantity:
    """What perfect meters show over their frequency, the winding at 20 degC.

    Parameters
    ----------
    pickup : Pickup
    frequencies : Quantity, shape (frequencies,)
    mode : {"series", "parallel"}

    Returns
    -------
    Quantity, henry, shape (frequencies,)
    """
    hertz = to_si(frequencies, "hertz", "frequencies")
    loss = np.inf if pickup.loss_resistance is None else pickup.loss_resistance.m
    parts = (pickup.resistance_at_20_degc.m, pickup.inductance.m, pickup.known("capacitance").m, loss)
    return quantity(_shown(np.array([parts]), hertz, mode)[1], "henry")


@dataclass(frozen=True)
class Share:
    """One cause's share in what a meter shows."""

    cause: str
    inductance: Quantity


def shares(pickup: Pickup, frequency: Any, mode: str = "series") -> list[Share]:
    """Where a shown inductance comes from: the true one, then what each cause adds or takes.

    The causes are put on one after the other, so that they sum to the reading.
    """
    hertz = to_si(frequency, "hertz", "frequency")
    loss = np.inf if pickup.loss_resistance is None else pickup.loss_resistance.m
    resistance, inductance = pickup.resistance_at_20_degc.m, pickup.inductance.m
    capacitance = pickup.known("capacitance").m
    steps = np.array(
        [
            [1e-9, inductance, 0.0, np.inf],
            [resistance, inductance, 0.0, np.inf],
            [resistance, inductance, capacitance, np.inf],
            [resistance, inductance, capacitance, loss],
        ]
    )
    _, shown, _ = _shown(steps, hertz, mode)
    causes = ("true inductance", "wire's resistance", "own capacitance", "losses")
    return [
        Share(c, quantity(float(v), "henry"))
        for c, v in zip(causes, np.diff(shown, prepend=0.0), strict=True)
    ]


def why_they_disagree(pickup: Pickup, one: tuple[Any, str], other: tuple[Any, str]) -> str:
    """One sentence on why two meters, each (frequency, mode), show different inductances."""
    readings = [meter_reading(pickup, *meter) for meter in (one, other)]
    told = [
        f"{engineering(r.inductance.m, 'H')} at {engineering(r.frequency.m, 'Hz', 2)} in {r.mode} mode"
        for r in readings
    ]
    first, second = ({s.cause: s.inductance.m for s in shares(pickup, r.frequency, r.mode)} for r in readings)
    cause = max(first, key=lambda c: abs(second[c] - first[c]))
    part = engineering(second[cause] - first[cause], "H", 2)
    return f"{told[0]}, {told[1]}: most of it is the {cause} ({part}); the inductance itself is the same."


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
    resistance: Any,
    *,
    resistance_tolerance: float = 0.01,
    capacitance: Any = None,
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


def _shown(values: NDArray[Any], hertz: Any, mode: str) -> tuple[NDArray[Any], ...]:
    """Resistance, inductance and Q that a meter shows, shape (sets,), for values of shape (sets, 4)."""
    if mode not in ("series", "parallel"):
        raise InputError.of("mode", f'"{mode}" is not one of: "series", "parallel"')
    omega = 2 * np.pi * hertz
    z = pickup_impedance(omega, *values.T)
    turn = series_equivalent if mode == "series" else parallel_equivalent
    resistance, inductance = turn(omega, z)
    return resistance, inductance, z.imag / z.real


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
    shown = [_shown(sets, r.frequency.m, r.mode) for r in readings]
    return np.stack([shown[i][kind] for i, kind in kinds], axis=-1)
