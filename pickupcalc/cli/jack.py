"""Readings at the jack: what each position must read, and what is wrong where one does not.

A reading is "POSITION: 6.1 kohm", "POSITION: open" or "POSITION: 2.4 H"; with
"POSITION, tone = 0: 250 kohm" a control is turned down. What is seen or heard
is "touch: yes", "turn: no", "thin in POSITION: yes" (quiet, thin, silent, dull).
"""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING, Any

from pickupcalc.cli.common import add_job, add_json, as_json, open_job
from pickupcalc.errors import InputError

if TYPE_CHECKING:
    from pickupcalc.answers.measurement.symptoms import Symptom
    from pickupcalc.instrument.instrument import Instrument


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_job(parser)
    parser.add_argument("--read", action="append", default=[], metavar="READING", help="may be repeated")
    about = 'rotation for the table, such as "tone = 0.5"'
    parser.add_argument("--set", action="append", default=[], metavar="CONTROL=X", help=about)
    parser.add_argument(
        "--temperature", default="20 degC", metavar="T", help="of the windings, 20 degC if left out"
    )
    add_json(parser)


def run(given: argparse.Namespace) -> str:
    instrument = open_job(given.job).instrument
    if given.set and given.read:
        raise InputError.of("--set", 'goes with the table; a reading names its own: "both, tone = 0: 3 kohm"')
    if not given.read:
        return _table(instrument, given)
    from pickupcalc.answers.measurement.fault_finder import find_fault

    found = find_fault(instrument, [_read(instrument, text) for text in given.read])
    return as_json({"format": 1, **found.as_json()}) if given.json else str(found)


def _table(instrument: Instrument, given: argparse.Namespace) -> str:
    from pickupcalc.answers.measurement.jack import jack_table
    from pickupcalc.units import engineering

    rows = jack_table(instrument, given.temperature, _settings(given.set, "--set") if given.set else None)
    if given.json:
        readings = [r.as_json() for r in rows]
        return as_json({"format": 1, "instrument": instrument.about.name, "readings": readings})
    lines = [f"{instrument.about.name}: ohmmeter at the jack, nothing else plugged in, {given.temperature}"]
    width = max(len(r.position) for r in rows)
    up = instrument.controls_up()
    blends = {label for label, x in up.items() if x < 1}  # which have two ends, neither of them down
    for r in rows:
        turned = {label: x for label, x in r.settings.items() if x != up[label]}
        down = ", ".join(
            f"{label} {x:g}" if x or label in blends else f"{label} down" for label, x in turned.items()
        )
        shown = "open" if r.resistance is None else engineering(r.resistance.m, "Ω")
        lines.append(f"{r.position:<{width}}  {shown:>9}  {down or ('all up' if up else '')}".rstrip())
    return "\n".join([*lines, "A warm winding reads higher: 10 K are 4 %."])


def _read(instrument: Instrument, text: str) -> Symptom:
    from pickupcalc.answers.measurement.fault_finder import placed

    found = symptom(text)
    try:
        return placed(instrument, found)
    except InputError as error:
        raise InputError(error.under(f'--read "{text}"')) from None


def symptom(text: str) -> Symptom:
    """One --read as a symptom.

    Raises
    ------
    InputError
        For anything but the forms in the help text.
    """
    from pickupcalc.answers.measurement.symptoms import YES_NO, Symptom

    where, colon, said = (part.strip() for part in text.rpartition(":"))
    if not colon or not where or not said:
        raise InputError.of("--read", f'"{text}" is not a reading such as "both: 3.1 kohm" or "touch: yes"')
    kind, _, position = where.partition(" in ")
    if kind in YES_NO or said in ("yes", "no"):
        if said not in ("yes", "no"):
            raise InputError.of("--read", f'"{text}" must end in yes or no')
        if kind not in YES_NO:
            raise InputError.of("--read", f'"{text}" does not start with one of: {", ".join(YES_NO)}')
        return Symptom(yes_no=kind, answer=said == "yes", position=position or None)
    position, *turned = re.split(r",(?=[^,]*=)", where)  # a position's name may hold a comma of its own
    settings = _settings(turned, f'--read "{text}"')
    position = position.strip()
    read: dict[str, Any] = {"inductance" if said.endswith("H") else "resistance": said}
    try:
        return Symptom(position=position, settings=settings, **read)
    except InputError as error:
        raise InputError(error.under(f'--read "{text}"')) from None


def _settings(given: list[str], key: str) -> dict[str, float]:
    try:
        return {label.strip(): float(x) for label, x in (t.split("=") for t in given)}
    except ValueError:
        raise InputError.of(key, 'a control is given as "tone = 0"') from None
