"""What every repairer knows of magnets. Common practice, no source."""

from __future__ import annotations

import pytest

from pickupcalc.answers.magnet.compass import compass
from pickupcalc.answers.magnet.reversal import reversal
from pickupcalc.answers.magnet.warming import warming
from pickupcalc.parts.jig import Blocks
from pickupcalc.parts.magnets import BarUnderPoles, Rods, TwinCoil

SUBJECT = "magnets"
TRADE = {"source": "no source", "status": "common practice"}
LARGE = {"length": "80 mm", "width": "25 mm", "depth": "25 mm"}


@pytest.mark.parametrize("material", ["alnico 2", "alnico 3", "alnico 5"])
def test_rare_earth_blocks_reverse_alnico_rods(material, outside):
    found = reversal(Rods(material=material), Blocks(**LARGE, gap="20 mm"))
    outside("rare-earth blocks reverse alnico rods", theirs="fully", ours=found.verdict, **TRADE)
    outside(
        "field of rare-earth blocks over what alnico rods need",
        ours=found.margin,
        between=(1.1, None),
        **TRADE,
    )


@pytest.mark.parametrize("gap", ["6 mm", "10 mm", "20 mm"])
def test_they_do_not_reverse_a_ferrite_bar(gap, outside):
    """Not even taken out and between the blocks: some of it stays as it was, and nobody can tell how much."""
    found = reversal(BarUnderPoles(loose=True), Blocks(**LARGE, gap=gap))
    told = "fully" if found.verdict == "fully" or found.gap_for_fully is not None else "at no gap"
    outside("rare-earth blocks reverse a hard ferrite bar fully", theirs="at no gap", ours=told, **TRADE)
    assert any("Turn the bar over" in told for told in found.instead)


def test_through_the_whole_pickup_even_less(outside):
    found = reversal(BarUnderPoles(), Blocks(**LARGE, gap="25 mm"))
    outside("a ferrite bar reversed through the whole pickup", theirs="partly", ours=found.verdict, **TRADE)
    outside(
        "strength of a ferrite bar at its weakest place, through the pickup",
        ours=found.weakest[0],
        between=(None, 0.6),
        **TRADE,
    )


def test_small_blocks_leave_the_outer_rods_weak(outside):
    found = reversal(Rods(), Blocks(length="30 mm", gap="20 mm"))
    outer, inner = found.reversed_strength.m[0], found.reversed_strength.m[2]
    outside("a row of rods reversed by short blocks", theirs="partly", ours=found.verdict, **TRADE)
    outside(
        "strength of the inner rods over the outer, after short blocks",
        ours=inner - outer,
        between=(0.2, None),
        **TRADE,
    )
    weakest = "an outer rod" if "rod 1" in found.where or "rod 6" in found.where else found.where
    outside("weakest of a row of rods reversed by short blocks", theirs="an outer rod", ours=weakest, **TRADE)


def test_drawn_along_the_row_they_do_better(outside):
    jig = Blocks(length="30 mm", gap="18 mm")
    still, along = reversal(Rods(), jig), reversal(Rods(), jig, moved_along=True)
    gained = along.weakest[0] - still.weakest[0]
    outside(
        "strength gained at the weakest rod by drawing short blocks along",
        ours=gained,
        between=(0, None),
        **TRADE,
    )


@pytest.mark.parametrize("magnets", [Rods(), BarUnderPoles(), TwinCoil()])
def test_warming_that_can_be_touched_harms_neither(magnets, outside):
    found = warming(magnets, "50 degC", bobbin="ABS")
    outside(
        "lasting loss of a pickup warmed to 50 degC", ours=found.lasting_loss, between=(None, 0.01), **TRADE
    )
    harmless = "harms neither magnet nor what holds it"
    outside("what warming to 50 degC does", theirs=harmless, ours=found.verdict, **TRADE)


@pytest.mark.parametrize("magnets", [BarUnderPoles(), TwinCoil()])
def test_steel_slugs_keep_enough_to_move_a_needle(magnets, outside):
    """Turned by more than 20 degrees from where the Earth holds it."""
    needles = compass(magnets, "magnet taken out", distance="15 mm")
    turned = [abs(n.angle - 90) for n in needles]
    outside(
        "how far bare steel slugs turn a compass needle", ours=turned, between=(20, None), unit="deg", **TRADE
    )
    field = [n.field.m_as("mT") for n in needles]
    outside("field of bare steel slugs at the compass", ours=field, between=(None, 1), unit="mT", **TRADE)


def test_strong_rods_reach_further_than_weak_ones(outside):
    fields = {
        material: reversal(Rods(material=material), Blocks()).strings_before.m.mean()
        for material in ("alnico 2", "alnico 3", "alnico 5")
    }
    outside(
        "rods by their field at the strings",
        theirs="alnico 5 > alnico 2 > alnico 3",
        ours=" > ".join(sorted(fields, key=lambda m: -fields[m])),
        **TRADE,
    )


def test_strings_stand_in_some_ten_to_fifty_millitesla(outside):
    kinds = (Rods(), BarUnderPoles(), TwinCoil())
    fields = [abs(reversal(m, Blocks(gap="30 mm")).strings_before.m_as("mT")).mean() for m in kinds]
    outside("field at the strings of common pickups", ours=fields, between=(8, 60), unit="mT", **TRADE)
