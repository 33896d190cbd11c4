"""How far the inputs of a prediction may be off, and an instrument with them varied."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.parts.controls import Tone
from pickupcalc.tables import table


@dataclass(frozen=True)
class UncertainInput:
    """One value of an instrument and how far it may be off.

    Attributes
    ----------
    label : str
        As a repairer would call it.
    owner : str
        "pickups", "controls" or "load".
    index : int
        Which pickup or control.
    key : str
    fraction : float
        Two standard deviations, relative.
    """

    label: str
    owner: str
    index: int
    key: str
    fraction: float


def uncertain_inputs(instrument: Instrument, position: Position) -> list[UncertainInput]:
    """The values that a position's behaviour rests on.

    Sources and sizes are in the table "uncertainty"; a value nobody measured
    counts as less certain than a reading.
    """
    sizes = table("uncertainty")
    present = set(position.wiring.pickups())
    found = []
    for i, pickup in enumerate(instrument.pickups):
        if pickup.name not in present:
            continue
        for key in ("resistance", "inductance", "capacitance", "loss_resistance", "hum_sensitivity"):
            kind = "assumed" if key in (*pickup.assumed(), "hum_sensitivity") else "measured"
            if key != "loss_resistance" or pickup.loss_resistance is not None:
                label = f"{pickup.name}'s {key.replace('_', ' ')}"
                found.append(UncertainInput(label, "pickups", i, key, sizes[kind][key]))
    for i, (control, label) in enumerate(zip(instrument.controls, instrument.control_labels(), strict=True)):
        if control.pickups is not None and not present.intersection(control.pickups):
            continue
        found.append(UncertainInput(f"{label}'s track", "controls", i, "track", sizes["marked"]["track"]))
        if isinstance(control, Tone):
            size = sizes["marked"]["capacitor"]
            found.append(UncertainInput(f"{label}'s capacitor", "controls", i, "capacitor", size))
    return found + _load_inputs(instrument)


def _load_inputs(instrument: Instrument) -> list[UncertainInput]:
    sizes = table("uncertainty")
    load = instrument.load
    assumed = load.assumed()
    cable = [key for key in ("cable_length", "cable_capacitance") if key in assumed]
    keys = [*(cable or ["cable_capacitance"]), "amplifier_resistance", "amplifier_capacitance"]
    labels = {"cable_length": "the cable's length", "cable_capacitance": "the cable's capacitance"}
    found = []
    for key in keys:
        size = sizes["assumed" if key in assumed else "measured"][key]
        found.append(UncertainInput(labels.get(key, "the amplifier's input"), "load", 0, key, size))
    return found


def varied(instrument: Instrument, factors: Mapping[UncertainInput, Any]) -> Instrument:
    """The instrument with values multiplied, each factor a number or shape (sets,)."""
    parts: dict[str, list[Any]] = {
        "pickups": list(instrument.pickups),
        "controls": list(instrument.controls),
        "load": [instrument.load],
    }
    for which, factor in factors.items():
        group = parts[which.owner]
        old = group[which.index]
        value = old.known(which.key) if which.key in old.assumed() else getattr(old, which.key)
        group[which.index] = replace(old, **{which.key: value * factor})
    return replace(
        instrument,
        pickups=tuple(parts["pickups"]),
        controls=tuple(parts["controls"]),
        load=parts["load"][0],
    )
