"""The explorer of pots: every dial, the offers, and what is written."""

from __future__ import annotations

import pytest

from pickupcalc.answers.pots.judging import Study
from pickupcalc.instrument.jobfile import read_job
from pickupcalc.show.explorers.pots import pots_explorer
from pickupcalc.show.pots import ranking_text, tolerance_figure
from tests.show.explorers.turning import computed, ends, own_dials


@pytest.fixture
def explorer(monkeypatch):
    monkeypatch.setattr("pickupcalc.show.explorers.pots.STUDY", Study(samples=40))
    return pots_explorer()


def test_every_dial_counts(explorer):
    """Each end computes; a band upside down is refused, which is what the next test is about."""
    for name, dial in own_dials(explorer).items():
        start, seen = dial.value, {explorer._words(explorer.result)}
        for end in ends(dial)[::2] if name == "aim" else ends(dial):
            dial.put(end)
            low, high = explorer.dials["low"].value, explorer.dials["high"].value
            if low < high:
                result = computed(explorer)
                seen.add(explorer._words(result) + str([t.band_db.tolist() for t in result.tolerances]))
        assert len(seen) > 1, name
        dial.put(start)


def test_a_dial_moves_the_picture_and_back(explorer):
    before = explorer.picture.value
    explorer.dials["rotation"].slider.value = 0.5
    assert explorer.picture.value != before
    explorer.dials["rotation"].slider.value = 1.0
    assert explorer.picture.value == before


def test_a_band_upside_down_is_explained_and_the_picture_stays(explorer):
    before = explorer.picture.value
    explorer.dials["low"].slider.value = 9.0
    assert "lower end first" in explorer.meaning.value
    assert explorer.picture.value == before
    explorer.dials["high"].slider.value = 10.0
    assert "alert" not in explorer.meaning.value


def test_an_offer_is_dialled_in_and_then_meets_what_was_promised(explorer):
    offered = explorer.result.ranking.choices[0]
    explorer.offers[0].click()
    tracks = {part.control: part.track.m for part in offered.fitted}
    assert explorer.dials["volume"].value.m == pytest.approx(tracks["neck volume"])
    assert explorer.dials["tone"].value.m == pytest.approx(tracks["tone"])
    assert explorer.result.dialled.chance == pytest.approx(offered.chance, abs=0.08)


def test_the_dialled_parts_are_written_with_the_comments_kept(explorer, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    explorer.dials["volume"].field.value = "300k"
    explorer.dials["capacitor"].field.value = "33n"
    explorer.save.click()
    assert "bass_12.toml is written: neck volume: 300 kΩ; tone: 250 kΩ, 33 nF" in explorer.told.value
    path = tmp_path / "bass_12.toml"
    neck, bridge, tone = read_job(path).instrument.controls
    assert neck.track.m == 300e3 and bridge.track.m == 250e3  # the bridge's is not in this position
    assert tone.capacitor.m == pytest.approx(33e-9)
    assert "so that one turned down does not silence the other" in path.read_text("utf-8")
    explorer.dials["volume"].field.value = "500k"
    assert explorer.told.value == ""
    explorer.save.click()
    assert read_job(path).instrument.controls[0].track.m == 500e3


def test_figure_and_text_name_what_they_show(explorer):
    result = explorer.result
    axes = tolerance_figure(result.tolerances, result.today).axes[0]
    labels = [text.get_text() for text in axes.get_legend().get_texts()]
    assert labels == ["neck", "today"]
    assert "95 of 100" in axes.get_title()
    text = ranking_text(result.ranking)
    assert text.splitlines()[0].endswith("parts for a peak 2 to 4 dB high")
    assert "Choice 1, position by position" in text
