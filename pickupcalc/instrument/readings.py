"""Readings in the job file: what was measured, when, how warm, with which meter; earlier ones stay."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pickupcalc.errors import InputError
from pickupcalc.parts.fields import Checked, Part, checked, choice, day, measured, text
from pickupcalc.units import celsius, quantity, to_si

if TYPE_CHECKING:
    from pickupcalc.instrument.jobfile import Job

# What can be read, pint's unit for it, and the unit it is written in.
KINDS = {
    "resistance": ("ohm", "ohm"),
    "inductance": ("henry", "H"),
    "capacitance": ("farad", "F"),
    "loss_resistance": ("ohm", "ohm"),
    "peak_frequency": ("hertz", "Hz"),
    "hum_change": ("dimensionless", "dB"),
}
OF_A_PICKUP = ("resistance", "inductance", "capacitance", "loss_resistance")
_PREFIXES = {-12: "p", -9: "n", -6: "u", -3: "m", 0: "", 3: "k", 6: "M"}


@dataclass(frozen=True, kw_only=True)
class Reading(Part):
    """One reading.

    Parameters
    ----------
    quantity : str
        One of `KINDS`.
    value : str or Quantity
        With its unit.
    pickup, position : str, optional
        Of what; one of the two.
    date : date or str, optional
        Left out where an older value came without one.
    temperature : Quantity or str, optional
    meter, note : str, optional
    """

    quantity: str = choice(*KINDS)
    value: Any = checked(lambda v: v)
    pickup: str | None = text(default=None)
    position: str | None = text(default=None)
    date: Checked[datetime.date | None, datetime.date | str | None] = day(default=None)
    temperature: Any = measured("kelvin", default=None, above=0)
    meter: str | None = text(default=None)
    note: str | None = text(default=None)

    def _contradictions(self) -> list[Any]:
        unit = KINDS[self.quantity][0]
        value = self.value
        if unit == "dimensionless" and isinstance(value, str):
            value = value.removesuffix("dB").strip()
        try:
            object.__setattr__(self, "value", quantity(to_si(value, unit), unit))
        except InputError as error:
            return error.under("value")
        return []


def written(value: float, symbol: str) -> str:
    """A value as a job file has it: "6.12 kohm", four digits at most."""
    if symbol == "dB":
        return f"{value:.2f} dB"
    step = 0
    while abs(value) >= 1000 * 10.0**step and step < 6:
        step += 3
    while 0 < abs(value) < 10.0**step and step > -12:
        step -= 3
    return f"{value / 10.0**step:.4g} {_PREFIXES[step]}{symbol}"


def recorded(job: Job, readings: Sequence[Reading]) -> Job:
    """The job with readings added to its history, and a pickup's own keys set to them.

    A value that a pickup had before is put into the history too, unless it is
    there already. A resistance read at no stated temperature counts as read at
    20 degC, as everywhere. Comments and everything else stay as written.

    Raises
    ------
    InputError
        For a pickup or position the job does not have.
    """
    for reading in readings:
        if reading.position is not None:
            job.instrument.position(reading.position)
        if reading.pickup is not None:
            job.instrument.pickup(reading.pickup)

    def change(document: Any) -> None:
        for reading in readings:
            _record(document, reading)

    return job.changed(change)


def _record(document: Any, reading: Reading) -> None:
    import tomlkit

    history = document.get("reading")
    if history is None:
        document["reading"] = history = tomlkit.aot()
    value = written(reading.value.m, KINDS[reading.quantity][1])
    if reading.pickup is not None and reading.quantity in OF_A_PICKUP:
        pickup = next(p for p in document["pickup"] if p["name"] == reading.pickup)
        before = pickup.get(reading.quantity)
        if before is not None and not _known(history, reading, before):
            old = {"quantity": reading.quantity, "pickup": reading.pickup, "value": before}
            if reading.quantity == "resistance" and "resistance_temperature" in pickup:
                old["temperature"] = pickup["resistance_temperature"]
            history.append(_table(old | {"note": "the value before"}))
        pickup[reading.quantity] = value
        if reading.quantity == "resistance":
            pickup.pop("resistance_temperature", None)  # of the value before
            if reading.temperature is not None:
                pickup["resistance_temperature"] = degrees(reading)
    entry: dict[str, Any] = {
        "quantity": reading.quantity,
        "pickup": reading.pickup,
        "position": reading.position,
    }
    entry |= {"value": value, "date": reading.date}
    entry |= {"temperature": None if reading.temperature is None else degrees(reading)}
    history.append(_table(entry | {"meter": reading.meter, "note": reading.note}))


def _known(history: Any, reading: Reading, value: Any) -> bool:
    return any(
        r.get("quantity") == reading.quantity
        and r.get("pickup") == reading.pickup
        and r.get("value") == value
        for r in history
    )


def _table(entry: dict[str, Any]) -> Any:
    import tomlkit

    made = tomlkit.table()
    for key, value in entry.items():
        if value is not None:
            made[key] = value
    return made


def degrees(reading: Reading) -> str:
    """The temperature at which it was read, as a job file has it."""
    return f"{celsius(reading.temperature.m):.4g} degC"
