"""Steps, the readings expected after each, and what construction asks for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pickupcalc import read_job
from pickupcalc.answers.polarity.apply import applied
from pickupcalc.answers.polarity.changes import REVERSE, SWAP, Change, choices, efforts, magnet_method
from pickupcalc.answers.polarity.planner import Plan, plan
from pickupcalc.answers.polarity.work_order import work_order
from pickupcalc.instrument.instrument import About, Instrument
from pickupcalc.parts.pickup import Pickup
from tests.conftest import ROOT


def pickup(name, **more):
    read = {"magnet": "south", "tap": "positive"} | more
    return Pickup(name=name, resistance="6 kohm", inductance="2.5 H", **read)


def order_of(pickups, *changes):
    made = Instrument(About(name="bench"), tuple(pickups))
    return work_order(made, Plan(changes, (), (), 0.0))


def test_the_baritone_step_by_step():
    made = read_job(ROOT / "data" / "baritone_5.toml").instrument
    order = work_order(made, plan(made).best)
    before, reverse, swap, after = order.steps
    assert "5.81 kΩ" in "".join(before.expect)
    assert "Re-magnetise the rods of middle" in reverse.do
    assert "north up" in reverse.expect[0] and "swings \N{MINUS SIGN}" in reverse.expect[0]
    assert "north up" in swap.expect[0] and "swings +" in swap.expect[0]
    assert "4 middle and bridge: in phase, hum cancelling" in after.expect
    assert [s for s in before.expect if "jack" in s] == [s for s in after.expect if "jack" in s]
    told = " ".join(order.cautions)
    for word in ("iron", "lead", "Strong magnets", "amplifier"):
        assert word in told
    assert order.as_json()["steps"][1]["do"] == reverse.do


def test_a_bar_is_turned_over_not_remagnetised():
    """Common practice, no source: hard ferrite is turned over."""
    order = order_of([pickup("a", magnet_kind="hard ferrite bar under steel poles")], Change("a", REVERSE))
    step = order.steps[1]
    assert step.do.startswith("Turn over the bar")
    assert "slug out of line" in " ".join(step.beware)
    assert any("A blade" in c for c in step.cautions) and any("Solvents" in c for c in step.cautions)


@pytest.mark.parametrize("metal", ["cover", "baseplate", "screen"])
def test_a_tied_lead_is_separated_first(metal):
    order = order_of([pickup("a", lead_tied_to=metal)], Change("a", SWAP))
    separate, swap = order.steps[1:3]
    assert metal in separate.beware[0] and "live" in separate.beware[0]
    assert swap.do.startswith("Swap the two leads of a")
    assert not any("tied" in b for b in swap.beware)


def test_a_twin_coil_pickup_is_wired_round_at_the_selector_or_opened():
    twin = [pickup("a1", housing="a"), pickup("a2", housing="a")]
    whole = order_of(twin, Change("a1", SWAP), Change("a2", SWAP))
    assert "whole pickup of a1 and a2" in whole.steps[1].do
    inside = order_of(twin, Change("a1", SWAP))
    assert inside.steps[1].do.startswith("Open the pickup")


@pytest.mark.parametrize(
    ("kind", "method"),
    [
        ("alnico rods", "rods"),
        ("bar under steel poles", "bar"),
        ("alnico bar under steel poles", "bar"),
        ("hard ferrite rods", "fixed_rods"),
        ("rare-earth rods", "fixed_rods"),
        ("something else", "unknown"),
        (None, "unknown"),
    ],
)
def test_how_a_magnet_is_reversed(kind, method):
    assert magnet_method(pickup("a", magnet_kind=kind)) == method


def test_effort_by_construction():
    """Order only: a tied lead costs more than a free one, a bar more than rods, both coils less than one."""
    made = Instrument(
        About(name="bench"),
        (
            pickup("free", magnet_kind="alnico rods"),
            pickup("tied", magnet_kind="bar under steel poles", lead_tied_to="cover"),
            pickup("c1", housing="c"),
            pickup("c2", housing="c"),
        ),
    )
    offered = choices(made, [p.name for p in made.pickups])
    minutes = efforts(made, offered)

    def of(*wanted):
        return minutes[sum(1 << i for i, c in enumerate(offered) if (c.pickups[0], c.kind) in wanted)]

    assert of() == 0
    assert of(("free", SWAP)) < of(("tied", SWAP))
    assert of(("free", REVERSE)) < of(("tied", REVERSE))
    assert of(("c1", SWAP), ("c2", SWAP)) < of(("c1", SWAP))
    assert of(("free", SWAP), ("tied", REVERSE)) == of(("free", SWAP)) + of(("tied", REVERSE))


def test_the_job_file_after_a_plan_keeps_its_comments(tmp_path):
    job = read_job(ROOT / "data" / "bass_12.toml")
    after = applied(job, plan(job.instrument).best.changes)
    replace(after, path=tmp_path / "after.toml", original=None).save()
    text = (tmp_path / "after.toml").read_text(encoding="utf-8")
    assert text == job.path.read_text(encoding="utf-8").replace('tap = "negative"', 'tap = "positive"')
    assert plan(after.instrument).best.changes == ()
