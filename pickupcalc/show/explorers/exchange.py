"""What several pages take from a job, and what they write back."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from datetime import date
from itertools import combinations
from typing import Any

from pickupcalc.answers.measurement.from_meter import EXPECTED_LOSS
from pickupcalc.answers.polarity.apply import applied
from pickupcalc.answers.polarity.changes import REVERSE, SWAP, Change, in_words
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.jobfile import Job
from pickupcalc.instrument.readings import KINDS, Reading, recorded, written
from pickupcalc.show.explorers.jobs import Subject
from pickupcalc.show.explorers.widgets import ChoiceDial, Dial, QuantityDial
from pickupcalc.units import quantity

Pair = tuple[str, str]
AS_IT_IS, SWAPPED, REVERSED = "as it is", "swapped", "reversed"
USUAL_LOSSES = quantity(EXPECTED_LOSS[0], "ohm")
DIALLED = "set by dials on a page, not read off a meter"


def pickups(instrument: Instrument) -> dict[str, str]:
    return {p.name: p.name for p in instrument.pickups}


def pairs(instrument: Instrument) -> dict[str, Pair]:
    """Any two pickups, in the order of the file."""
    return {f"{a} and {b}": (a, b) for a, b in combinations(pickups(instrument), 2)}


def joined_positions(instrument: Instrument) -> dict[str, str]:
    """The positions that join several pickups."""
    return {p.name: p.name for p in instrument.positions if len(p.wiring.pickups()) > 1}


def pair_subject(dialled: Any, demo: str) -> Subject:
    """Two pickups, and what is done to the second's leads and magnet."""
    return Subject(
        lambda job, pair: {"leads": AS_IT_IS, "magnet": AS_IT_IS} | dialled(job, pair),
        "pickups",
        pairs,
        lambda job, _, values: save_changes(job, pair_changes(**values)),
        demo=demo,
        afresh=True,
        lacking="two pickups",
    )


def pair_dials() -> dict[str, Dial]:
    """What may be done to the second of two pickups."""
    return {
        "leads": ChoiceDial("second's leads", [AS_IT_IS, SWAPPED]),
        "magnet": ChoiceDial("second's magnet", [AS_IT_IS, REVERSED]),
    }


def pair_changes(pickups: Pair, leads: str, magnet: str, **_: Any) -> list[Change]:
    """The changes that the values of `pair_dials` stand for."""
    made = {REVERSE: magnet == REVERSED, SWAP: leads == SWAPPED}
    return [Change(pickups[1], kind) for kind, done in made.items() if done]


def way_joined(instrument: Instrument, pair: Pair) -> str:
    """How a position joins just these two, "parallel" where none does."""
    for position in instrument.positions:
        way = type(position.wiring).__name__.lower()
        if sorted(position.wiring.pickups()) == sorted(pair) and way in ("parallel", "series"):
            return way
    return "parallel"


def pair_positions(pair: Pair, joined: str) -> tuple[Position, ...]:
    """Each of two pickups alone, and both joined."""
    alone = [Position(name=name, wiring=name) for name in pair]
    return (*alone, Position(name="both", wiring={joined: list(pair)}))


def save_changes(job: Job, changes: Iterable[Change]) -> tuple[Job, str]:
    """The job after leads were swapped and magnets reversed."""
    made = list(changes)
    return applied(job, made), in_words(made)


def coil_dials(*left_out: str) -> dict[str, Dial]:
    """The four values of a pickup."""
    dials: dict[str, Dial] = {
        "resistance": QuantityDial("coil resistance", "ohm", "6.1 kohm", "1 kohm", "20 kohm"),
        "inductance": QuantityDial("coil inductance", "henry", "2.45 H", "0.5 H", "12 H"),
        "capacitance": QuantityDial("own capacitance", "farad", "110 pF", "20 pF", "400 pF"),
        "loss_resistance": QuantityDial("losses", "ohm", "1.2 Mohm", "50 kohm", "5 Mohm"),
    }
    return {name: dial for name, dial in dials.items() if name not in left_out}


def coil_values(job: Job, pickup: str) -> dict[str, Any]:
    """The four values of a pickup of a job; usual ones where the job has none."""
    found = job.instrument.pickup(pickup)
    return {
        "resistance": found.resistance,
        "inductance": found.inductance,
        "capacitance": found.known("capacitance"),
        "loss_resistance": found.loss_resistance or USUAL_LOSSES,
    }


def save_dialled(job: Job, _: Any, values: dict[str, Any]) -> tuple[Job, str]:
    """The values of a pickup that were set by dials."""
    return save_readings(job, values["pickup"], values, DIALLED)


def save_readings(
    job: Job, pickup: str, values: Mapping[str, Any], details: Mapping[str, dict[str, Any]] | str
) -> tuple[Job, str]:
    """The job with those values of a pickup that differ from the file's, as readings of today.

    `details` is a note on all of them, or what else is known of each.
    """
    before, today = coil_values(job, pickup), date.today()
    moved = {k for k in before.keys() & values if not math.isclose(before[k].m, values[k].m, rel_tol=1e-3)}
    new = {k: v for k, v in values.items() if k in moved}
    of = {key: {"note": details} for key in new} if isinstance(details, str) else details
    readings = [Reading(quantity=k, pickup=pickup, value=v, date=today, **of[k]) for k, v in new.items()]
    told = (f"{k.replace('_', ' ')} {written(float(v.m), KINDS[k][1])}" for k, v in new.items())
    return recorded(job, readings), f"{pickup}, {', '.join(told)}"
