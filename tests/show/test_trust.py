"""The table of outside checks: read, summed up, drawn, told."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from pickupcalc.show.explorers.trust import ALL, trust_explorer, trust_figure, trust_words
from pickupcalc.show.plots import svg
from pickupcalc.show.trust import DECIBEL, HEADS, STATUSES, VALUE, Checks, outside_checks, percent


def test_every_check_is_counted_once():
    checks = outside_checks()
    assert sum(len(checks.of(subject)) for subject in checks.subjects) == len(checks)
    assert sum(checks.by_status.values()) == len(checks)
    assert tuple(checks.by_status) == STATUSES
    assert [line[0] for line in checks.summary()] == ["subject", *checks.subjects]


def test_the_worst_of_a_subject_stands_in_the_summary():
    checks = outside_checks()
    (line,) = (row for row in checks.summary() if row[0] == "magnets")
    worst = max((c for c in checks.of("magnets") if c.off is not None), key=lambda c: c.off)
    assert line[-1].endswith(worst.what)


def test_decibels_count_as_fractions():
    (check,) = list(outside_checks().of("hum").measured)[:1]
    told = replace(check, kind=DECIBEL, deviation=0.1, tolerance=1.0)
    assert (told.off, told.allowed) == pytest.approx((0.0116, 0.122), abs=1e-4)
    assert (told.told(), told.tolerated()) == ("0.1 dB", "1 dB")
    exact = replace(check, kind=VALUE, deviation=1e-12, tolerance=1e-11)
    assert (exact.told(), exact.tolerated()) == ("below 1e-12", "1e-11")


@pytest.mark.parametrize(
    ("fraction", "told"), [(1e-6, "1e-6"), (2e-8, "1e-7"), (2.3e-5, "23 ppm"), (0.012, "1.2 %")]
)
def test_deviations_in_words(fraction, told):
    assert percent(fraction) == told


def test_the_whole_table_in_a_notebook():
    checks = outside_checks()
    page = checks._repr_html_()
    assert page.count("<tr>") == len(checks) + len(checks.subjects)
    assert all(f">{head}</th>" in page for head in HEADS)
    strange = Checks((replace(next(iter(checks)), what="a < b & c"),))
    assert "a &lt; b &amp; c" in strange._repr_html_()


def test_words_and_picture_without_a_number():
    """A subject of facts alone has nothing to draw."""
    facts = Checks(tuple(c for c in outside_checks() if c.off is None))
    assert "Furthest off" not in trust_words(facts)
    assert "<svg" in svg(trust_figure(facts))


def test_the_menu_filters_picture_and_words():
    explorer = trust_explorer()
    menu = explorer.dials["subject"].menu
    pictures = {explorer.picture.value}
    for subject in outside_checks().subjects:
        menu.value = subject
        pictures.add(explorer.picture.value)
        assert explorer.meaning.value.startswith(f'<p aria-live="polite">{subject.capitalize()}: ')
        assert re.search(r"\d+ checks? of", explorer.meaning.value)
    assert len(pictures) == 1 + len(menu.options[1:])
    menu.value = ALL
    assert explorer.picture.value in pictures
