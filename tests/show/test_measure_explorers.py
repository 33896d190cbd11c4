"""The explorers on readings, their dials turned without a notebook."""

from __future__ import annotations

import pytest

from pickupcalc.show.measure_explorers import hum_explorer, meter_explorer, sweep_explorer


@pytest.mark.parametrize("made", [meter_explorer, hum_explorer], ids=lambda f: f.__name__)
def test_a_dial_moves_picture_and_words_or_says_why_not(made):
    explorer = made()
    before = explorer.picture.value
    for name, dial in explorer.dials.items():
        turned = getattr(dial, "slider", None) or dial.menu
        start = turned.value
        ends = [v for _, v in turned.options] if hasattr(turned, "options") else [turned.min, turned.max]
        said = set()
        for end in ends:
            turned.value = end
            said.add(explorer.meaning.value)
        assert len(said) > 1, name
        turned.value = start
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
