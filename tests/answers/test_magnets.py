"""Reversal, warming, compass and strings: properties, refusals, JSON."""

from __future__ import annotations

import json

import numpy as np
import pytest

from pickupcalc.answers.magnet.at_strings import at_string, output_change_db
from pickupcalc.answers.magnet.cautions import cautions_by_kind, harmless_distance
from pickupcalc.answers.magnet.compass import compass
from pickupcalc.answers.magnet.field_map import field_map
from pickupcalc.answers.magnet.keeper import keeper_effect
from pickupcalc.answers.magnet.kinds import reversing
from pickupcalc.answers.magnet.reversal import reversal, verdict_of
from pickupcalc.answers.magnet.warming import lasting_loss, softenings, warming
from pickupcalc.errors import InputError
from pickupcalc.parts.jig import Blocks, Horseshoe
from pickupcalc.parts.magnets import BarUnderPoles, Rods, TwinCoil
from pickupcalc.parts.strings import String
from pickupcalc.tables import table
from pickupcalc.units import quantity

PLATE = {"width": "14 mm", "thickness": "2 mm"}
ALL = (
    Rods(), BarUnderPoles(), BarUnderPoles(loose=True), TwinCoil(),
    Rods(keeper=PLATE), BarUnderPoles(keeper=PLATE), TwinCoil(keeper={}),
)  # fmt: skip
FEW = Rods(count=3)
PLAIN = String(note="G3", gauge="0.43 mm")


@pytest.mark.parametrize("jig", [Blocks(gap="26 mm"), Horseshoe(gap="12 mm")], ids=["blocks", "horseshoe"])
@pytest.mark.parametrize("magnets", ALL, ids=lambda m: type(m).__name__)
def test_reversal_of_every_construction(magnets, jig):
    found = reversal(magnets, jig)
    worst, usual, soft = found.weakest
    # Where a jig does next to nothing, what the magnet's own field does to it decides the last half percent.
    assert -1.1 <= worst <= usual + 6e-3 <= soft + 12e-3
    assert found.reversed_strength.m.size == len(magnets.places)
    assert (found.verdict == "fully") == (worst >= 0.95)
    assert found.along.m.shape == found.jig_along.m.shape
    assert found.jig_along.m.min() >= 0
    assert (found.margin >= 1) == (found.verdict == "fully")
    assert found.cautions and found.instead
    assert json.loads(json.dumps(found.as_json()))["verdict"] == found.verdict
    assert found.verdict in found._repr_html_()


def test_north_and_south_mirror_each_other():
    jig = Blocks(gap="22 mm")
    north, south = (reversal(Rods(count=3, magnet=m), jig) for m in ("north", "south"))
    assert north.weakest == pytest.approx(south.weakest, abs=1e-6)
    assert north.strings_before.m == pytest.approx(-south.strings_before.m)


@pytest.mark.parametrize("magnets", ALL, ids=lambda m: type(m).__name__)
def test_blocks_stand_beside_the_work_and_not_in_it(magnets):
    low, high = magnets.extent
    above, below = Blocks().around(magnets, gap=high - low + 2e-3).assembly.groups
    axis = magnets.axis
    assert (above.centre - above.size / 2)[:, axis].min() == pytest.approx(high + 1e-3)
    assert (below.centre + below.size / 2)[:, axis].max() == pytest.approx(low - 1e-3)


def test_closer_blocks_never_do_less():
    worst = [reversal(FEW, Blocks(gap=f"{gap} mm")).weakest[0] for gap in (18, 22, 28, 36)]
    assert worst == sorted(worst, reverse=True)


def test_the_gap_told_is_the_edge():
    jig = {"length": "60 mm"}
    edge = reversal(FEW, Blocks(**jig)).gap_for_fully.m_as("mm")
    assert reversal(FEW, Blocks(**jig, gap=f"{edge - 0.3:.2f} mm")).verdict == "fully"
    assert reversal(FEW, Blocks(**jig, gap=f"{edge + 0.5:.2f} mm")).verdict == "partly"


def test_opposite_rods_are_levelled_by_a_full_reversal():
    found = reversal(Rods(opposite=[2]), Blocks(length="80 mm"))
    assert np.sign(found.strings_before.m).tolist() == [1, -1, 1, 1, 1, 1]
    assert np.sign(found.strings_after.m).tolist() == [-1] * 6
    assert found.reversed_strength.m == pytest.approx(np.ones(6), abs=0.03)


def test_work_that_does_not_fit_is_refused():
    with pytest.raises(InputError, match=r"gap: 10\.0 mm is less than the work"):
        reversal(Rods(), Blocks(gap="10 mm"))
    with pytest.raises(InputError, match="gap"):
        reversal(BarUnderPoles(), Horseshoe(gap="1 mm"))


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: Rods(material="alnico 9"), "material.*known are"),
        (lambda: Rods(pitch="4 mm"), "pitch.*overlap"),
        (lambda: Rods(length=17), "length.*no unit"),
        (lambda: Rods(opposite="2"), "opposite.*counted from 1"),
        (lambda: TwinCoil(spacing="4 mm"), "spacing.*no room"),
        (lambda: Rods(keeper={"width": "5 mm"}), r"keeper, width.*at least 5\.3 mm"),
        (lambda: TwinCoil(keeper={"length": "50 mm"}), r"keeper, length.*at least 57\.3 mm"),
        (lambda: TwinCoil(keeper={"width": "18 mm"}), "spacing.*no room"),
        (lambda: Rods(keeper={"thickness": "0 mm"}), "keeper, thickness.*above 0"),
        (lambda: keeper_effect(FEW), "keeper.*missing"),
        (lambda: reversal(FEW, Blocks(), height="0 mm"), "height"),
        (lambda: warming(FEW, "300 degC"), "temperature.*-40 degC to 200 degC"),
        (lambda: warming(FEW, "60 degC", glue="jam"), "glue.*known are"),
        (lambda: warming(FEW, "60 degC", glue="ABS"), "glue.*known are"),
        (lambda: compass(FEW, "upside down"), "state"),
        (lambda: compass(FEW, "after the jig"), "jig.*needed"),
        (lambda: compass(FEW, "magnet taken out"), "rods are the magnet"),
        (lambda: at_string(FEW, String(note="E2")), "gauge.*missing"),
        (lambda: at_string(FEW, PLAIN, pole=4), "pole"),
        (lambda: at_string(FEW, PLAIN, from_bridge="700 mm"), "from_bridge"),
    ],
)  # fmt: skip
def test_refusals_say_what_is_wrong(make, told):
    with pytest.raises(InputError, match=told):
        make()


def test_reversible_loss_returns_and_lasting_loss_grows():
    cold, warm, hot = (
        warming(BarUnderPoles(material="neodymium N42"), t) for t in ("20 degC", "70 degC", "110 degC")
    )
    assert cold.reversible_loss == 0 and cold.lasting_loss == 0
    assert warm.reversible_loss == pytest.approx(0.06, abs=0.001)
    assert hot.lasting_loss > warm.lasting_loss
    assert hot.verdict == "too warm for the magnet"
    assert hot.magnet_limit.m <= quantity(80, "degC").m_as("kelvin") + 1e-6
    assert json.loads(json.dumps(hot.as_json()))["lasting_loss"] == hot.lasting_loss


def test_ferrite_fears_cold_not_heat():
    """Its coercivity grows with temperature, unlike all others."""
    bar = BarUnderPoles(loose=True)
    assert lasting_loss(bar, 373.15) == 0
    assert lasting_loss(bar, 253.15) > 0.05


def test_window_between_glue_and_bobbin():
    found = warming(Rods(), "70 degC", glue="hot-melt glue", bobbin="ABS")
    low, high = (w.m - 273.15 for w in found.window)
    assert (low, high) == pytest.approx((68, 82))
    assert warming(Rods(), "70 degC", glue="instant glue (cyanoacrylate)", bobbin="ABS").window is None
    assert [limit.begins for limit in found.limits] == sorted(limit.begins for limit in found.limits)


def test_every_softening_range_is_in_order_with_a_source():
    for name, row in table("softening").items():
        found = warming(FEW, "20 degC", **{row["kind"]: name})
        limit = next(one for one in found.limits if one.name == name)
        assert limit.begins < limit.done and limit.source
    assert {"paraffin", "beeswax"} == set(softenings("wax"))


@pytest.mark.parametrize("magnets", ALL[:2], ids=lambda m: type(m).__name__)
def test_needles_turn_over_with_the_magnet(magnets):
    before, after = (compass(magnets, s, earth="0 T") for s in ("as it is", "wholly reversed"))
    for a, b in zip(before, after, strict=True):
        assert {a.shows, b.shows} == {"north", "south"}
        assert abs((a.angle - b.angle + 360) % 360 - 180) < 1e-3
    tops = {n.shows for n in before if n.end == "top"}
    feet = {n.shows for n in before if n.end == "foot"}
    assert (tops, feet) == ({"north"}, {"south"})


def test_far_away_the_earth_wins():
    assert all(n.shows == "unsure" for n in compass(Rods(), distance="400 mm"))


def test_opposite_poles_in_one_row_show_when_close():
    shown = [n.shows for n in compass(Rods(opposite=(2, 4, 6)), distance="8 mm") if n.end == "top"]
    assert shown == ["north", "south"] * 3


def test_twin_coil_rows_show_unlike_poles():
    shown = [n.shows for n in compass(TwinCoil()) if n.end == "top"]
    assert shown == ["north"] * 6 + ["south"] * 6
    assert [n.as_json()["pole"] for n in compass(FEW)] == [1, 2, 3, 1, 2, 3]


@pytest.mark.parametrize("magnets", ALL, ids=lambda m: type(m).__name__)
def test_field_map_has_its_bodies_and_is_finite(magnets):
    seen = field_map(magnets)
    assert np.all(np.isfinite(seen.b_up.m)) and seen.b_up.m.shape == (100, 100)
    assert {o.kind for o in seen.outlines} <= {"rod", "bar", "steel"}
    assert np.hypot(seen.b_up.m, seen.b_across.m).max() < 2.0


def test_pull_falls_with_height_and_grows_with_the_string():
    near, far = (at_string(Rods(), PLAIN, pole=4, height=h) for h in ("2 mm", "4 mm"))
    assert near.force.m > 2 * far.force.m > 0
    assert near.drag < far.drag < 0
    thick = at_string(Rods(), String(note="G3", gauge="0.51 mm"), pole=4, height="2 mm")
    assert thick.force.m > near.force.m
    assert json.loads(json.dumps(near.as_json()))["force_n"] == near.force.m


def test_pull_does_not_care_for_the_direction():
    north, south = (at_string(Rods(count=1, magnet=m), PLAIN) for m in ("north", "south"))
    assert north.force.m == pytest.approx(south.force.m, rel=1e-9)
    assert north.field.m == pytest.approx(-south.field.m)


def test_output_change():
    assert output_change_db(quantity(0.02, "tesla"), quantity(-0.01, "tesla")) == pytest.approx(
        -6.02, abs=0.01
    )


@pytest.mark.parametrize("magnets", ALL[4:], ids=lambda m: type(m).__name__)
def test_a_keeper_raises_field_and_working_point(magnets):
    found = keeper_effect(magnets)
    assert np.all(abs(found.strings_with.m) > abs(found.strings_without.m))
    assert found.magnet_with.m > found.magnet_without.m > 0
    assert 0.5 < found.kept < 1
    assert 0.1 < found.steel.m < 1.5 and not found.too_dense
    assert json.loads(json.dumps(found.as_json()))["kept"] == found.kept


def test_a_keeper_too_thin_says_so():
    thin = BarUnderPoles(material="neodymium N42", keeper={"width": "14 mm", "thickness": "0.5 mm"})
    found = keeper_effect(thin)
    assert found.too_dense and found.steel.m > 1.5
    assert found.kept == pytest.approx(1, abs=1e-3)


def test_a_wide_keeper_does_more_than_a_narrow_one():
    small, wide = (
        keeper_effect(Rods(count=3, keeper={"length": "30 mm", "width": w})) for w in ("5.5 mm", "20 mm")
    )
    assert small.strings_without.m == pytest.approx(wide.strings_without.m)
    assert abs(wide.strings_with.m[0]) > abs(small.strings_with.m[0])


def test_a_jig_reaches_no_less_through_a_keeper():
    jig = Blocks(length="80 mm", gap="30 mm")
    with_keeper, without = (reversal(m, jig) for m in (ALL[4], Rods()))
    assert with_keeper.margin > without.margin


@pytest.mark.parametrize(
    ("weakest", "strongest", "word"),
    [(0.96, 1.0, "fully"), (0.94, 1.0, "partly"), (-1.0, 0.9, "partly"), (-1.0, -0.96, "not at all")],
)
def test_words_of_the_verdict(weakest, strongest, word):
    assert verdict_of(weakest, strongest) == word


def test_cautions_fit_the_work():
    rods, bar = (cautions_by_kind(k) for k in ("alnico rods", "bar under steel poles"))
    assert {c.kind for c in rods} == {"implants", "pinching", "splinters"}
    assert {c.kind for c in bar} > {"heat", "solvents", "blades"}
    assert cautions_by_kind(None) == bar
    assert 0.2 < harmless_distance(Blocks(), Rods()).m < 0.6


@pytest.mark.parametrize(
    ("kind", "verdict", "advice"),
    [
        ("alnico rods", "fully", "rare-earth blocks"),
        ("alnico 2 rods", "fully", "rare-earth blocks"),
        ("bar under steel poles", "partly", "Turn the bar over"),
        ("twin coil, bar", "partly", "end for end"),
        ("twin coil, bar and keepers", "fully", "rare-earth blocks"),
        ("ferrite bar on a keeper", "partly", "Turn the bar over"),
        ("something glued in", "unknown", "Look first"),
        (None, "unknown", "Look first"),
    ],
)
def test_reversing_by_kind(kind, verdict, advice):
    found = reversing(kind)
    assert (found.verdict, advice in found.advice) == (verdict, True), found
    assert found.cautions
