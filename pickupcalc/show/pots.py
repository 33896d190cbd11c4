"""A ranking of pots on a terminal, and the band that real parts spread over."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import cycle
from typing import TYPE_CHECKING

from pickupcalc.answers.pots.judging import Choice
from pickupcalc.answers.pots.outlook import Outlook, has_bypass
from pickupcalc.answers.pots.ranking import Ranking
from pickupcalc.answers.pots.scatter import Tolerance
from pickupcalc.answers.response import Response
from pickupcalc.show.plots import COLOURS, LINES, as_it_is, hertz_axis, new_figure
from pickupcalc.show.text import assumptions
from pickupcalc.units import engineering

if TYPE_CHECKING:
    from matplotlib.figure import Figure

HEADINGS = ("rank", "parts", "misses by", "chance", "blurred most by")
POSITION_HEADINGS = (
    "position",
    "peak",
    "height",
    "Q",
    "level",
    "treble at 3/4, 1/2, 1/4",
    "aided",
    "tone down",
)


def ranking_text(ranking: Ranking) -> str:
    """The ranking as a table, the best choice position by position, and what it means."""
    best = ranking.choices[0]
    lines = [
        f"{ranking.instrument}: parts for {ranking.aim}",
        f"{ranking.considered} combinations for {', '.join(ranking.positions)}",
        "",
        *_table([HEADINGS, *(_row(i, c) for i, c in enumerate(ranking.choices, 1))]),
        "",
        "Choice 1, position by position:",
        "",
        *_table([POSITION_HEADINGS, *(_position_row(o) for o in best.positions)]),
        "",
        f"Choice 1. {best.sentence}",
        *_missed(ranking),
        *_bypass_words(best),
        "Misses: decibels or semitones, the mean of the positions. Chance: how many of "
        f"{ranking.study.samples} instruments with real parts meet the aim in every position"
        f" (a band, or within {ranking.study.within:g} dB).",
        "In brackets: what 95 of 100 of these instruments lie between.",
        "Treble: 5 kHz against 100 Hz, as the volume goes down; good to some 20 % for the taper alone.",
    ]
    assumed = assumptions(best.instrument)
    if assumed:
        lines.append(f"Assumed, not measured: {'; '.join(assumed)}.")
    return "\n".join(lines)


def tolerance_figure(tolerances: Sequence[Tolerance], today: Sequence[Response] = ()) -> Figure:
    """Responses with the band that 95 of 100 instruments lie in, and dotted what there is today."""
    figure, axes = new_figure()
    highest = max(
        float(x.max()) for x in (*(t.band_db for t in tolerances), *(c.magnitude_db for c in today))
    )
    for tolerance, colour, line in zip(tolerances, cycle(COLOURS), cycle(LINES), strict=False):
        hertz = tolerance.frequencies.m_as("hertz")
        low, middle, high = tolerance.band_db
        axes.fill_between(hertz, low, high, color=colour, alpha=0.22, linewidth=0)
        axes.semilogx(hertz, middle, color=colour, linestyle=line, label=as_it_is(tolerance.position))
    for i, curve in enumerate(today):
        label = "today" if i == 0 else None
        axes.semilogx(
            curve.frequencies.m_as("hertz"), curve.magnitude_db, color="#222222", ls=":", label=label
        )
    axes.set_xlim(50, 20e3)
    axes.set_ylim(max(highest - 30, -120), highest + 2)
    hertz_axis(axes)
    axes.set_ylabel("level at the amplifier in dB")
    axes.legend(frameon=False, fontsize="small", loc="lower left")
    axes.set_title("Line: the middle. Band: 95 of 100 instruments with real parts.", fontsize="small")
    return figure


def _row(rank: int, choice: Choice) -> tuple[str, ...]:
    cause = choice.dominated_by
    share = f"{cause}, {100 * choice.shares[cause]:.0f} %" if cause else ""
    return (
        str(rank),
        choice.parts_text,
        f"{choice.miss_db:.1f}",
        f"{100 * choice.chance:.0f} %",
        share,
    )


def _position_row(o: Outlook) -> tuple[str, ...]:
    return (
        o.name,
        _peak(o),
        _height(o),
        "" if o.q is None else f"{o.q:.2f}",
        f"{o.level_db:+.1f} dB",
        _treble(o.treble_db),
        _treble(o.treble_bypassed_db),
        _second(o),
    )


def _peak(o: Outlook) -> str:
    if o.peak_frequency is None:
        return "none"
    between = tuple(f"{x / 1e3:.2f}" for x in o.peak_between or ())
    return engineering(o.peak_frequency.magnitude, "Hz") + _bracket(between)


def _height(o: Outlook) -> str:
    if o.peak_height_db is None:
        return ""
    return f"{o.peak_height_db:+.1f} dB" + _bracket(tuple(f"{x:.1f}" for x in o.height_between or ()))


def _bracket(ends: tuple[str, ...]) -> str:
    return f" ({' to '.join(ends)})" if ends else ""


def _treble(by_rotation: object) -> str:
    values = list(by_rotation.values())  # type: ignore[attr-defined]
    return f"{', '.join(f'{round(v):+d}' for v in values)} dB" if values else ""


def _second(o: Outlook) -> str:
    if o.tone_down_frequency is None:
        return ""
    return f"{engineering(o.tone_down_frequency.magnitude, 'Hz')}, {o.tone_down_height_db:+.1f} dB"


def _missed(ranking: Ranking) -> list[str]:
    miss = ranking.choices[0].miss_db
    if miss <= ranking.study.within:
        return []
    return [f"None of these parts meets the aim; the nearest misses it by {miss:.1f} dB (or semitones)."]


def _bypass_words(choice: Choice) -> list[str]:
    if choice.bypass is None:
        return []
    best = choice.bypass.best
    if best is None:
        return ["Bypass parts on the volume would not keep the sound better than none."]
    left = f"differs from that at full by {best.left_db:.1f} dB instead of {choice.bypass.without_db:.1f} dB"
    if has_bypass(choice.instrument):
        return [f"Aided: by the bypass parts there are. Best would be {best.text}: at half volume it {left}."]
    where = "from each volume's end lug to its wiper"
    return [f"Aided: {best.text} {where}. At half volume the response then {left}."]


def _table(rows: Sequence[tuple[str, ...]]) -> list[str]:
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    lines = [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    ]
    return [lines[0], "-" * max(map(len, lines)), *lines[1:]]
