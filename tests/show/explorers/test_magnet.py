"""The explorers on magnets with their dials turned, and their pictures drawn."""

from __future__ import annotations

import pytest

from pickupcalc.answers.magnet.compass import STATES
from pickupcalc.show.explorers.magnet import (
    CONSTRUCTIONS,
    compass_explorer,
    reversal_explorer,
    strings_explorer,
    warming_explorer,
)
from tests.show.explorers.turning import check_every_dial, computed

MAKERS = [reversal_explorer, warming_explorer, strings_explorer]


@pytest.mark.parametrize("make", MAKERS, ids=lambda f: f.__name__)
def test_every_dial_moves_picture_or_words(make):
    check_every_dial(make(), drawn=-2, all_ends=False)


@pytest.mark.parametrize("name", CONSTRUCTIONS)
def test_verdict_and_needles_of_every_construction(name):
    explorer = compass_explorer()
    explorer.dials["construction"].put(name)
    for state in STATES[:3]:  # rods cannot be taken out
        explorer.dials["state"].put(state)
        computed(explorer)
    explorer.dials["state"].menu.value = "after the jig"
    assert "alert" not in explorer.meaning.value


def test_bare_slugs_tell_nothing_sure():
    explorer = compass_explorer()
    explorer.dials["construction"].menu.value = "ferrite bar under steel poles"
    explorer.dials["state"].menu.value = "magnet taken out"
    assert "nothing sure" in explorer.meaning.value
    explorer.dials["construction"].menu.value = "alnico 5 rods"
    assert "the rods are the magnet" in explorer.meaning.value


def test_words_say_what_a_keeper_does():
    explorer = strings_explorer()
    assert "keeper" not in explorer.meaning.value
    for name in ("alnico 5 rods on a keeper plate", "twin coil, keepers under rows"):
        explorer.dials["construction"].menu.value = name
        assert "The keeper raises the field" in explorer.meaning.value
        assert "leave it on" in explorer.meaning.value


def test_words_say_verdict_and_cautions():
    explorer = reversal_explorer()
    assert "fully" in explorer.meaning.value and "pinching" in explorer.meaning.value
    explorer.dials["construction"].menu.value = "ferrite bar under steel poles"
    assert "Turn the bar over" in explorer.meaning.value
    assert "heat" in explorer.meaning.value
