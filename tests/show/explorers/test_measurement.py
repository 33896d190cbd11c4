"""The explorers on readings, their dials turned without a notebook."""

from __future__ import annotations

from pickupcalc.show.explorers.measurement import hum_explorer, meter_explorer, sweep_explorer
from tests.show.explorers.turning import check_every_dial, ends


def test_every_dial_of_a_meter_moves_picture_or_words():
    check_every_dial(meter_explorer())


def test_a_dial_of_two_recordings_moves_picture_and_words_or_says_why_not():
    explorer = hum_explorer()
    before = explorer.picture.value
    for name in ("before", "after", "noise", "gain"):
        dial = explorer.dials[name]
        start, said = dial.value, set()
        for end in ends(dial):
            dial.put(end)
            explorer.redraw()
            said.add(explorer.meaning.value)
        assert len(said) > 1, name
        dial.put(start)
    explorer.redraw()
    assert explorer.picture.value == before


def test_a_sweep_too_soft_is_refused_in_words():
    explorer = sweep_explorer()
    assert "Least sure" in explorer.meaning.value
    explorer.dials["level"].slider.value = -60
    explorer.dials["noise"].slider.value = -40
    assert "alert" in explorer.meaning.value
    assert "too little" in explorer.meaning.value
    assert ".wav" not in explorer.meaning.value


def test_a_moved_gain_is_refused_in_words():
    explorer = hum_explorer()
    explorer.dials["gain"].slider.value = 6
    assert "the gain was changed" in explorer.meaning.value


def test_a_parallel_meter_at_a_low_frequency_is_explained():
    explorer = meter_explorer()
    assert "wire&#x27;s resistance" in explorer.meaning.value
