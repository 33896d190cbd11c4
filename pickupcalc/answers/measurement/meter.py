"""What an inductance meter shows for a pickup, and why two meters disagree.

A meter measures an impedance at its own frequency and shows it as a resistance
and an inductance, either in series or side by side. A pickup is neither: its
wire's resistance, its own capacitance and its losses all enter the number.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.errors import InputError
from pickupcalc.parts.fields import Amount, MaybeAmount, Part, choice, measured, number
from pickupcalc.parts.pickup import COPPER_20_DEGC, Pickup
from pickupcalc.physics.measuring.impedance import parallel_equivalent, pickup_impedance, series_equivalent
from pickupcalc.physics.winding.wire import COPPER_COEFFICIENT
from pickupcalc.units import Given, celsius, engineering, quantity, to_si, with_units

if TYPE_CHECKING:
    from pint import Quantity

METER_FREQUENCIES = ("100 Hz", "120 Hz", "1 kHz", "10 kHz")
COLDEST, HOTTEST = 223.15, 423.15  # K, between which copper's line is straight enough


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
    return resistance * copper_factor(wanted_at, "wanted_at") / copper_factor(measured_at, "measured_at")


def copper_factor(kelvin: Any, key: str) -> Any:
    """A winding's resistance at a temperature in K over that at 20 degC; refused by `key` out of range."""
    t = np.atleast_1d(kelvin)
    outside = t[~((t >= COLDEST) & (t <= HOTTEST))]
    if outside.size:
        raise InputError.of(key, f"{celsius(outside[0]):.5g} degC is not from -50 to 150 degC")
    return 1 + COPPER_COEFFICIENT * (kelvin - COPPER_20_DEGC)


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

    frequency: Amount = measured("hertz", above=0)
    inductance: Amount = measured("henry")
    mode: str = choice("series", "parallel", default="series")
    resistance: MaybeAmount = measured("ohm", default=None)
    q: Any = number(default=None)
    tolerance: Any = number(default=0.02, at_least=1e-5, at_most=1)


def meter_reading(
    pickup: Pickup, frequency: Given, mode: str = "series", temperature: Given = "20 degC"
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

    Examples
    --------
    >>> import pickupcalc as pc
    >>> pickup = pc.Pickup(name="neck", resistance="6.1 kohm", inductance="2.45 H", capacitance="110 pF")
    >>> reading = pc.meter_reading(pickup, "1 kHz", "parallel")
    >>> f"{reading.inductance.m:.2f} H where {pickup.inductance.m:.2f} H are wound"
    '2.87 H where 2.45 H are wound'
    """
    cold, *others = _values(pickup)
    warm = cold * copper_factor(to_si(temperature, "kelvin", "temperature"), "temperature")
    hertz = to_si(frequency, "hertz", "frequency")
    shown = shown_values(np.array([[warm, *others]]), hertz, mode)
    resistance, inductance, q = (float(v[0]) for v in shown)
    return MeterReading(
        frequency=quantity(hertz, "hertz"),
        inductance=quantity(inductance, "henry"),
        mode=mode,
        resistance=quantity(resistance, "ohm"),
        q=q,
    )


def meter_curve(pickup: Pickup, frequencies: Given, mode: str = "series") -> Quantity:
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
    return quantity(shown_values(np.array([_values(pickup)]), hertz, mode)[1], "henry")


@dataclass(frozen=True)
class Contribution:
    """One cause's share in what a meter shows."""

    cause: str
    inductance: Quantity


def shares(pickup: Pickup, frequency: Given, mode: str = "series") -> list[Contribution]:
    """Where a shown inductance comes from: the true one, then what each cause adds or takes.

    The causes are put on one after the other, so that they sum to the reading.
    """
    hertz = to_si(frequency, "hertz", "frequency")
    resistance, inductance, capacitance, loss = _values(pickup)
    steps = np.array(
        [
            [1e-9, inductance, 0.0, np.inf],
            [resistance, inductance, 0.0, np.inf],
            [resistance, inductance, capacitance, np.inf],
            [resistance, inductance, capacitance, loss],
        ]
    )
    _, shown, _ = shown_values(steps, hertz, mode)
    causes = ("true inductance", "wire's resistance", "own capacitance", "losses")
    return [
        Contribution(c, quantity(float(v), "henry"))
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


def _values(pickup: Pickup) -> tuple[float, float, float, float]:
    """Resistance at 20 degC, inductance, own capacitance and losses in SI."""
    loss = np.inf if pickup.loss_resistance is None else pickup.loss_resistance.m
    return pickup.resistance_at_20_degc.m, pickup.inductance.m, pickup.known("capacitance").m, loss


def shown_values(values: NDArray[Any], hertz: Any, mode: str) -> tuple[NDArray[Any], ...]:
    """Resistance, inductance and Q that a meter shows, shape (sets,), for values of shape (sets, 4)."""
    if mode not in ("series", "parallel"):
        raise InputError.of("mode", f'"{mode}" is not one of: "series", "parallel"')
    omega = 2 * np.pi * hertz
    z = pickup_impedance(omega, *values.T)
    turn = series_equivalent if mode == "series" else parallel_equivalent
    resistance, inductance = turn(omega, z)
    return resistance, inductance, z.imag / z.real
