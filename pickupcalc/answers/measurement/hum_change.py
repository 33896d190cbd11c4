"""What a repair did to the hum: two recordings, before and after, and what may be said of their difference.

What cannot be compared is refused with the reason and how it is known: unequally
long, a sample rate that does not fit, or the gain changed.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
from scipy.special import stdtrit

from pickupcalc.answers.measurement.hum_recording import CONFIDENCE, Hum, Power
from pickupcalc.errors import Fault, InputError
from pickupcalc.instrument.readings import Reading
from pickupcalc.units import power_db

LENGTH_RATIO = 1.25  # of two recordings, beyond which they are not compared
GAIN_DB = 2.0  # of the floor's change from which the gain counts as changed
LEAST_HALF_DB = 0.1  # of an interval: two takes on one recorder differ by so much; common practice, no source


@dataclass(frozen=True)
class Change:
    """How a level changed.

    Attributes
    ----------
    change_db : float
        Below zero is quieter. Where the hum afterwards is lost in the floor,
        the least change that is certain.
    low_db, high_db : float
        95 of 100 such intervals hold the true change.
    at_least : bool
        Whether the hum afterwards is lost in the floor.
    """

    change_db: float
    low_db: float
    high_db: float
    at_least: bool

    def __str__(self) -> str:
        if self.at_least:
            return f"{self.change_db:+.1f} dB or more: nothing of it stands out of the noise any more"
        return f"{self.change_db:+.1f} dB ({self.low_db:+.1f} to {self.high_db:+.1f})"

    def as_json(self) -> dict[str, Any]:
        low = None if self.at_least else self.low_db
        return {"db": self.change_db, "interval_db": [low, self.high_db], "at_least": self.at_least}


@dataclass(frozen=True)
class Comparison:
    """Before and after, of one position."""

    position: str
    before: Hum
    after: Hum
    change: Change
    change_a: Change
    floor_change_db: float

    def as_json(self) -> dict[str, Any]:
        return {
            "position": self.position,
            "before": self.before.as_json(),
            "after": self.after.as_json(),
            "change": self.change.as_json(),
            "change_a_weighted": self.change_a.as_json(),
            "floor_change_db": self.floor_change_db,
        }


def compare(before: Hum, after: Hum, *, position: str = "", same_gain: bool = False) -> Comparison:
    """How the hum changed between two recordings.

    Parameters
    ----------
    before, after : Hum
    position : str
    same_gain : bool
        Whether the recording gain is known to be the same although the floor moved.

    Returns
    -------
    Comparison

    Raises
    ------
    InputError
        For recordings of unlike length, sample rates that do not fit, a gain
        that was changed, or no hum that stands out before the repair.
    """
    source = f"{before.path}, {after.path}"
    longer, shorter = max(before.seconds, after.seconds), min(before.seconds, after.seconds)
    if longer > LENGTH_RATIO * shorter:
        told = f"last {before.seconds:.1f} s and {after.seconds:.1f} s; to compare they must be equally long"
        raise InputError(Fault("", f"{told} within a quarter: use the first {shorter:.0f} s of both"), source)
    if before.mains_deviation is not None and after.mains_deviation is not None:
        apart = abs(after.mains.m - before.mains.m)
        if apart > 1.0:
            told = f"the mains is at {before.mains.m:.2f} Hz in one and {after.mains.m:.2f} Hz in the other"
            raise InputError(Fault("", f"{told}: one file's sample rate is wrong"), source)
    floor = float(power_db(after.high_floor / before.high_floor)) if before.high_floor > 0 else 0.0
    if abs(floor) > GAIN_DB and not same_gain:
        told = f"the noise between the lines, which a repair leaves alone, moved by {floor:+.1f} dB"
        raise InputError(
            Fault("", f"{told}: the gain was changed. Record again at the same gain, or say it was the same"),
            source,
        )
    if before.power.lost or before.power_a.lost:
        told = "no hum stands out of the noise before the repair; nothing to compare"
        raise InputError(Fault("", told), str(before.path))
    plain, weighted = change_of(before.power, after.power), change_of(before.power_a, after.power_a)
    return Comparison(position, before, after, plain, weighted, floor)


def change_of(before: Power, after: Power) -> Change:
    """Of a level that stands out before; afterwards it may be lost in the floor."""
    if after.lost:
        bound = float(power_db(after.most / before.mean))
        return Change(bound, -np.inf, bound, True)
    relative = np.array([max(p.error / p.mean, 1e-9) for p in (before, after)])
    counts = np.array([p.count - 1 for p in (before, after)])
    freedom = float(np.sum(relative**2) ** 2 / np.sum(relative**4 / counts))  # Welch and Satterthwaite
    factor = float(stdtrit(max(freedom, 2.0), 0.5 + CONFIDENCE / 2))
    middle = float(power_db(after.mean / before.mean))
    half = float(np.hypot(factor * 10 / np.log(10) * np.linalg.norm(relative), LEAST_HALF_DB))
    return Change(middle, middle - half, middle + half, False)


def proof(comparison: Comparison, on: date | str | None = None) -> Reading:
    """How the hum of a position changed as heard (A), for the job file; dated today if no day is given."""
    change = comparison.change_a
    return Reading(
        quantity="hum_change",
        position=comparison.position,
        value=f"{change.change_db:.2f} dB",
        date=on or date.today(),
        meter="recordings before and after",
        note="A-weighted" + (", at least" if change.at_least else ""),
    )
