"""Dials for the controls and the load that a pickup meets, started from an instrument."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.parts.controls import Control, Tone, Volume
from pickupcalc.show.explorers.widgets import ChoiceDial, Dial, NumberDial, Offer, QuantityDial
from pickupcalc.tables import table
from pickupcalc.units import engineering

DIALS: dict[type[Control], dict[str, str]] = {
    Volume: {"track": "volume", "setting": "volume_setting"},
    Tone: {"track": "tone", "setting": "tone_setting", "capacitor": "capacitor"},
}  # a control's key and the dial that sets it
OWN = ""  # the cable or the amplifier input that the job tells of


def harness_dials() -> dict[str, Dial]:
    """The controls and the load that every pickup meets."""
    return {
        "volume": QuantityDial("volume track", "ohm", "250 kohm", "10 kohm", "10 Mohm"),
        "tone": QuantityDial("tone track", "ohm", "250 kohm", "10 kohm", "10 Mohm"),
        "capacitor": QuantityDial("tone capacitor", "farad", "22 nF", "0.5 nF", "220 nF"),
        "volume_setting": NumberDial("volume, rotation", 1.0),
        "tone_setting": NumberDial("tone, rotation", 1.0),
        "cable": ChoiceDial("cable", _kinds("cables")),
        "length": QuantityDial("cable length", "meter", "3 m", "0.1 m", "12 m", linear=True),
        "amplifier": ChoiceDial("amplifier", _kinds("amplifiers")),
    }


def _kinds(subject: str) -> dict[str, str]:
    return {row["description"]: key for key, row in table(subject).items()}


def harness_values(instrument: Instrument, positions: Sequence[Position]) -> dict[str, Any]:
    """Where those dials start: the first volume and tone of these positions, and the load."""
    volume, tone = (first_serving(instrument, kind, positions) for kind in (Volume, Tone))
    load = instrument.load
    cable = f"the job's, {1e12 * load.known('cable_capacitance').m:.3g} pF/m"
    amplifier = f"the job's, {engineering(load.known('amplifier_resistance').m, 'Ω')}"
    return {
        "volume": getattr(volume, "track", None),
        "volume_setting": getattr(volume, "setting", None),
        "tone": getattr(tone, "track", None),
        "tone_setting": getattr(tone, "setting", None),
        "capacitor": getattr(tone, "capacitor", None),
        "cable": Offer({cable: OWN} | _kinds("cables")),
        "length": load.known("cable_length"),
        "amplifier": Offer({amplifier: OWN} | _kinds("amplifiers")),
    }


def with_harness(instrument: Instrument, positions: Sequence[Position], values: dict[str, Any]) -> Instrument:
    """The instrument with the controls of these positions, and with its load, as dialled."""
    load = {"cable_length": values["length"]}
    if values["cable"] != OWN:
        load["cable_capacitance"] = table("cables")[values["cable"]]["capacitance"]
    if values["amplifier"] != OWN:
        row = table("amplifiers")[values["amplifier"]]
        load |= {"amplifier_resistance": row["resistance"], "amplifier_capacitance": row["capacitance"]}
    controls = controls_as_dialled(instrument, positions, values)
    return replace(instrument, controls=controls, load=replace(instrument.load, **load))


def first_serving(instrument: Instrument, kind: type[Control], positions: Sequence[Position]) -> Any:
    """The first control of a kind that acts on these positions; None where there is none."""
    return next((instrument.controls[i] for i in instrument.serving(kind, positions)), None)


def controls_as_dialled(
    instrument: Instrument, positions: Sequence[Position], values: dict[str, Any]
) -> tuple[Control, ...]:
    """All controls, those of these positions changed where a dial was moved.

    Dials start at the first control of a kind. While one stands there, controls that differ
    from each other keep their own values; a track that is replaced loses what lay across it.
    """
    controls = list(instrument.controls)
    for kind, dials in DIALS.items():
        serving = instrument.serving(kind, positions)
        given = {key: values[dial] for key, dial in dials.items() if dial in values and serving}
        moved = {k: v for k, v in given.items() if _moved(instrument.controls[serving[0]], k, v)}
        if "track" in moved:
            moved["resistor_across"] = None
        for i in serving:
            controls[i] = replace(controls[i], **moved)
    return tuple(controls)


def _moved(control: Control, key: str, value: Any) -> bool:
    before, now = (float(getattr(v, "m", v)) for v in (getattr(control, key), value))
    return not math.isclose(before, now, rel_tol=1e-6)
