"""Plans and work orders as sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pickupcalc.answers.polarity.facts import hum, phase
from pickupcalc.answers.polarity.planner import Plan, Plans, plan
from pickupcalc.answers.polarity.signs import signs
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.show.words import begun

if TYPE_CHECKING:
    from pickupcalc.answers.polarity.truth import Truth
    from pickupcalc.answers.polarity.work_order import WorkOrder

MOST_SHOWN = 6  # plans; nobody reads on

RANKED = "Minutes are a rough figure by construction (common practice, no source); only their order matters."


def plans_text(instrument: Instrument, found: Plans) -> str:
    """All plans worth reading, the best first, and why anything stays open."""
    lines = [instrument.about.name, ""]
    if not found.wanted:
        return "\n".join(
            [*lines, 'No position says what is wanted of it: add wanted = ["in phase", ...] to one.']
        )
    everything = not found.best.unmet
    head = "Meets everything wanted:" if everything else "Not everything wanted can be met. The nearest:"
    lines.append(head)
    for i, one in enumerate(found.plans[:MOST_SHOWN], 1):
        lines.append(f"{i:>3}. {summary(one)}")
        lines += [f"       {line}" for line in details(one)]
    more = len(found.plans) + found.left_out - MOST_SHOWN
    if more > 0:
        lines.append(f"     and {more} more with no less work (--json lists them)")
    return "\n".join([*lines, *hum_lines(instrument, found.best), "", RANKED])


def hum_lines(instrument: Instrument, best: Plan) -> list[str]:
    """Hum as heard, before and after, of each position that was to be quiet and will be."""
    from pickupcalc.answers.hum.chance import chance_of_quiet
    from pickupcalc.answers.hum.left import hum_left

    quiet = [p.name for p in instrument.positions if "hum-cancelling" in p.wanted and p.name in best.met]
    after = best.apply(instrument)
    if not quiet or not best.changes:
        return []
    lines = ["", "Hum as heard, against the loudest of its pickups alone, in a field alike everywhere:"]
    for name in quiet:
        now, then = hum_left(instrument, name).relative_db_a, chance_of_quiet(after, name)
        lines.append(
            f"  {name}: {now:+.0f} dB now; after plan 1 half of such repairs stay below "
            f"{then.middle_db:+.0f} dB, and {then.odds} gain {then.reduction_db:.0f} dB"
        )
    return lines


def summary(one: Plan) -> str:
    """One plan in a line."""
    told = begun(str(one))
    return f"{told}, about {one.effort:.0f} min" if one.changes else told


def details(one: Plan) -> list[str]:
    """What a plan leaves open or changes elsewhere."""
    open_ = [f'"{u.position}" not {u.wanted}: {u.why}' for u in one.unmet]
    return open_ + [f'also "{e.position}": {e.before} becomes {e.after}' for e in one.also]


def sheet_line(found: Plans) -> str:
    """The short line under the sheet's table; empty where nothing is wanted."""
    if not found.wanted:
        return ""
    if not found.best.changes and not found.best.unmet:
        return "Wanted of the positions: met as it is."
    goal = "meets all that is wanted" if not found.best.unmet else "comes nearest to what is wanted"
    return f"Least repair: {found.best!s} ({goal}, about {found.best.effort:.0f} min)."


def plan_line(instrument: Instrument) -> str:
    """`sheet_line`, or what must be observed before there can be a plan."""
    try:
        line = sheet_line(plan(instrument))
    except InputError as error:
        return f"No plan yet: {'; '.join(map(str, error.faults))}"
    unknown = any("unknown" in (phase(instrument, p), hum(instrument, p)) for p in instrument.positions)
    following = signs(instrument).next_measurement() if unknown else None
    return f"{line} To know more of phase and hum: {following.words}.".lstrip() if following else line


WIRING = "Between names: | side by side, + one after the other, - turned round, * with parts of its own."


def truth_text(found: Truth) -> str:
    """The truth table of a position in words; `WIRING` explains its first line."""
    return "\n".join([f"{found.position}: {found.wiring}", *(f"  {line}" for line in found.sentences())])


def work_order_text(order: WorkOrder) -> str:
    """Steps with a box to tick, the readings to expect, and the cautions first."""
    lines = [f"Work order: {order.plan}, about {order.minutes:.0f} min", ""]
    lines += [f"  ! {caution}" for caution in order.cautions]
    lines.append("  ! Local codes and licensed practice come first.")
    for i, step in enumerate(order.steps, 1):
        lines += ["", f"[ ] {i}. {step.do}"]
        lines += [f"      expect  {line}" for line in step.expect]
        lines += [f"      beware  {line}" for line in step.beware]
    return "\n".join(lines)
