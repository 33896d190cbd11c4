"""How far a job has come: dates in the job file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from pickupcalc.errors import InputError
from pickupcalc.parts.fields import Part, checked

STAGES = ("planned", "done", "proven")


def _date(given: Any) -> date:
    if isinstance(given, date):
        return date(given.year, given.month, given.day)
    try:
        return date.fromisoformat(given)
    except (TypeError, ValueError):
        raise InputError.of("", f'"{given}" is not a date such as 2026-03-31') from None


@dataclass(frozen=True, kw_only=True)
class Progress(Part):
    """The day on which each stage of a job was reached."""

    planned: date | None = checked(_date, default=None)
    done: date | None = checked(_date, default=None)
    proven: date | None = checked(_date, default=None)
