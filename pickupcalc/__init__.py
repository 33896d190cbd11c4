"""Magnetic pickups on the bench: what they measure, how they combine, what to change.

The names below are loaded when first used, so that importing the package costs
next to nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_HOMES = {
    "InputError": "errors",
    "Job": "instrument.jobfile",
    "read_job": "instrument.jobfile",
    "Instrument": "instrument.instrument",
    "About": "instrument.instrument",
    "Position": "instrument.instrument",
    "Observation": "instrument.observation",
    "Pickup": "parts.pickup",
    "Volume": "parts.controls",
    "Tone": "parts.controls",
    "Blend": "parts.controls",
    "Taper": "parts.controls",
    "Load": "parts.load",
    "String": "parts.strings",
    "positions": "answers.positions",
    "report": "answers.positions",
    "plan": "answers.polarity.planner",
    "signs": "answers.polarity.signs",
    "response": "answers.response",
    "hum_left": "answers.hum.left",
    "chance_of_quiet": "answers.hum.chance",
    "work_order": "answers.polarity.work_order",
    "truth": "answers.polarity.truth",
    "Sensing": "parts.sensing",
    "Pluck": "parts.sensing",
    "Performance": "parts.performance",
    "Record": "parts.performance",
    "sound": "answers.sound.heard",
    "compare": "answers.sound.comparison",
    "notches": "answers.sound.notches",
    "fret_map": "answers.sound.notches",
    "listen": "answers.sound.listening",
    "takes": "answers.sound.listening",
    "before_and_after": "answers.sound.listening",
    "Rods": "parts.magnets",
    "BarUnderPoles": "parts.magnets",
    "TwinCoil": "parts.magnets",
    "Blocks": "parts.jig",
    "Horseshoe": "parts.jig",
    "reversal": "answers.magnet.reversal",
    "reversing": "answers.magnet.kinds",
    "warming": "answers.magnet.warming",
    "compass": "answers.magnet.compass",
    "at_string": "answers.magnet.at_strings",
    "Coil": "parts.coil",
    "read_coil": "instrument.coilfile",
    "coil_report": "answers.coil.report",
    "Readings": "answers.coil.bench",
    "examine": "answers.coil.bench",
    "spice_deck": "instrument.netlist",
    "meter_reading": "answers.measurement.meter",
    "from_meter": "answers.measurement.from_meter",
    "jack_resistance": "answers.measurement.jack",
    "find_fault": "answers.measurement.fault_finder",
    "measure": "answers.measurement.impedance",
    "hum_of": "answers.measurement.hum_recording",
    "rank": "answers.pots.ranking",
    "judge": "answers.pots.judging",
    "scatter": "answers.pots.scatter",
    "best_bypass": "answers.pots.bypass",
    "Drawer": "parts.drawer",
}
__all__ = sorted(_HOMES)


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return [*globals(), *_HOMES]
