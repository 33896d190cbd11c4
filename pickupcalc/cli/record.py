"""Write readings of a pickup into a job file, or show what was read so far.

A reading becomes the pickup's value; the value before stays as history, with
date, temperature and meter. An inductance shown in parallel mode, or at more
than 150 Hz, is turned into the pickup's own with the help of --resistance or
the resistance in the job file.
"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from pickupcalc.cli.common import add_job, day, open_job
from pickupcalc.errors import Fault, InputError

if TYPE_CHECKING:
    from pint import Quantity

    from pickupcalc.instrument.jobfile import Job
    from pickupcalc.instrument.readings import Reading


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_job(parser)
    parser.add_argument("--pickup", metavar="NAME", help="which pickup was read")
    parser.add_argument("--resistance", metavar="R", help='such as "6.1 kohm"')
    parser.add_argument("--inductance", metavar="L", help="as the meter shows it")
    parser.add_argument("--frequency", metavar="F", default="100 Hz", help="of the meter, 100 Hz if left out")
    parser.add_argument("--mode", default="series", help="series or parallel, series if left out")
    parser.add_argument("--capacitance", metavar="C", help="own capacitance")
    parser.add_argument("--loss-resistance", metavar="R", help="losses, as a resistance across the coil")
    parser.add_argument("--temperature", metavar="T", help='of the winding, such as "19 degC"')
    parser.add_argument("--meter", help="which meter, in your own words")
    parser.add_argument("--date", help="today if left out")
    parser.add_argument("--note", help="anything to remember")


def run(given: argparse.Namespace) -> str:
    from pickupcalc.instrument.readings import OF_A_PICKUP, recorded

    job = open_job(given.job)
    values = {name: getattr(given, name) for name in OF_A_PICKUP if getattr(given, name) is not None}
    if not values:
        return _history(job)
    if given.pickup is None:
        raise InputError.of("--pickup", "is missing; the job file needs to know which pickup was read")
    job = recorded(job, _readings(given, job, values))
    job.save()
    return _history(job)


def _readings(given: argparse.Namespace, job: Job, values: dict[str, Any]) -> list[Reading]:
    from pickupcalc.instrument.readings import Reading

    common = {"pickup": given.pickup, "date": day(given), "meter": given.meter}
    common |= {"temperature": given.temperature}
    common = {key: value for key, value in common.items() if value is not None}
    readings = []
    for name, value in values.items():
        note = given.note
        if name == "inductance":
            value, note = _own_inductance(given, job, value)
        more = common if note is None else common | {"note": note}
        try:
            readings.append(Reading(quantity=name, value=value, **more))
        except InputError as error:
            faults = [Fault(name if key == "value" else key, told) for key, told in error.faults]
            raise InputError(faults) from None
    return readings


def _own_inductance(given: argparse.Namespace, job: Job, shown: str) -> tuple[Quantity, str]:
    """The pickup's inductance behind what a meter showed, and a note of what that was."""
    from pickupcalc.answers.measurement.from_meter import own_inductance
    from pickupcalc.answers.measurement.meter import MeterReading

    note = f"shown: {shown} at {given.frequency}, {given.mode} mode"
    reading = MeterReading(frequency=given.frequency, inductance=shown, mode=given.mode)
    known = job.instrument.pickup(given.pickup)
    resistance, capacitance = given.resistance or known.resistance, given.capacitance or known.capacitance
    return own_inductance(reading, resistance, capacitance), note


def _history(job: Job) -> str:
    from pickupcalc.instrument.readings import KINDS, degrees, written

    if not job.readings:
        return f"{job.path}: no readings yet"
    lines = []
    for r in job.readings:
        shown = written(float(r.value.m), KINDS[r.quantity][1])
        of, what = r.pickup or r.position or "", r.quantity.replace("_", " ")
        told = [r.date.isoformat() if r.date else "earlier", of, what, shown]
        if r.temperature is not None:
            told.append(degrees(r))
        lines.append("  ".join([*told, *(text for text in (r.meter, r.note) if text)]))
    return "\n".join(lines)
