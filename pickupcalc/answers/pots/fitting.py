"""Parts fitted into an instrument, as words, and written back into its job file."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import tomlkit

from pickupcalc.instrument.instrument import Instrument
from pickupcalc.instrument.jobfile import Job
from pickupcalc.parts.controls import Bypass, Tone, Volume
from pickupcalc.units import engineering, to_si

if TYPE_CHECKING:
    from pint import Quantity


@dataclass(frozen=True)
class Fitted:
    """What goes into one control."""

    control: str
    index: int
    track: Quantity
    resistor_across: Quantity | None
    capacitor: Quantity | None

    @property
    def text(self) -> str:
        """Such as "250 kΩ with 470 kΩ across it, 22 nF"."""
        told = short(self.track.magnitude, "Ω")
        if self.resistor_across is not None:
            told += f" with {short(self.resistor_across.magnitude, 'Ω')} across it"
        return told if self.capacitor is None else f"{told}, {short(self.capacitor.magnitude, 'F')}"

    def as_json(self) -> dict[str, Any]:
        return {
            "control": self.control,
            "track_ohm": self.track.magnitude,
            "resistor_across_ohm": getattr(self.resistor_across, "magnitude", None),
            "capacitor_f": getattr(self.capacitor, "magnitude", None),
        }


def fitted(instrument: Instrument, controls: Collection[int] | None = None) -> tuple[Fitted, ...]:
    """The pots and capacitors of an instrument, or of some of its controls."""
    return tuple(
        Fitted(label, i, c.track, c.resistor_across, c.capacitor if isinstance(c, Tone) else None)
        for i, (c, label) in enumerate(zip(instrument.controls, instrument.control_labels(), strict=True))
        if isinstance(c, (Volume, Tone)) and (controls is None or i in controls)
    )


def short(value: float, symbol: str) -> str:
    """A part's value as it is printed: "250 kΩ", "4.7 nF", "236.4 kΩ"."""
    number, unit = engineering(value, symbol, 4).split(" ")
    return f"{float(number):g} {unit}"


def into_job(job: Job, parts: Sequence[Fitted], bypass: Bypass | None = None) -> Job:
    """The job with these parts written into its controls; its comments and layout stay.

    `bypass`, where given, goes onto each volume among them.

    A value that the file already has, in whatever spelling, is left as it is.
    `Job.save` writes the file.
    """

    def change(document: Any) -> None:
        for part in parts:
            table = document["control"][part.index]
            _write(table, "track", part.track, "ohm")
            _write(table, "resistor_across", part.resistor_across, "ohm")
            if part.capacitor is not None:
                _write(table, "capacitor", part.capacitor, "farad")
            elif bypass is not None:
                table["bypass"] = _bypass_table(bypass)

    return job.changed(change)


def changed_job(
    job: Job,
    *,
    cable_length: str | None = None,
    cable_capacitance: str | None = None,
    tone_capacitor: str | None = None,
) -> Job:
    """The job with another cable, or with a tone control added after the selector.

    Parameters
    ----------
    job : Job
    cable_length, cable_capacitance, tone_capacitor : str, optional
        With their units, as they will stand in the job file.
    """

    def change(document: Any) -> None:
        for key, given in (("cable_length", cable_length), ("cable_capacitance", cable_capacitance)):
            if given is not None:
                if "load" not in document:
                    document["load"] = tomlkit.table()
                document["load"][key] = given
        if tone_capacitor is not None:
            tone = tomlkit.table()
            tone |= {"name": "added tone", "kind": "tone", "track": "250 kohm", "taper": "audio"}
            tone["capacitor"] = tone_capacitor
            tone.add(tomlkit.nl())
            if "control" not in document:
                document["control"] = tomlkit.aot()
            document["control"].append(tone)

    return job.changed(change)


def _bypass_table(bypass: Bypass) -> Any:
    table = tomlkit.inline_table()
    table["capacitor"] = short(bypass.capacitor.magnitude, "F")
    if bypass.resistor is not None:
        table["resistor"] = short(bypass.resistor.magnitude, "ohm")
        table["joined"] = bypass.joined
    return table


def _write(table: Any, key: str, value: Quantity | None, unit: str) -> None:
    if value is None:
        table.pop(key, None)
        return
    text = short(value.magnitude, "F" if unit == "farad" else "ohm")
    if key not in table or not math.isclose(to_si(str(table[key]), unit), to_si(text, unit)):
        table[key] = text
