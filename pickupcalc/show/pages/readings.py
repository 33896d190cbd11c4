"""What a prediction rests on, told apart by how it is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from pickupcalc.instrument.instrument import Instrument
from pickupcalc.instrument.readings import KINDS, Reading
from pickupcalc.parts.controls import Control, Tone
from pickupcalc.parts.load import Load
from pickupcalc.parts.pickup import Pickup
from pickupcalc.units import celsius, engineering

_QUANTITIES = {"resistance": "Ω", "inductance": "H", "capacitance": "F", "loss_resistance": "Ω"}
_SAID = {
    "magnet": "{} pole to the strings",
    "tap": "tap {}",
    "winding": "wound {}",
    "hot": "{} hot",
}
_LOAD = {"cable_length": "m", "cable_capacitance": "F/m", "amplifier_resistance": "Ω"}


@dataclass
class Known:
    """What is known of one part, as words with values, by how it is known."""

    whose: str
    measured: list[str] = field(default_factory=list)
    computed: list[str] = field(default_factory=list)
    assumed: list[str] = field(default_factory=list)


def readings(instrument: Instrument) -> list[Known]:
    """All values of pickups, controls and load."""
    labels = instrument.control_labels()
    controls = (_control(c, label) for c, label in zip(instrument.controls, labels, strict=True))
    return [*map(_pickup, instrument.pickups), *controls, _load(instrument.load)]


def proof(history: Sequence[Reading]) -> list[str]:
    """What the latest recordings before and after say of each position's hum."""
    latest = {r.position: r for r in history if r.quantity == "hum_change"}
    return [f"{r.position}: hum changed by {_shown(r)}{_when(r)}" for r in latest.values()]


def history_row(reading: Reading) -> tuple[str, str, str, str]:
    """Of what, what, how much, and when, how warm, with which meter."""
    warm = f"{celsius(reading.temperature.m):.0f} degC" if reading.temperature is not None else None
    about = [str(part) for part in (reading.date, warm, reading.meter, reading.note) if part]
    of = reading.pickup or reading.position or ""
    return of, reading.quantity.replace("_", " "), _shown(reading), ", ".join(about)


def _shown(reading: Reading) -> str:
    symbol = {"ohm": "Ω"}.get(KINDS[reading.quantity][1], KINDS[reading.quantity][1])
    return f"{reading.value.m:+.1f} dB" if symbol == "dB" else engineering(reading.value.m, symbol)


def _when(reading: Reading) -> str:
    about = [part for part in (str(reading.date) if reading.date else "", reading.note) if part]
    return f" ({', '.join(about)})" if about else ""


def _pickup(pickup: Pickup) -> Known:
    known = Known(pickup.name)
    for key, symbol in _QUANTITIES.items():
        what = "own capacitance" if key == "capacitance" else key.replace("_", " ")
        if key in pickup.assumed():
            known.assumed.append(f"{what} {engineering(pickup.known(key).m, symbol)}")
        elif (value := getattr(pickup, key)) is not None:
            column = known.computed if key in pickup.computed else known.measured
            column.append(f"{what} {engineering(value.m, symbol)}")
    known.measured += [words.format(given) for key, words in _SAID.items() if (given := getattr(pickup, key))]
    return known


def _control(control: Control, label: str) -> Known:
    said = [f"track marked {engineering(control.track.m, 'Ω')}"]
    if isinstance(control, Tone):
        said.append(f"capacitor marked {engineering(control.capacitor.m, 'F')}")
    return Known(label, [*said, f"set to {100 * control.setting:.0f} % of its turn"])


def _load(load: Load) -> Known:
    known = Known("cable and amplifier")
    for key, symbol in _LOAD.items():
        column = known.assumed if key in load.assumed() else known.measured
        column.append(f"{key.replace('_', ' ')} {engineering(load.known(key).m, symbol)}")
    return known
