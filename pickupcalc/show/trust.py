"""How far to trust this: the table of outside checks, read and summed up.

Each row sets one of our figures beside what a standard, a book, a paper, a general-purpose program or
another method gives for it. The rows are written by `tests/tell_checks.py` while the checks run.
"""

from __future__ import annotations

import csv
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from html import escape
from statistics import median_high

from pickupcalc.show.suite import source

PLACE = "data/checks/outside.csv"
STATUSES = ("published", "another program", "another method", "common practice", "from memory")
VALUE, WHOLE, DECIBEL, RANGE, WORDS = "of the value", "of the whole", "dB", "range", "words"
KINDS = (VALUE, WHOLE, DECIBEL, RANGE, WORDS)
EXACT = 1e-6  # what agrees better is stored as the power of ten above


@dataclass(frozen=True)
class Check:
    """One outside check: where their value is from, theirs, ours, and how far the two may part.

    Attributes
    ----------
    subject, what : str
        Unique together with `test`.
    source, status : str
        Whose value it is, and what that is worth: one of `STATUSES`.
    theirs, ours : str
        The pair that agrees worst among all `values` that were compared; if all agree to a millionth,
        the largest.
    unit : str
    kind : str
        What deviation and tolerance count in: a fraction of the value, a fraction of a whole that the
        check names, or dB. For a range or words there is neither, only right and wrong.
    deviation, tolerance : float or None
    values : int
    test : str
        File and function.
    """

    subject: str
    what: str
    source: str
    status: str
    theirs: str
    ours: str
    unit: str
    kind: str
    deviation: float | None
    tolerance: float | None
    values: int
    test: str

    @property
    def off(self) -> float | None:
        """The deviation as a fraction, decibels turned into one."""
        return self._fraction(self.deviation)

    @property
    def allowed(self) -> float | None:
        """The tolerance as a fraction."""
        return self._fraction(self.tolerance)

    def _fraction(self, number: float | None) -> float | None:
        if number is None or self.kind != DECIBEL:
            return number
        return 10 ** (number / 20) - 1

    def told(self) -> str:
        """The deviation in words; a stored power of ten is a limit."""
        if self.deviation is None:
            return ""
        limit = "below " if self.kind != DECIBEL and self.deviation <= EXACT else ""
        return limit + self._words(self.deviation)

    def tolerated(self) -> str:
        """The tolerance in words."""
        return f"({self.kind})" if self.tolerance is None else self._words(self.tolerance)

    def _words(self, number: float) -> str:
        return f"{number:g} dB" if self.kind == DECIBEL else percent(number)

    def row(self) -> tuple[str, ...]:
        """As the notebook's table shows it."""
        theirs, ours = (f"{v} {self.unit}".strip() for v in (self.theirs, self.ours))
        return (
            self.what,
            self.source,
            self.status,
            theirs,
            ours,
            self.told(),
            self.tolerated(),
            str(self.values),
        )


def percent(fraction: float) -> str:
    """A fraction as it is said; up to a millionth the power of ten that it does not exceed."""
    if fraction <= EXACT:
        return f"1e{math.ceil(math.log10(fraction) - 1e-9)}"
    return f"{100 * fraction:.2g} %" if fraction >= 1e-4 else f"{1e6 * fraction:.2g} ppm"


HEADS = ("what", "source", "status", "theirs", "ours", "deviation", "tolerance", "values")
SUMMARY_HEADS = ("subject", "checks", "values compared", "half agree within", "furthest off")


@dataclass(frozen=True)
class Checks:
    """The table, in the order it is stored; a notebook shows it subject by subject."""

    rows: tuple[Check, ...]

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[Check]:
        return iter(self.rows)

    @cached_property
    def subjects(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(c.subject for c in self))

    def of(self, subject: str) -> Checks:
        """The checks of one subject."""
        return Checks(tuple(c for c in self if c.subject == subject))

    @property
    def by_status(self) -> dict[str, int]:
        """How many checks there are of each status."""
        count = Counter(c.status for c in self)
        return {status: count[status] for status in STATUSES}

    @property
    def measured(self) -> tuple[Check, ...]:
        """Those with a deviation, the furthest off first."""
        return tuple(sorted((c for c in self if c.off is not None), key=lambda c: c.off or 0, reverse=True))

    @property
    def usual(self) -> float:
        """The deviation that half of them do not exceed, as a fraction."""
        return median_high(c.off or 0.0 for c in self.measured)

    @property
    def values(self) -> int:
        """How many values were compared."""
        return sum(c.values for c in self)

    def sentence(self) -> str:
        """How many checks there are, by what they stand on."""
        told = [f"{status} {n}" for status, n in self.by_status.items() if n]
        return f"{len(self)} checks of {self.values:,} values; theirs are: {', '.join(told)}."

    def summary(self) -> list[tuple[str, ...]]:
        """A line for each subject, with `SUMMARY_HEADS` first."""
        lines: list[tuple[str, ...]] = [SUMMARY_HEADS]
        for subject in self.subjects:
            checks = self.of(subject)
            usual, furthest = "", ""
            if checks.measured:
                worst = checks.measured[0]
                usual, furthest = percent(checks.usual), f"{worst.told()}: {worst.what}"
            lines.append((subject, str(len(checks)), f"{checks.values:,}", usual, furthest))
        return lines

    def markdown(self) -> str:
        """The summary as the README has it."""
        heads, *lines = self.summary()
        return "\n".join(f"| {' | '.join(line)} |" for line in (heads, ("---",) * len(heads), *lines))

    def _repr_html_(self) -> str:
        parts = []
        for subject in self.subjects:
            body = "".join(_html_row("td", c.row()) for c in self.of(subject))
            parts.append(f"<h3>{escape(subject)}</h3><table>{_html_row('th', HEADS)}{body}</table>")
        return "".join(parts)


def _html_row(tag: str, cells: Sequence[str]) -> str:
    inside = "".join(f'<{tag} style="text-align:left">{escape(cell)}</{tag}>' for cell in cells)
    return f"<tr>{inside}</tr>"


def outside_checks() -> Checks:
    """The stored table, from the checkout or the installed package."""
    with (source() / PLACE).open(encoding="utf-8", newline="") as file:
        return Checks(tuple(_check(line) for line in csv.DictReader(file)))


def _check(line: dict[str, str]) -> Check:
    numbers = {key: float(line[key]) if line[key] else None for key in ("deviation", "tolerance")}
    return Check(**{**line, **numbers, "values": int(line["values"])})  # type: ignore[arg-type]
