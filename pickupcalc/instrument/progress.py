"""How far a job has come: dates in the job file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from pickupcalc.parts.fields import Part, day

STAGES = ("planned", "done", "proven")


@dataclass(frozen=True, kw_only=True)
class Progress(Part):
    """The day on which each stage of a job was reached."""

    planned: date | None = day(default=None)
    done: date | None = day(default=None)
    proven: date | None = day(default=None)
