"""What can be observed at a jack, and what each cause would make of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers import polarity
from pickupcalc.answers.measurement.faults import DEAD_COIL, DEAD_JACK, Fault
from pickupcalc.answers.response import signal_emf
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.instrument.turning import with_settings
from pickupcalc.parts.fields import Amount, MaybeAmount, Part, checked, choice, measured, number, text
from pickupcalc.physics.circuit.nodal import solve
from pickupcalc.physics.measuring.impedance import series_equivalent

METER_END = 20e6  # ohm: beyond, a meter shows "open"
CONTACT = 0.3  # ohm: leads and jack, below which no reading tells anything
LEAST_MODEL_ERROR = 0.01  # relative: no wiring is as ideal as its circuit

# What can be observed without a meter. {where} is a position.
YES_NO = {
    "touch": "the hum changes when the strings are touched",
    "turn": "the hum changes when the instrument is turned",
    "quiet": "less hum in {where} than with one of its pickups alone",
    "thin": "{where} sounds thin and hollow",
    "silent": "{where} is silent",
    "dull": "{where} is dull with all controls up",
}


def _resistance(given: Any) -> Any:
    return given if given == "open" else measured("ohm", at_least=0).metadata["check"](given)


def _turned(given: Any) -> Any:
    return dict(given)


@dataclass(frozen=True, kw_only=True)
class Symptom(Part):
    """One reading, or one yes or no.

    Parameters
    ----------
    position : str, optional
        Left out for what concerns the whole instrument.
    resistance : Quantity or str, optional
        At the jack; "open" where the meter shows no reading.
    inductance : Quantity or str, optional
        At the jack, series mode, at `frequency`.
    frequency : Quantity or str
    yes_no : str, optional
        One of `YES_NO`, with `answer`.
    answer : bool
    settings : mapping of str to float, optional
        Rotation of controls by label; all others are up (a blend in the middle).
    tolerance : float
        Two standard deviations of a reading, relative.
    """

    position: str | None = text(default=None)
    resistance: Any = checked(_resistance, default=None)
    inductance: MaybeAmount = measured("henry", default=None)
    frequency: Amount = measured("hertz", default="1 kHz", above=0)
    yes_no: str | None = choice(*YES_NO, default=None)
    answer: Any = checked(bool, default=True)
    settings: Any = checked(_turned, default=None)
    tolerance: Any = number(default=0.02, at_least=1e-5, at_most=1)

    @property
    def numeric(self) -> bool:
        return self.yes_no is None

    def __str__(self) -> str:
        where = f"{self.position}" if self.position else "the instrument"
        turned = ", ".join(
            f"{label} {'down' if x == 0 else 'up' if x == 1 else f'at {x:g}'}"
            for label, x in (self.settings or {}).items()
        )
        if self.yes_no:
            return YES_NO[self.yes_no].format(where=f"position {where!r}") + (f", {turned}" if turned else "")
        kind = "inductance" if self.inductance is not None else "resistance"
        return f"{kind} at the jack, position {where!r}" + (f", {turned}" if turned else "")


SOUND = Fault("nothing wrong", "nothing wrong", 1.0)


def read(o: Symptom) -> Any:
    if o.inductance is not None:
        return o.inductance.m
    return METER_END if o.resistance == "open" else o.resistance.m


def scale(o: Symptom, value: Any) -> Any:
    """Resistances are compared by ratio between shorted and open, inductances as they are."""
    return value if o.inductance is not None else np.log(np.clip(value + CONTACT, CONTACT, METER_END))


def error(o: Symptom, mean: float) -> float:
    if o.inductance is not None:
        return float(np.hypot(o.tolerance / 2, LEAST_MODEL_ERROR) * abs(mean) + 1e-3)
    low = CONTACT / np.exp(mean)  # a short reads one contact or three
    return float(np.sqrt((o.tolerance / 2) ** 2 + LEAST_MODEL_ERROR**2 + low**2))


def _network(fault: Fault, altered: Instrument, o: Symptom, loaded: bool = False) -> Any:
    assert o.position is not None
    turned = altered
    if o.settings:
        # A control that works backwards keeps doing so wherever it is set; altered twice, it is sound again.
        backwards = fault.kind == "tone lugs exchanged"
        turned = with_settings(fault.alter(altered) if backwards else altered, o.settings)
        turned = fault.alter(turned) if backwards else turned
    return fault.rewire(circuit(turned, altered.position(o.position), loaded=loaded))


def predicted(fault: Fault, altered: Instrument, o: Symptom) -> NDArray[Any]:
    if o.inductance is None:  # losses of iron and eddy currents need an alternating current
        still = tuple(replace(p, loss_resistance=None) for p in altered.pickups)
        altered = replace(altered, pickups=still)
    omega = 0.0 if o.inductance is None else 2 * np.pi * o.frequency.m
    z = solve(_network(fault, altered, o), np.array([omega])).impedance[..., 0]
    if o.inductance is not None:
        return np.asarray(series_equivalent(omega, z)[1])
    return np.asarray(np.abs(z.real))


def observed(fault: Fault, altered: Instrument, sound: Instrument, o: Symptom) -> bool | None:
    """Whether a yes or no would be yes; None where the signs were never observed."""
    assert o.position is not None
    where = altered.position(o.position)
    silenced = fault.kind in DEAD_COIL and fault.pickup in where.wiring.pickups()
    live = not silenced and fault.kind not in DEAD_JACK
    if o.yes_no == "quiet":
        met = polarity.hum(altered, where)
        return None if met == polarity.UNKNOWN else met in ("cancelling", "partly") and live
    if o.yes_no == "thin":
        met = polarity.phase(altered, where)
        return None if met == polarity.UNKNOWN else met in ("out of phase", "mixed") and live
    omega = 2 * np.pi * np.array([100.0, 3000.0])
    faulty, usual = (
        np.abs(solve(_network(f, one, o, loaded=True), omega).mix(signal_emf(one, where)))
        for f, one in ((fault, altered), (SOUND, sound))
    )
    silent = bool(faulty[0] < 0.05)
    if o.yes_no == "silent":
        return silent
    return not silent and bool(faulty[1] * usual[0] < 0.6 * usual[1] * faulty[0])
