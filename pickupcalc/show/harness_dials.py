"""Dials for the controls and the load that a pickup meets, started from an instrument."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.parts.controls import Control, Tone, Volume
from pickupcalc.show.widgets import ChoiceDial, Dial, NumberDial, Offer, QuantityDial
from pickupcalc.tables import table
from pickupcalc.units import engineering

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


def with_harness(instrument: Instrument, values: dict[str, Any]) -> Instrument:
    """The instrument with its volumes, tones and load as dialled."""
    load = {"cable_length": values["length"]}
    if values["cable"] != OWN:
        load["cable_capacitance"] = table("cables")[values["cable"]]["capacitance"]
    if values["amplifier"] != OWN:
        row = table("amplifiers")[values["amplifier"]]
        load |= {"amplifier_resistance": row["resistance"], "amplifier_capacitance": row["capacitance"]}
    controls = tuple(_dialled(c, values) for c in instrument.controls)
    return replace(instrument, controls=controls, load=replace(instrument.load, **load))


def first_serving(instrument: Instrument, kind: type[Control], positions: Sequence[Position]) -> Any:
    """The first control of a kind that acts on these positions; None where there is none."""
    return next((instrument.controls[i] for i in instrument.serving(kind, positions)), None)


def _dialled(control: Control, values: dict[str, Any]) -> Control:
    if isinstance(control, Tone):
        tone = {"track": values["tone"], "setting": values["tone_setting"]}
        return replace(control, **tone, capacitor=values["capacitor"])
    if isinstance(control, Volume):
        return replace(control, track=values["volume"], setting=values["volume_setting"])
    return control
