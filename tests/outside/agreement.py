"""One outside check: compared, then put beside the row of it that is stored in data/checks."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np

from pickupcalc.show.trust import DECIBEL, EXACT, RANGE, STATUSES, VALUE, WHOLE, WORDS, Check, outside_checks

SMALLEST = 1e-15  # below that it is the last bit, different on every machine
LASTING = ("subject", "source", "status", "unit", "kind", "tolerance")  # what a rerun cannot change


class Outside:
    """What the fixture `outside` gives: call it with theirs and ours."""

    def __init__(self, subject: str, test: str, keep: Callable[[Check], None]) -> None:
        self._subject, self._test, self._keep = subject, test, keep

    def __call__(
        self, what, *, source, status, ours, theirs=None, between=None, rtol=None, db=None, of=None, unit=""
    ):
        """Assert that ours agrees with theirs, and keep the row.

        Parameters
        ----------
        what : str
            A literal, unique in its test; rows of a parametrised test are merged.
        source, status : str
            Whose value it is; one of `STATUSES`.
        ours, theirs : array_like or str
            Numbers, real or complex; words must be the same.
        between : (float or None, float or None)
            In place of `theirs`: what all of ours must lie between.
        rtol, db : float
            Tolerance: a fraction of each of theirs (or of `of`, where given), or decibels.
        of : array_like, optional
            The whole that `rtol` is a fraction of.
        """
        assert status in STATUSES, status
        if between is not None:
            told = within(ours, between)
        elif isinstance(theirs, str):
            told = {"theirs": theirs, "ours": ours, "kind": WORDS, "right": ours == theirs}
        else:
            told = compared(ours, theirs, rtol, db, of)
        right = told.pop("right")
        usual = {"deviation": None, "tolerance": None, "values": 1} | told
        row = Check(self._subject, what, source, status, unit=unit, test=self._test, **usual)
        assert right, f"{source} says {row.theirs}, here it is {row.ours}; {row}"
        self._keep(row)


def within(ours, between):
    """Whether all of ours lie between two limits, of which one may be None."""
    low, high = between
    ours = np.asarray(ours, dtype=float)
    right = (low is None or ours.min() >= low) and (high is None or ours.max() <= high)
    if low is None:
        theirs = f"at most {high:g}"
    else:
        theirs = f"at least {low:g}" if high is None else f"{low:g} to {high:g}"
    return {"theirs": theirs, "ours": span(ours.ravel()), "kind": RANGE, "right": right, "values": ours.size}


def span(numbers):
    low, high = (f"{pick(numbers):.3g}" for pick in (min, max))
    return low if low == high else f"{low} to {high}"


def compared(ours, theirs, rtol, db, of):
    """The deviation of numbers and where it is worst."""
    ours, theirs = np.broadcast_arrays(ours, theirs)
    whole = np.broadcast_to(abs(theirs) if of is None else of, theirs.shape)
    off = np.abs(ours - theirs)
    if db is None:
        with np.errstate(divide="ignore"):
            off = np.divide(off, whole, out=np.zeros(theirs.shape), where=off != 0)
    worst, tolerance = float(off.max()), rtol if db is None else db
    right = bool(worst <= tolerance)
    at = off.argmax() if worst >= EXACT else np.abs(theirs).argmax()
    scale = max(abs(theirs.flat[at]), whole.flat[at])
    return {
        "theirs": number(theirs.flat[at], scale),
        "ours": number(ours.flat[at], scale),
        "kind": DECIBEL if db is not None else VALUE if of is None else WHOLE,
        "deviation": min(rounded(worst), tolerance) if right else worst,
        "tolerance": tolerance,
        "right": right,
        "values": theirs.size,
    }


def rounded(deviation):
    """Up to two digits; below a millionth to the power of ten, which another machine gives too."""
    power = math.log10(max(deviation, SMALLEST))
    step = 10.0 ** (math.ceil(power) if deviation < EXACT else math.floor(power) - 1)
    return float(f"{math.ceil(deviation / step - 1e-6) * step or step:.2g}")


def number(value, scale):
    """Six digits of the scale."""
    digits = 5 - math.floor(math.log10(scale)) if scale > 0 else 6
    real, imag = (round(float(part), digits) + 0.0 for part in (value.real, value.imag))
    return f"{real:.6g}{imag:+.6g}j" if imag else f"{real:.6g}"


def merged(one: Check, other: Check) -> Check:
    """One row of two cases of a parametrised test."""
    for name in LASTING:
        assert getattr(one, name) == getattr(other, name), f"{one.test}, {one.what}: two of {name}"
    cases, values = (one, other), one.values + other.values
    if one.kind == WORDS:  # theirs and ours are the same
        words = ", ".join(sorted({word for c in cases for word in c.ours.split(", ")}))
        return replace(one, values=values, theirs=words, ours=words)
    if one.kind == RANGE:
        return replace(one, values=values, ours=span([float(x) for c in cases for x in c.ours.split(" to ")]))
    deviation = max(c.deviation for c in cases)
    return replace(max(cases, key=_weight), values=values, deviation=deviation)


def _weight(row: Check):
    """The worst pair, or, as long as all agree to a millionth, the largest."""
    exact = row.deviation <= EXACT
    return (0.0, abs(complex(row.theirs))) if exact else (row.deviation, 0.0)


@cache
def stored() -> dict[tuple[str, str], Check]:
    return {(c.test, c.what): c for c in outside_checks()}


def same_as_stored(row: Check) -> None:
    """The table tells of this check what the test says."""
    kept = stored().get((row.test, row.what))
    stale = "data/checks/outside.csv is stale; run: python tests/tell_checks.py"
    assert kept, f"{row.test}, {row.what}: no such row; {stale}"
    for name in LASTING:
        assert getattr(kept, name) == getattr(row, name), f"{row.test}, {row.what}: {name}; {stale}"
