"""A job file after a plan: only the readings that turned over are rewritten."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from pickupcalc.answers.polarity.changes import Change, changed
from pickupcalc.instrument.jobfile import Job


def applied(job: Job, changes: Iterable[Change]) -> Job:
    """The job with compass, tap, lead and what was heard as they will be, comments kept."""
    made = tuple(changes)
    after = changed(job.instrument, made)

    def rewrite(document: Any) -> None:
        for kind, parts in (("pickup", after.pickups), ("observation", after.observations)):
            for table, part in zip(document.get(kind, []), parts, strict=True):
                for key in ("magnet", "tap", "hot", "sound", "hum"):
                    new = getattr(part, key, None)
                    if key in table and isinstance(new, str) and table[key] != new:
                        table[key] = new

    return job.changed(rewrite)
