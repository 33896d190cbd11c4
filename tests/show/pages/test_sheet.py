"""The sheet as people see it: on a terminal and as a page."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from xml.etree import ElementTree

import html5lib
import pytest

import pickupcalc as pc
from pickupcalc.instrument.readings import Reading
from pickupcalc.show.pages.borrower import change_words
from pickupcalc.show.pages.page import Sheet, bench_page, borrower_page
from pickupcalc.show.plots import responses_figure, svg
from pickupcalc.show.text import assumptions, sheet_text
from tests.conftest import DEMOS


@pytest.fixture(params=DEMOS, ids=lambda p: p.name)
def instrument(request):
    return pc.read_job(request.param).instrument


def test_every_position_has_its_row(instrument):
    text = sheet_text(instrument, pc.positions(instrument))
    for position in instrument.positions:
        assert sum(line.startswith(position.name) for line in text.splitlines()) >= 1
    assert "least sure of" in text
    assert "At half volume the treble (5 kHz) changes by" in text
    assert "tone fully down, a peak at" in text
    assert max(map(len, text.splitlines())) < 130


def test_what_was_assumed_is_said_with_its_size():
    pickup = pc.Pickup(name="neck", resistance="6 kohm", inductance="2.4 H")
    told = assumptions(pc.Instrument(pc.About(name="x"), (pickup,)))
    assert told[0] == "neck's own capacitance 110 pF"
    assert "cable capacitance 100 pF/m" in told


def test_a_full_description_assumes_nothing(instrument):
    assert assumptions(instrument) == []


class Page(HTMLParser):
    """Tags that were opened, and whether any of them could reach the network."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.outside = [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        for name, value in attrs:
            if name in ("src", "href", "xlink:href") and not (value or "").startswith(("#", "data:")):
                self.outside.append((tag, name, value))


def sheet(instrument, **more):
    return Sheet(instrument, date(2026, 1, 31), pc.positions(instrument), **more)


@pytest.mark.parametrize("make", [bench_page, borrower_page])
def test_a_page_is_whole_and_needs_no_network(instrument, make):
    text = make(sheet(instrument))
    page = Page(text)
    assert page.outside == []
    assert "2026-01-31" in text
    for position in instrument.positions:
        assert position.name in text
    html5lib.HTMLParser(strict=True).parse(text)


def test_the_bench_sees_every_reading_circuit_and_caution(instrument):
    text = bench_page(sheet(instrument))
    assert text.count("<h3>") >= len(instrument.positions)
    assert text.count("pole to the strings") == len(instrument.pickups)
    assert text.count("track marked") == len(instrument.controls)
    assert "jack: sleeve" in text
    assert "implants" in text


def test_sizes(instrument):
    assert len(borrower_page(sheet(instrument)).encode()) < 300_000
    assert len(bench_page(sheet(instrument)).encode()) < 3_000_000


def test_before_and_after():
    after = pc.read_job(next(p for p in DEMOS if p.stem == "bass_12")).instrument
    neck, bridge = after.pickups
    before, after = after, replace(after, pickups=(neck, replace(bridge, tap="positive")))
    told = change_words(pc.positions(before), pc.positions(after))
    assert len(told) == 1
    assert told[0].startswith("both: was out of phase, is in phase (+25 dB in the bass)")
    text = bench_page(sheet(after, before=before))
    assert "Before and after" in text
    assert "Thin dashed lines: before" in text
    assert told[0] in borrower_page(sheet(after, before=before))


def test_a_moved_peak_is_told():
    after = pc.read_job(next(p for p in DEMOS if p.stem == "bass_12")).instrument
    longer = replace(after, load=pc.Load(cable_length="9 m"))
    told = change_words(pc.positions(longer), pc.positions(after))
    assert any("its peak moved from" in line for line in told)


def test_proof_is_shown(instrument):
    told = {"quantity": "hum_change", "position": "both", "date": "2026-01-30"}
    history = [Reading(value="-3 dB", **told), Reading(value="-23 dB", note="workshop", **told)]
    history.append(Reading(quantity="resistance", value="6.1 kohm", pickup="neck", temperature="21 degC"))
    for make in (borrower_page, bench_page):
        assert "both: hum changed by -23.0 dB (2026-01-30, workshop)" in make(
            sheet(instrument, history=history)
        )
    assert "21 degC" in bench_page(sheet(instrument, history=history))


def test_names_are_text_on_the_page(instrument):
    evil = "<script>alert(1)</script>"
    about = pc.About(name=evil)
    renamed = replace(
        instrument, about=about, positions=(replace(instrument.positions[0], name=evil),), controls=()
    )
    for make in (bench_page, borrower_page):
        text = make(sheet(renamed))
        assert "script" not in Page(text).tags
        assert "&lt;script&gt;" in text


def test_a_figure_is_the_same_bytes_each_time(instrument):
    curves = [pc.response(instrument, p.name) for p in instrument.positions]
    first, second = (svg(responses_figure(curves)) for _ in range(2))
    assert first == second
    ElementTree.fromstring(first)
