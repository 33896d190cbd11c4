"""What every repairer knows of magnets. Common practice, no source."""

from __future__ import annotations

import pytest

from pickupcalc.answers.magnet.compass import compass
from pickupcalc.answers.magnet.reversal import reversal
from pickupcalc.answers.magnet.warming import warming
from pickupcalc.parts.jig import Blocks
from pickupcalc.parts.magnets import BarUnderPoles, Rods, TwinCoil
from pickupcalc.units import quantity

LARGE = {"length": "80 mm", "width": "25 mm", "depth": "25 mm"}


@pytest.mark.parametrize("material", ["alnico 2", "alnico 3", "alnico 5"])
def test_rare_earth_blocks_reverse_alnico_rods(material):
    found = reversal(Rods(material=material), Blocks(**LARGE, gap="20 mm"))
    assert found.verdict == "fully"
    assert found.margin > 1.1


@pytest.mark.parametrize("gap", ["6 mm", "10 mm", "20 mm"])
def test_they_do_not_reverse_a_ferrite_bar(gap):
    """Not even taken out and between the blocks: some of it stays as it was, and nobody can tell how much."""
    found = reversal(BarUnderPoles(loose=True), Blocks(**LARGE, gap=gap))
    assert found.verdict != "fully"
    assert found.gap_for_fully is None
    assert any("Turn the bar over" in told for told in found.instead)


def test_through_the_whole_pickup_even_less():
    found = reversal(BarUnderPoles(), Blocks(**LARGE, gap="25 mm"))
    assert found.verdict == "partly"
    assert found.weakest[0] < 0.6


def test_small_blocks_leave_the_outer_rods_weak():
    found = reversal(Rods(), Blocks(length="30 mm", gap="20 mm"))
    outer, inner = found.reversed_strength.m[0], found.reversed_strength.m[2]
    assert found.verdict == "partly"
    assert outer < inner - 0.2
    assert "rod 1" in found.where or "rod 6" in found.where


def test_drawn_along_the_row_they_do_better():
    jig = Blocks(length="30 mm", gap="18 mm")
    still, along = reversal(Rods(), jig), reversal(Rods(), jig, moved_along=True)
    assert along.weakest[0] > still.weakest[0]


@pytest.mark.parametrize("magnets", [Rods(), BarUnderPoles(), TwinCoil()])
def test_warming_that_can_be_touched_harms_neither(magnets):
    found = warming(magnets, "50 degC", bobbin="ABS")
    assert found.lasting_loss < 0.01
    assert found.verdict == "harms neither magnet nor what holds it"


@pytest.mark.parametrize("magnets", [BarUnderPoles(), TwinCoil()])
def test_steel_slugs_keep_enough_to_move_a_needle(magnets):
    """Turned by more than 20 degrees from where the Earth holds it."""
    needles = compass(magnets, "magnet taken out", distance="15 mm")
    assert all(abs(n.angle - 90) > 20 for n in needles)
    assert max(n.field.m for n in needles) < quantity(1, "mT").m_as("tesla")


def test_strong_rods_reach_further_than_weak_ones():
    """Alnico 5 is stronger at the strings than alnico 2, and that than alnico 3."""
    fields = [
        reversal(Rods(material=m), Blocks()).strings_before.m.mean()
        for m in ("alnico 5", "alnico 2", "alnico 3")
    ]
    assert fields == sorted(fields, reverse=True)


def test_strings_above_common_pickups_stand_in_some_ten_to_fifty_millitesla():
    for magnets in (Rods(), BarUnderPoles(), TwinCoil()):
        field = abs(reversal(magnets, Blocks(gap="30 mm")).strings_before.m).mean()
        assert 0.008 < field < 0.06
