"""Drawings and the sheet's section on polarity."""

from __future__ import annotations

import re
from datetime import date

import pytest

from pickupcalc import read_job
from pickupcalc.answers.polarity.truth import truth
from pickupcalc.answers.positions import positions
from pickupcalc.instrument.instrument import About, Instrument, Position
from pickupcalc.parts.pickup import Pickup
from pickupcalc.show.pages.page import Sheet, bench_page
from pickupcalc.show.pages.polarity import polarity_section
from pickupcalc.show.plan_text import plan_line
from pickupcalc.show.plots import svg
from pickupcalc.show.polarity_drawing import polarity_figure
from tests.conftest import DEMOS, ROOT


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.name)
def test_every_position_can_be_drawn(path):
    made = read_job(path).instrument
    for position in made.positions:
        drawn = svg(polarity_figure(truth(made, position)))
        assert drawn.startswith("<svg")
        assert drawn == svg(polarity_figure(truth(made, position)))


def test_what_the_drawing_shows():
    made = read_job(ROOT / "data" / "bass_12.toml").instrument
    drawn = svg(polarity_figure(truth(made, made.position("both"))))
    words = re.findall(r">([^<>\n]+)</text>", drawn)
    assert words.count("N") == words.count("S") == 4
    assert "thin sound" in " ".join(words)
    assert "hum adds" in words


def test_an_unread_pickup_is_drawn_with_question_marks():
    unread = tuple(Pickup(name=n, resistance="6 kohm", inductance="2 H", hot="start") for n in "ab")
    both = Position(name="both", wiring={"series": ["a", {"reversed": "b"}]}, wanted=["in phase"])
    made = Instrument(About(name="bench"), unread, positions=(both,))
    words = re.findall(r">([^<>\n]+)</text>", svg(polarity_figure(truth(made, both))))
    assert words.count("?") >= 8
    assert "ends exchanged by selector" in words
    assert plan_line(made).startswith("No plan yet: position 'both', wanted")
    section = polarity_section(made)
    assert section is not None and section.order is None


def test_what_is_unknown_is_told_with_what_to_do():
    unread = tuple(Pickup(name=n, resistance="6 kohm", inductance="2 H") for n in "ab")
    both = Position(name="both", wiring={"series": ["a", "b"]})
    made = Instrument(About(name="bench"), unread, positions=(both,))
    assert plan_line(made) == "To know more of phase and hum: join a and b and hear whether they sound thin."
    alone = Instrument(About(name="bench"), unread)
    assert plan_line(alone) == ""


def test_the_page_has_plan_steps_and_cautions():
    made = read_job(ROOT / "data" / "baritone_5.toml").instrument
    page = bench_page(Sheet(made, date(2026, 1, 31), positions(made)))
    for told in ("Least repair: reverse middle", "Work order", "Other ways", "Solder may hold lead"):
        assert told in page
    assert page.count(", as it is</figcaption>") == page.count(", after the plan</figcaption>") == 2
    named = re.findall(r' id="([^"]*)"', page)
    bodies = {name: set(re.findall(rf'<path id="{name}"[^>]*>', page)) for name in named}
    assert all(len(body) <= 1 for body in bodies.values())


def test_a_page_where_nothing_is_joined_has_no_section():
    made = Instrument(About(name="bench"), (Pickup(name="a", resistance="6 kohm", inductance="2 H"),))
    assert polarity_section(made) is None
    assert "Polarity" not in bench_page(Sheet(made, date(2026, 1, 31), positions(made)))
