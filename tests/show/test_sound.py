"""Sound in pictures, and the explorer that plays."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

import pickupcalc as pc
from pickupcalc.show.explorers.sound import hear, sound_explorer
from pickupcalc.show.pages.page import Sheet, bench_page
from pickupcalc.show.plots import svg
from pickupcalc.show.sound import map_figure, partials_figure, small_spectrum
from tests.conftest import ROOT
from tests.show.explorers.turning import ends, own_dials
from tests.show.pages.test_sheet import Page

TODAY = date(2026, 1, 31)


@pytest.fixture(scope="module")
def bass():
    return pc.read_job(ROOT / "data" / "bass_12.toml").instrument


@pytest.fixture(scope="module")
def sounds(bass):
    return [pc.sound(bass, p.name, spread=False) for p in bass.positions]


def test_pictures_are_the_same_bytes_each_time(bass, sounds):
    comb = pc.fret_map(bass, "both", frets=12, partials=12)
    for draw in (
        lambda: partials_figure(sounds),
        lambda: map_figure(comb, 3),
        lambda: small_spectrum(sounds[0]),
    ):
        assert svg(draw()) == svg(draw())
    assert "partial of the E1 string" in svg(partials_figure(sounds))


def test_the_sheet_has_a_spectrum_for_each_position(bass, sounds):
    text = bench_page(Sheet(bass, TODAY, pc.positions(bass), sounds=sounds, files={"neck": "neck.wav"}))
    page = Page(text)
    silent = Page(bench_page(Sheet(bass, TODAY, pc.positions(bass))))
    assert page.tags.count("svg") == silent.tags.count("svg") + len(bass.positions)
    assert [value for _, _, value in page.outside] == ["neck.wav", "neck.wav"]
    assert "centre of the spectrum" in text


def test_names_are_text_beside_the_spectra_too(bass, sounds):
    evil = replace(sounds[0], position="<script>alert(1)</script>")
    text = bench_page(Sheet(bass, TODAY, pc.positions(bass), sounds=[evil]))
    assert "script" not in Page(text).tags


@pytest.fixture(scope="module")
def explorer():
    return sound_explorer()


def test_every_dial_moves_what_is_heard(explorer):
    """Both ends of every dial by the function behind them, which is much quicker than drawing."""
    start = explorer.values()
    before = explorer.result.listening.wav(16)
    for name, dial in own_dials(explorer).items():
        heard = {hear(**start | {name: end}).listening.wav(16) for end in ends(dial)[:2]}
        assert len(heard | {before}) > 1, name


def test_a_dial_moves_picture_words_and_players_and_back(explorer):
    def shown():
        return explorer.picture.value, explorer.meaning.value, explorer.players.value

    before = shown()
    explorer.dials["fret"].slider.value = 12
    assert all(a != b for a, b in zip(before, shown(), strict=True))
    explorer.dials["fret"].slider.value = 0
    assert shown() == before


def test_a_pluck_on_a_pickup_is_explained_and_the_picture_stays(explorer):
    before = explorer.picture.value
    explorer.dials["pluck"].field.value = "158 mm"
    assert "on top of pickup" in explorer.meaning.value
    assert explorer.picture.value == before
    explorer.dials["pluck"].field.value = "135 mm"
    assert "alert" not in explorer.meaning.value


def test_out_of_phase_is_heard_and_said(explorer):
    """The demonstration's second pickup came back with its leads exchanged."""
    assert "quieter" in explorer.meaning.value
    assert "loses" in explorer.meaning.value
    assert explorer.players.value.count("<audio") == 3
    explorer.dials["leads"].menu.value = "swapped"
    assert "loses" not in explorer.meaning.value
