"""The explorer of pots: every dial, the offers, and what is written."""

from __future__ import annotations

import pytest

from pickupcalc.answers.pots.judging import Study
from pickupcalc.instrument.jobfile import read_job
from pickupcalc.show.pots import ranking_text, tolerance_figure
from pickupcalc.show.pots_explorer import pots_explorer
from pickupcalc.show.widgets import ChoiceDial
from tests.conftest import ROOT

JOB = read_job(ROOT / "data" / "bass_12.toml")


@pytest.fixture
def explorer(tmp_path, monkeypatch):
    monkeypatch.setattr("pickupcalc.show.pots_explorer.STUDY", Study(samples=40))
    return pots_explorer(JOB, tmp_path / "chosen.toml")


def test_every_dial_moves_the_picture_or_the_words(explorer):
    for name, dial in explorer.dials.items():
        turned = dial.menu if isinstance(dial, ChoiceDial) else dial.slider
        start, seen = turned.value, {explorer.picture.value + explorer.meaning.value}
        ends = (
            [v for _, v in turned.options[1::2]] if isinstance(dial, ChoiceDial) else (turned.min, turned.max)
        )
        for end in ends:
            turned.value = end
            if not (name == "low" and end > explorer.dials["high"].value) and not (
                name == "high" and end < explorer.dials["low"].value
            ):
                assert "alert" not in explorer.meaning.value, name
            seen.add(explorer.picture.value + explorer.meaning.value)
        assert len(seen) > 1, name
        turned.value = start


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


def test_the_dialled_parts_are_written_with_the_comments_kept(explorer):
    explorer.dials["volume"].field.value = "300k"
    explorer.dials["capacitor"].field.value = "33n"
    explorer.save_button.click()
    assert "chosen.toml" in explorer.saved.value
    saved = read_job(explorer.save_to)
    neck, bridge, tone = saved.instrument.controls
    assert neck.track.m == 300e3 and bridge.track.m == 250e3  # the bridge's is not in this position
    assert tone.capacitor.m == pytest.approx(33e-9)
    assert "so that one turned down does not silence the other" in explorer.save_to.read_text("utf-8")
    explorer.dials["volume"].field.value = "500k"
    assert explorer.saved.value == ""
    explorer.save_button.click()
    assert read_job(explorer.save_to).instrument.controls[0].track.m == 500e3
    assert JOB.path.read_text("utf-8") == JOB.original


def test_a_file_with_other_controls_is_left_alone(explorer):
    other = (ROOT / "data" / "baritone_5.toml").read_text("utf-8")
    explorer.save_to.write_text(other, encoding="utf-8")
    explorer.save_button.click()
    assert "alert" in explorer.saved.value and "other controls" in explorer.saved.value
    assert explorer.save_to.read_text("utf-8") == other


def test_figure_and_text_name_what_they_show(explorer):
    result = explorer.result
    axes = tolerance_figure(result.tolerances, result.today).axes[0]
    labels = [text.get_text() for text in axes.get_legend().get_texts()]
    assert labels == ["neck", "today"]
    assert "95 of 100" in axes.get_title()
    text = ranking_text(result.ranking)
    assert text.splitlines()[0].endswith("parts for a peak 2 to 4 dB high")
    assert "Choice 1, position by position" in text
