"""The planner: the two demo instruments, bad wishes, and every set of changes against it."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pickupcalc import read_job
from pickupcalc.answers import polarity
from pickupcalc.answers.polarity.changes import REVERSE, SWAP, Change, changed, choices, efforts
from pickupcalc.answers.polarity.planner import plan
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import WANTED, About, Instrument, Position
from pickupcalc.instrument.observation import Observation
from pickupcalc.parts.pickup import Pickup
from tests.conftest import ROOT


def pickup(name: str, magnet: str | None = "south", tap: str | None = "positive", **more: object) -> Pickup:
    return Pickup(name=name, resistance="6 kohm", inductance="2.5 H", magnet=magnet, tap=tap, **more)


def pair(a: str, b: str, *wanted: str) -> Position:
    return Position(
        name=f"{a} with {b}", wiring={"parallel": [a, b]}, wanted=wanted or ("in phase", "hum-cancelling")
    )


def bench(pickups: list[Pickup], positions: list[Position], **more: object) -> Instrument:
    return Instrument(About(name="bench"), tuple(pickups), positions=tuple(positions), **more)


def test_the_bass_gets_its_bridge_leads_swapped():
    found = plan(read_job(ROOT / "data/bass_12.toml").instrument)
    assert found.best.changes == (Change("bridge", SWAP),)
    assert found.best.met == ("both",) and found.best.unmet == ()
    assert found.plans[1].changes == (Change("neck", SWAP),)


def test_the_baritone_gets_its_middle_pickup_turned():
    """Reversing magnet and leads of the middle one quiets both positions: common practice, no source."""
    made = read_job(ROOT / "data/baritone_5.toml").instrument
    found = plan(made)
    assert found.best.changes == (Change("middle", REVERSE), Change("middle", SWAP))
    assert found.best.met == ("2 neck and middle", "4 middle and bridge")
    assert len(found.plans) == 4
    assert [p.effort for p in found.plans] == sorted(p.effort for p in found.plans)
    after = found.best.apply(made)
    for name in found.best.met:
        assert polarity.phase(after, after.position(name)) == "in phase"
        assert polarity.hum(after, after.position(name)) == "cancelling"


def test_nothing_to_do_is_a_plan():
    found = plan(read_job(ROOT / "data/twin_coil_31.toml").instrument)
    assert [p.changes for p in found.plans] == [()]
    assert found.best.unmet == () and found.best.effort == 0
    assert str(found.best) == "change nothing"


def test_nothing_wanted_is_met_as_it_is():
    found = plan(bench([pickup("a")], []))
    assert found.wanted == 0
    assert found.as_json() == {"plans": [{"changes": [], "met": [], "unmet": [], "effort": 0.0, "also": []}]}


def test_of_three_alike_at_most_two_pairs_cancel():
    names = ("a", "b", "c")
    found = plan(bench([pickup(n) for n in names], [pair(x, y) for x, y in combinations(names, 2)]))
    assert {len(p.unmet) for p in found.plans} == {1}
    assert {p.unmet[0].position for p in found.plans} == {"a with b", "b with c", "a with c"}
    why = found.best.unmet[0].why
    assert "ring of three" in why and "at most two of these three" in why


def test_a_ring_of_five():
    names = "abcde"
    ring = [pair(names[i], names[(i + 1) % 5], "hum-cancelling") for i in range(5)]
    found = plan(bench([pickup(n) for n in names], ring))
    assert {len(p.unmet) for p in found.plans} == {1}
    assert "ring of five" in found.best.unmet[0].why


def test_a_ring_with_a_selector_that_turns_one_round():
    """In series with one turned round the hums must be alike: a ring of three that closes, or does not."""

    def turned(a, b):
        wiring = {"series": [a, {"reversed": b}]}
        return Position(name=f"{a} against {b}", wiring=wiring, wanted=["hum-cancelling"])

    pickups = [pickup(n) for n in "abc"]
    ab, bc = (pair(x, y, "hum-cancelling") for x, y in ("ab", "bc"))
    assert plan(bench(pickups, [ab, bc, turned("a", "c")])).best.unmet == ()
    twice = plan(bench(pickups, [ab, turned("b", "c"), turned("a", "c")])).best
    assert len(twice.unmet) == 1
    assert twice.unmet[0].why.startswith("these cannot all be had")


def test_a_plan_that_forbids_everything_is_answered_in_words():
    found = plan(bench([pickup("a", allowed=[]), pickup("b", allowed=[])], [pair("a", "b")]))
    (only,) = found.plans
    assert only.changes == () and only.met == ()
    assert only.unmet[0].wanted == "hum-cancelling"
    assert "a's leads may not be swapped and b's leads may not be swapped" in only.unmet[0].why


def test_phase_and_hum_need_a_magnet_reversed():
    stay = [pickup(n, allowed=[SWAP]) for n in "ab"]
    found = plan(bench(stay, [pair("a", "b")]))
    assert found.best.changes == ()
    assert "cannot be in phase and hum-cancelling at once" in found.best.unmet[0].why
    assert "a's magnet may not be reversed and b's magnet may not be reversed" in found.best.unmet[0].why


@pytest.mark.parametrize("wanted", ["in phase", "out of phase", "hum-cancelling"])
def test_what_one_pickup_alone_cannot_have(wanted):
    found = plan(bench([pickup("a")], [Position(name="a alone", wiring="a", wanted=[wanted])]))
    assert found.best.unmet[0].why.startswith("one pickup alone has no other")


def test_three_side_by_side_leave_a_third():
    three = Position(name="all", wiring={"parallel": ["a", "b", "c"]}, wanted=["in phase", "hum-cancelling"])
    found = plan(bench([pickup(n) for n in "abc"], [three]))
    assert "an odd number of alike shares never cancels; at least 1/3" in found.best.unmet[0].why


@pytest.mark.parametrize(("kind", "told"), [("series", "at least 1 of"), ("parallel", "at least 1/31 of")])
def test_many_alike_are_told_at_once(kind, told):
    """All signs of 31 pickups are a thousand million; their sums are few."""
    names = [f"no. {i}" for i in range(31)]
    everything = Position(name="all", wiring={kind: names}, wanted=["hum-cancelling"])
    found = plan(bench([pickup(n, allowed=[]) for n in names], [everything]))
    assert told in found.best.unmet[0].why


def test_a_pickup_neither_measured_nor_described_is_refused_with_advice():
    made = bench([pickup("a"), pickup("b", magnet=None, tap=None)], [pair("a", "b")])
    with pytest.raises(
        InputError, match="how a and b meet in signal was neither measured nor described"
    ) as told:
        plan(made)
    assert "to do next: tap b's poles" in str(told.value)


def test_the_ear_is_enough_to_plan():
    heard = (Observation(pickups=["a", "b"], sound="thin", hum="hums"),)
    unread = [pickup(n, magnet=None, tap=None) for n in "ab"]
    made = bench(unread, [pair("a", "b")], observations=heard)
    found = plan(made)
    assert {p.changes for p in found.plans} == {
        (Change("a", SWAP),),
        (Change("b", SWAP),),
    }
    after = found.best.apply(made)
    assert polarity.phase(after, after.position("a with b")) == "in phase"
    assert polarity.hum(after, after.position("a with b")) == "cancelling"


def test_construction_ranks_the_plans():
    rods, bar = "alnico rods", "bar under steel poles"
    made = bench([pickup("a", magnet_kind=bar), pickup("b", magnet_kind=rods)], [pair("a", "b")])
    assert {c.pickup for c in plan(made).best.changes} == {"b"}
    made = bench(
        [pickup("a", magnet_kind=rods, lead_tied_to="cover"), pickup("b", magnet_kind=rods)], [pair("a", "b")]
    )
    assert {c.pickup for c in plan(made).best.changes} == {"b"}
    made = bench(
        [pickup("a", tap="negative", lead_tied_to="screen"), pickup("b")], [pair("a", "b", "in phase")]
    )
    assert plan(made).best.changes == (Change("b", SWAP),)


def test_coils_in_one_housing_share_a_bar_and_their_leads():
    """A bar under both turns both over; the whole pickup is re-wired at the selector for little."""
    kind = "bar under steel poles"
    twin = [
        pickup("a1", "north", "positive", housing="a", magnet_kind=kind),
        pickup("a2", "south", "positive", housing="a", magnet_kind=kind),
    ]
    inner = Position(name="a", wiring={"series": ["a1", "a2"]}, wanted=["in phase", "hum-cancelling"])
    both = Position(name="both", wiring={"parallel": [{"series": ["a1", "a2"]}, "b"]}, wanted=["in phase"])
    made = bench([*twin, pickup("b", "north", "negative", lead_tied_to="cover")], [inner, both])
    found = plan(made)
    assert found.best.changes == (Change("a1", SWAP), Change("a2", SWAP))
    assert found.best.effort == 10.0
    barred = [*(replace(p, allowed=[REVERSE]) for p in twin), replace(made.pickups[2], allowed=[])]
    assert plan(replace(made, pickups=tuple(barred))).best.changes == (
        Change("a1", REVERSE),
        Change("a2", REVERSE),
    )


def test_rods_in_one_housing_are_magnets_of_their_own():
    rods = {"housing": "a", "magnet_kind": "alnico rods", "allowed": [REVERSE]}
    made = bench(
        [pickup("a1", **rods), pickup("a2", **rods)],
        [
            Position(name=wanted, wiring={"parallel": ["a1", "a2"]}, wanted=[wanted])
            for wanted in ("in phase", "out of phase")
        ],
    )
    for found in plan(made).plans:
        assert "share one magnet" not in found.unmet[0].why
        assert found.unmet[0].why.startswith("these cannot all be had")


def test_what_happens_to_other_positions_is_told():
    other = Position(name="b with c", wiring={"parallel": ["b", "c"]})
    made = bench(
        [pickup("a", allowed=[]), pickup("b", tap="negative"), pickup("c", tap="negative")],
        [pair("a", "b", "in phase"), other],
    )
    (effect,) = plan(made).best.also
    assert (effect.position, effect.before, effect.after) == (
        "b with c",
        "in phase, hum adds",
        "out of phase, hum cancels",
    )


def test_too_many_coils_are_refused_not_guessed():
    names = [f"p{i}" for i in range(11)]
    with pytest.raises(InputError, match="at most 20 are weighed exactly"):
        plan(bench([pickup(n) for n in names], [pair(a, b) for a, b in pairwise(names)]))


# --- every set of changes, judged one by one -------------------------------------------------


def wirings(names: list[str]) -> st.SearchStrategy:
    def grow(items):
        joined = st.sampled_from(["series", "parallel"])
        return st.tuples(joined, st.permutations(items)).map(lambda t: {t[0]: list(t[1])})

    turned = [st.sampled_from([n, {"reversed": n}]) for n in names]
    flat = st.tuples(*turned).flatmap(lambda items: grow(list(items)))
    if len(names) < 3:
        return flat
    nested = st.tuples(flat_of(names[:2]), flat_of(names[2:])).flatmap(lambda items: grow(list(items)))
    return flat | nested


def flat_of(names: list[str]) -> st.SearchStrategy:
    if len(names) == 1:
        return st.just(names[0])
    return st.sampled_from(["series", "parallel"]).map(lambda k: {k: list(names)})


@st.composite
def instruments(draw: st.DrawFn) -> Instrument:
    names = [f"p{i}" for i in range(draw(st.integers(2, 4)))]
    kinds = st.sampled_from([None, "alnico rods", "bar under steel poles"])
    pickups = [
        pickup(
            n,
            draw(st.sampled_from(["north", "south"])),
            draw(st.sampled_from(["positive", "negative"])),
            allowed=draw(st.lists(st.sampled_from([SWAP, REVERSE]), unique=True)),
            magnet_kind=draw(kinds),
            lead_tied_to=draw(st.sampled_from([None, "cover", "screen"])),
        )
        for n in names
    ]
    positions = []
    for i in range(draw(st.integers(1, 3))):
        some = draw(st.lists(st.sampled_from(names), unique=True, min_size=1))
        wanted = draw(st.lists(st.sampled_from(WANTED), unique=True, max_size=2))
        positions.append(Position(name=f"position {i}", wiring=draw(wirings(some)), wanted=wanted))
    return bench(pickups, positions)


@st.composite
def twins(draw: st.DrawFn) -> Instrument:
    """A twin-coil pickup, its coils sharing a bar or with rods of their own, and a third coil."""
    kind = draw(st.sampled_from(["bar under steel poles", "alnico rods"]))
    coils = [
        pickup(
            n,
            draw(st.sampled_from(["north", "south"])),
            draw(st.sampled_from(["positive", "negative"])),
            magnet_kind=kind,
            housing=None if n == "c" else "ab",
            allowed=draw(st.lists(st.sampled_from([SWAP, REVERSE]), unique=True)),
        )
        for n in "abc"
    ]
    some = draw(st.lists(st.sampled_from(["ab", "bc", "ac", "abc"]), min_size=1, max_size=3, unique=True))
    positions = []
    for names in some:
        wanted = draw(st.lists(st.sampled_from(WANTED), unique=True, max_size=2))
        positions.append(Position(name=names, wiring=draw(wirings(list(names))), wanted=wanted))
    return bench(coils, positions)


@given(twins())
@settings(max_examples=40)
def test_twin_coils_against_every_set_of_choices(made):
    """A set stays only if none of its subsets does the same at no more effort."""
    concerned = {n for p in made.positions if p.wanted for n in p.wiring.pickups()}
    concerned |= {"a", "b"} if concerned & {"a", "b"} else set()
    offered = choices(made, concerned)
    minutes = efforts(made, offered)
    tried = {}
    for mask in range(1 << len(offered)):
        chosen = frozenset(c for i, o in enumerate(offered) if mask >> i & 1 for c in o.changes)
        after = changed(made, chosen)
        met = frozenset((p.name, w) for p in made.positions for w in satisfied(after, p))
        tried[chosen] = met, minutes[mask]
    most = max(len(met) for met, _ in tried.values())
    kept = {
        s
        for s, (met, effort) in tried.items()
        if len(met) == most and not any(t < s and m == met and e <= effort for t, (m, e) in tried.items())
    }
    assert {frozenset(p.changes) for p in plan(made).plans} == kept


def satisfied(made: Instrument, position: Position) -> list[str]:
    phase, hum = polarity.phase(made, position), polarity.hum(made, position)
    is_so = {
        "in phase": phase == "in phase",
        "out of phase": phase in ("out of phase", "mixed"),
        "hum-cancelling": hum == "cancelling",
        "not hum-cancelling": hum != "cancelling",
    }
    return [w for w in position.wanted if is_so[w]]


@given(instruments())
@settings(max_examples=60)
def test_against_every_set_of_changes(made):
    concerned = {n for p in made.positions if p.wanted for n in p.wiring.pickups()}
    possible = [Change(p.name, kind) for p in made.pickups if p.name in concerned for kind in p.allowed]
    scores = {}
    for size in range(len(possible) + 1):
        for chosen in combinations(possible, size):
            after = changed(made, chosen)
            scores[frozenset(chosen)] = frozenset(
                (p.name, w) for p in made.positions for w in satisfied(after, p)
            )
    most = max(len(met) for met in scores.values())
    minimal = {
        (s, met)
        for s, met in scores.items()
        if len(met) == most and not any(t < s and scores[t] == met for t in scores)
    }
    found = plan(made)
    told = set()
    for p in found.plans:
        wished = {(q.name, w) for q in made.positions for w in q.wanted}
        told.add((frozenset(p.changes), frozenset(wished - {(u.position, u.wanted) for u in p.unmet})))
        assert set(p.met) == {
            q.name for q in made.positions if q.wanted and q.name not in {u.position for u in p.unmet}
        }
        assert all(u.why for u in p.unmet)
    assert told == minimal
    assert len(told) == len(found.plans)
    assert [p.effort for p in found.plans] == sorted(p.effort for p in found.plans)
