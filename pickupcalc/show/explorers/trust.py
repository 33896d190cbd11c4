"""The table of outside checks as a picture and in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pickupcalc.show.explorers.frame import Explorer
from pickupcalc.show.explorers.widgets import ChoiceDial
from pickupcalc.show.plots import COLOURS, new_figure, place
from pickupcalc.show.trust import STATUSES, Check, Checks, outside_checks, percent

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

ALL = "all subjects"
MARKERS = dict(zip(STATUSES, "osD^v", strict=True))
SCALE = (5e-16, 1.0)
BENCH = {1e-3: "0.1 %", 1e-2: "1 %", 1e-1: "10 %"}


def trust_explorer() -> Explorer:
    """How far ours and theirs part, check by check, beside how far they may."""
    checks = outside_checks()
    dials = {"subject": ChoiceDial("subject", [ALL, *checks.subjects])}
    return Explorer(
        dials, lambda subject: checks if subject == ALL else checks.of(subject), trust_figure, trust_words
    )


def trust_words(checks: Checks) -> str:
    """What a table, or a part of it, tells."""
    subject = checks.subjects[0] if len(checks.subjects) == 1 else ALL
    told = f"{subject}: {checks.sentence()}"
    if checks.measured:
        worst = checks.measured[0]
        told += (
            f" Deviation in the middle of them: {percent(checks.usual)}. Furthest off: {worst.what},"
            f" {worst.told()}, allowed {worst.tolerated()}."
        )
    return told


def trust_figure(checks: Checks) -> Figure:
    """A line for each check, from what it is off (the marker) to what it may be off (the bar)."""
    rows = [c for subject in checks.subjects for c in reversed(checks.of(subject).measured)]
    figure, axes = new_figure(height=min(1.8 + 0.24 * len(rows), 7.8))
    _draw_scale(axes)
    axes.set_ylim(max(len(rows), 1) - 0.5, -0.5)
    for line, check in enumerate(rows):
        _draw_check(axes, line, check)
    if len(checks.subjects) == 1:
        axes.set_yticks(range(len(rows)), [c.what for c in rows], fontsize="x-small")
        place(figure, left=3.5, above=0.6)
    else:
        _draw_subjects(axes, rows)
        place(figure, left=1.6, above=0.6)
    for status in STATUSES:
        if any(c.status == status for c in rows):
            axes.plot([], [], MARKERS[status], color=_colour(status), ms=4, label=status)
    axes.plot([], [], "|", color="black", ms=7, label="allowed")
    figure.legend(frameon=False, fontsize="small", loc="upper left", ncols=len(STATUSES) + 1)
    return figure


def _colour(status: str) -> str:
    return COLOURS[STATUSES.index(status)]


def _draw_scale(axes: Axes) -> None:
    axes.grid(False)
    axes.set_xscale("log")
    axes.set_xlim(*SCALE)
    axes.set_xlabel("deviation, as a fraction")
    for fraction, label in BENCH.items():
        axes.axvline(fraction, color="black", alpha=0.3, linewidth=0.8, linestyle=":")
        axes.text(
            fraction, 1.005, label, transform=axes.get_xaxis_transform(), ha="center", fontsize="x-small"
        )


def _draw_check(axes: Axes, line: int, check: Check) -> None:
    colour = _colour(check.status)
    off, allowed = check.off or 0.0, check.allowed or 0.0
    axes.plot([off, allowed], [line, line], color=colour, linewidth=0.7)
    axes.plot([allowed], [line], "|", color=colour, ms=5)
    axes.plot([off], [line], MARKERS[check.status], color=colour, ms=3.5)


def _draw_subjects(axes: Axes, rows: list[Check]) -> None:
    """Names in the middle of their checks, and a line between subjects."""
    lines: dict[str, list[int]] = {}
    for line, check in enumerate(rows):
        lines.setdefault(check.subject, []).append(line)
    axes.set_yticks([sum(own) / len(own) for own in lines.values()], list(lines))
    axes.tick_params(axis="y", length=0)
    for own in lines.values():
        axes.axhline(own[-1] + 0.5, color="black", alpha=0.2, linewidth=0.6)
