"""How far is this job, and what is missing for the next stage?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from pickupcalc.answers.polarity import UNKNOWN, hum, phase
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.instrument.jobfile import Job
from pickupcalc.instrument.progress import STAGES


@dataclass(frozen=True)
class Status:
    """Where a job stands.

    Attributes
    ----------
    stage : str
        "started", "measured", "planned", "done" or "proven".
    since : date or None
        When that stage was reached; None for the first two, which follow from
        the readings.
    missing : tuple of str
        What the next stage waits for, in words.
    """

    stage: str
    since: date | None
    missing: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        since = self.since.isoformat() if self.since else None
        return {"stage": self.stage, "since": since, "missing": list(self.missing)}


_NEXT = {
    "measured": "decide what to change, then mark it planned",
    "planned": "do the work, then mark it done",
    "done": "record the hum before and after, then mark it proven",
}


def status(job: Job) -> Status:
    """Where a job stands, from its readings and its dates."""
    reached = [stage for stage in STAGES if getattr(job.progress, stage)]
    if reached:
        stage = reached[-1]
        return Status(stage, getattr(job.progress, stage), (_NEXT[stage],) if stage in _NEXT else ())
    missing = missing_readings(job.instrument) or _computed(job.instrument)
    return Status("started", None, missing) if missing else Status("measured", None, (_NEXT["measured"],))


def _computed(instrument: Instrument) -> tuple[str, ...]:
    """What was not measured but computed; a plan can do with it, where nothing is wound yet."""
    told = []
    for pickup in instrument.pickups:
        if what := [key for key in ("resistance", "inductance") if key in pickup.computed]:
            told.append(f"{pickup.name}: measure {' and '.join(what)}, computed so far, or mark it planned")
    return tuple(told)


def missing_readings(instrument: Instrument) -> tuple[str, ...]:
    """Readings that nobody took and a plan cannot do without.

    What the ear settled needs no compass: only positions whose phase or hum is
    unknown count.
    """
    unknown = [p for p in instrument.positions if UNKNOWN in (phase(instrument, p), hum(instrument, p))]
    joined = {n for p in unknown for n in p.wiring.pickups()}
    missing = []
    for pickup in instrument.pickups:
        if pickup.name in joined and pickup.magnet is None:
            missing.append(f"{pickup.name}: which pole faces the strings (compass)")
        if pickup.name in joined and pickup.hum_sign is None and pickup.tap is None:
            missing.append(f"{pickup.name}: which way the hot lead swings when steel is pulled off (tap)")
    return tuple(missing)


def marked(job: Job, stage: str, on: date) -> Job:
    """The job with a stage marked as reached on a day; stages before it must have been.

    Raises
    ------
    InputError
        If an earlier stage was not reached, or the stage is not one.
    """
    if stage not in STAGES:
        raise InputError.of("--mark", f'"{stage}" is not one of: {", ".join(STAGES)}')
    missing = missing_readings(job.instrument)
    if stage == "planned" and missing:
        raise InputError.of("--mark", f"planned waits for readings: {'; '.join(missing)}")
    before = STAGES[: STAGES.index(stage)]
    if before and getattr(job.progress, before[-1]) is None:
        raise InputError.of("--mark", f"{stage} comes after {before[-1]}, which is not marked yet")

    def change(document: Any) -> None:
        document.setdefault("progress", {})[stage] = on

    return job.changed(change)
