"""The sheet as people see it: on a terminal and as a page."""

from __future__ import annotations

from dataclasses import replace
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest

import pickupcalc as pc
from pickupcalc.show.page import sheet_page
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


def test_the_page_is_whole_and_needs_no_network(instrument):
    text = sheet_page(instrument, pc.positions(instrument))
    page = Page(text)
    assert page.tags.count("svg") == 1
    assert page.tags.count("tr") == 1 + len(instrument.positions)
    assert page.outside == []
    for position in instrument.positions:
        assert position.name in text


def test_names_are_text_on_the_page(instrument):
    evil = "<script>alert(1)</script>"
    about = pc.About(name=evil)
    renamed = replace(
        instrument, about=about, positions=(replace(instrument.positions[0], name=evil),), controls=()
    )
    text = sheet_page(renamed, pc.positions(renamed))
    assert "script" not in Page(text).tags
    assert "&lt;script&gt;" in text


def test_a_figure_is_the_same_bytes_each_time(instrument):
    curves = [pc.response(instrument, p.name) for p in instrument.positions]
    first, second = (svg(responses_figure(curves)) for _ in range(2))
    assert first == second
    ElementTree.fromstring(first)
