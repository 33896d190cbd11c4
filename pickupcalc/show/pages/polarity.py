"""The sheet's section on polarity: drawings before and after, the plan, its steps and cautions."""

from __future__ import annotations

from dataclasses import dataclass

from pickupcalc.answers.polarity.planner import Plans, plan
from pickupcalc.answers.polarity.truth import truth
from pickupcalc.answers.polarity.work_order import WorkOrder, work_order
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.show.plan_text import RANKED, details, sheet_line, summary
from pickupcalc.show.plots import svg
from pickupcalc.show.polarity_drawing import polarity_figure

MOST_OTHERS = 3  # further plans listed
WIDE = 3  # pickups, above which a drawing gets a line of its own


@dataclass(frozen=True)
class Drawing:
    """One picture as SVG with what it says in words."""

    title: str
    svg: str
    words: str
    wide: bool = False


@dataclass(frozen=True)
class PolaritySection:
    """What the template "polarity.html.j2" shows."""

    line: str
    drawings: tuple[Drawing, ...]
    details: tuple[str, ...]
    others: tuple[str, ...]
    order: WorkOrder | None
    ranked: str = RANKED


def polarity_section(instrument: Instrument) -> PolaritySection | None:
    """The section, or None for an instrument whose positions join nothing."""
    joined = [p for p in instrument.positions if len(p.wiring.pickups()) > 1]
    if not joined:
        return None
    try:
        found = plan(instrument)
    except InputError as error:
        return PolaritySection(f"No plan yet: {error}", _drawings(instrument, joined, ""), (), (), None)
    if not found.wanted or not found.best.changes:
        told = tuple(details(found.best)) if found.wanted else ()
        return PolaritySection(sheet_line(found), _drawings(instrument, joined, ""), told, (), None)
    return PolaritySection(
        line=sheet_line(found),
        drawings=_before_and_after(instrument, joined, found),
        details=tuple(details(found.best)),
        others=tuple(summary(p) for p in found.plans[1 : 1 + MOST_OTHERS]),
        order=work_order(instrument, found.best),
    )


def _before_and_after(instrument: Instrument, joined: list[Position], found: Plans) -> tuple[Drawing, ...]:
    after = found.best.apply(instrument)
    touched = {c.pickup for c in found.best.changes}
    pairs = [p for p in joined if touched & set(p.wiring.pickups())]
    drawings: list[Drawing] = []
    for position in pairs:
        drawings += _drawings(instrument, [position], ", as it is")
        drawings += _drawings(after, [position], ", after the plan")
    return (*drawings, *_drawings(instrument, [p for p in joined if p not in pairs], ""))


def _drawings(instrument: Instrument, some: list[Position], when: str) -> tuple[Drawing, ...]:
    found = [truth(instrument, p) for p in some]
    return tuple(
        Drawing(f"{t.position}{when}", svg(polarity_figure(t)), " ".join(t.sentences()), len(t.rows) > WIDE)
        for t in found
    )
