"""A plan as steps at the bench: what to do, what must then be read, what can go wrong."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from pickupcalc.answers.hum.chance import chance_of_quiet
from pickupcalc.answers.magnet.cautions import cautions_by_kind
from pickupcalc.answers.polarity.changes import (
    REVERSE,
    SWAP,
    Change,
    changed,
    housings,
    in_words,
    listed,
    magnet_method,
)
from pickupcalc.answers.polarity.facts import hum, phase
from pickupcalc.answers.polarity.planner import Plan
from pickupcalc.answers.polarity.signs import signs
from pickupcalc.answers.positions import PositionReport, positions
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.parts.pickup import Pickup
from pickupcalc.tables import table
from pickupcalc.units import engineering


@dataclass(frozen=True)
class Step:
    """One step: what to do, what to read after it, what can go wrong, which cautions apply."""

    do: str
    expect: tuple[str, ...]
    beware: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        return {
            "do": self.do,
            "expect": list(self.expect),
            "beware": list(self.beware),
            "cautions": list(self.cautions),
        }


@dataclass(frozen=True)
class WorkOrder:
    """The steps of a plan in order.

    Attributes
    ----------
    plan : str
        The plan in words.
    minutes : float
    steps : tuple of Step
    """

    plan: str
    minutes: float
    steps: tuple[Step, ...]

    @property
    def cautions(self) -> list[str]:
        """Each caution once, in the order first met."""
        return list(dict.fromkeys(c for step in self.steps for c in step.cautions))

    def as_json(self) -> dict[str, Any]:
        return {"plan": self.plan, "minutes": self.minutes, "steps": [s.as_json() for s in self.steps]}


def work_order(instrument: Instrument, plan: Plan) -> WorkOrder:
    """The steps of a plan, with the readings expected after each.

    Magnets come before leads: a compass shows at once whether a magnet turned
    over, and while only that was done the tap test must have turned with it.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> order = pc.work_order(instrument, pc.plan(instrument).best)
    >>> order.plan, order.minutes
    ("swap bridge's leads", 10.0)
    """
    steps = [_before(instrument)]
    done: list[Change] = []
    for group in housings(instrument):
        names = {p.name for p in group}
        mine = [c for c in plan.changes if c.pickup in names]
        if reversing := [c for c in mine if c.change == REVERSE]:
            steps.append(_reverse(instrument, group, reversing, done))
        if swapping := [c for c in mine if c.change == SWAP]:
            steps += _swap(instrument, group, swapping, done)
    steps.append(_after(changed(instrument, done)))
    return WorkOrder(in_words(plan.changes), plan.effort, tuple(steps))


def _before(instrument: Instrument) -> Step:
    readings = [_reading(instrument, p.name) for p in instrument.pickups]
    return _step(table("bench_steps")["before"], [*_resistances(positions(instrument)), *readings])


def _reverse(
    instrument: Instrument, group: tuple[Pickup, ...], changes: list[Change], done: list[Change]
) -> Step:
    done += changes
    after = changed(instrument, done)
    names = [c.pickup for c in changes]
    pickup = next(p for p in group if p.name == names[0])
    expect = [*(_reading(after, n) for n in names), "resistance as before"]
    texts = table("bench_steps")["reverse_magnet"][magnet_method(pickup)]
    step = _step(texts, expect, who=listed(names))
    cautions = (c.text for c in cautions_by_kind(pickup.magnet_kind))
    return replace(step, cautions=(*cautions, *step.cautions))


def _swap(
    instrument: Instrument, group: tuple[Pickup, ...], changes: list[Change], done: list[Change]
) -> Iterator[Step]:
    names = [c.pickup for c in changes]
    concerned = [p for p in group if p.name in names]
    for pickup in concerned:
        if pickup.lead_tied_to:
            yield _separate(pickup)
    done += changes
    after = changed(instrument, done)
    texts = table("bench_steps")["swap_leads"]
    way = "alone" if len(group) == 1 else "whole" if len(names) == len(group) else "inside"
    beware = list(texts["beware"])
    if any(p.lead_tied_to is None for p in concerned):
        beware.append(texts["if_free"])
    expect = [*(_reading(after, n) for n in names), "compass and resistance as before the swap"]
    yield _step(texts | {"do": texts[way], "beware": beware}, expect, who=listed(names))


def _separate(pickup: Pickup) -> Step:
    texts, metal = table("bench_steps")["separate"], pickup.lead_tied_to or ""
    every = texts["all"]
    step = every | texts[metal] | {"beware": [every["beware"]]}
    return _step(step, [every["expect"]], who=pickup.name, metal=metal)


def _after(after: Instrument) -> Step:
    joined = [p for p in after.positions if len(p.wiring.pickups()) > 1]
    told = [f"{p.name}: {phase(after, p)}, hum {hum(after, p)}" for p in joined]
    quiet = [chance_of_quiet(after, p.name) for p in joined if hum(after, p) == "cancelling"]
    return _step(table("bench_steps")["after"], [*_resistances(positions(after)), *told, *map(str, quiet)])


def _step(texts: dict[str, Any], expect: list[str], **words: str) -> Step:
    def put(text: str) -> str:
        for key, word in words.items():
            text = text.replace(f"{{{key}}}", word)
        return text

    return Step(
        put(texts["do"]),
        tuple(map(put, expect)),
        tuple(map(put, texts["beware"])),
        tuple(table("cautions")["cautions"][key] for key in texts["cautions"]),
    )


def _resistances(reports: list[PositionReport]) -> list[str]:
    told = []
    for r in reports:
        if r.dc_resistance is None:
            told.append(f"{r.name}: open at the jack, a capacitor blocks")
            continue
        spread = r.spread.get("dc_resistance")
        band = f" ±{engineering(spread.amount, 'Ω', 2)}" if spread else ""
        told.append(f"{r.name}: {engineering(r.dc_resistance.m, 'Ω')}{band} at the jack, coils at 20 degC")
    return told


def _reading(instrument: Instrument, name: str) -> str:
    known = signs(instrument)
    magnet, signal = known.magnet(name), known.signal(name)
    pole = {
        1: "compass: north up, the needle's south end points at the poles",
        -1: "compass: south up, the needle's north end points at the poles",
        None: "compass: not yet known",
    }[magnet]
    swing = {
        1: "steel pulled off: hot lead swings +",
        -1: "steel pulled off: hot lead swings \N{MINUS SIGN}",
        None: "tap test: not yet known",
    }[signal]
    return f"{name}: {pole}; {swing}"
