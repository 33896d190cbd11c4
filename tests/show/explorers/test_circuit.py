"""Explorers with their dials turned to both ends, without a notebook."""

from __future__ import annotations

import pytest

from pickupcalc.show.explorers.bench import bench_explorer
from pickupcalc.show.explorers.circuit import pair_explorer, peak_explorer
from pickupcalc.show.explorers.coil import henries_explorer
from pickupcalc.show.explorers.widgets import ChoiceDial, NumberDial, QuantityDial
from tests.show.explorers.turning import check_every_dial, own_dials


@pytest.mark.parametrize(
    "make", [peak_explorer, pair_explorer, henries_explorer, bench_explorer], ids=lambda f: f.__name__
)
def test_every_dial_moves_picture_and_words(make):
    check_every_dial(make())


def test_typed_values_move_the_slider():
    explorer = peak_explorer()
    dial = explorer.dials["volume"]
    dial.field.value = "500k"
    assert dial.value.m_as("kohm") == pytest.approx(500)
    assert 10**dial.slider.value == pytest.approx(500e3)
    assert explorer.dials["volume"].field.value == "500 kΩ"


@pytest.mark.parametrize("typed", ["500", "500 nF", "1 ohm", "half", "1e99 ohm"])
def test_a_wrong_value_is_explained_beside_its_field_and_changes_nothing(typed):
    dial, turned = QuantityDial("volume track", "ohm", "250 kohm", "10 kohm", "10 Mohm"), []
    dial.on_turn(lambda: turned.append(dial.value))
    dial.field.value = typed
    assert "alert" in dial._message.value
    assert typed.split()[0] in dial._message.value
    assert turned == [] and dial.value.m_as("kohm") == pytest.approx(250)
    dial.field.value = "300 kohm"
    assert dial._message.value == ""
    assert len(turned) == 1


def test_a_value_beyond_a_dial_widens_it_and_nobody_is_told():
    dial, turned = QuantityDial("volume track", "ohm", "250 kohm", "10 kohm", "2 Mohm"), []
    dial.on_turn(lambda: turned.append(dial.value))
    dial.put("10 Mohm")
    assert dial.value.m_as("Mohm") == pytest.approx(10)
    assert 10**dial.slider.max == pytest.approx(10e6)
    assert turned == []
    number = NumberDial("turns", 5000, 3000, 10000, 50)
    number.put(12_000)
    assert number.value == number.slider.max == 12_000


def test_more_cable_lowers_the_peak_and_the_words_say_it():
    explorer = peak_explorer()
    high = explorer.result.reports[0].peak_frequency.m
    explorer.dials["length"].field.value = "10 m"
    assert explorer.result.reports[0].peak_frequency.m < high
    assert "kHz" in explorer.meaning.value
    assert "give or take" in explorer.meaning.value


@pytest.mark.parametrize(
    ("leads", "magnet", "words"),
    [
        ("swapped", "as it is", ["hum cancels"]),
        ("as it is", "as it is", ["out of phase", "hum adds"]),
        ("swapped", "reversed", ["out of phase", "hum cancels"]),
        ("as it is", "reversed", ["hum adds"]),
    ],
)
def test_which_change_turns_what(leads, magnet, words):
    """The demonstration's second pickup came back with its leads exchanged."""
    explorer = pair_explorer()
    explorer.dials["leads"].menu.value = leads
    explorer.dials["magnet"].menu.value = magnet
    for word in words:
        assert word in explorer.meaning.value
    assert ("out of phase" in explorer.meaning.value) == ("out of phase" in words)


def test_dials_have_labels_and_kinds():
    for dial in (*own_dials(peak_explorer()).values(), *own_dials(pair_explorer()).values()):
        widget = dial.menu if isinstance(dial, ChoiceDial) else dial.slider
        assert widget.description
        assert isinstance(dial, (ChoiceDial, NumberDial, QuantityDial))


def test_a_picture_is_exported_and_never_over_another(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    explorer = peak_explorer()
    explorer.export.click()
    explorer.export.click()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["picture_1.svg", "picture_2.svg"]
    assert "picture_2.svg is written" in explorer.told.value
    assert (tmp_path / "picture_1.svg").read_text(encoding="utf-8").startswith("<svg")


def test_a_slider_stands_where_the_hand_has_it_and_is_told_in_words():
    dial, turned = QuantityDial("volume track", "ohm", "250 kohm", "10 kohm", "10 Mohm"), []
    dial.on_turn(lambda: turned.append(dial.value))
    assert dial.slider.told == dial.field.value == "250 kΩ"
    place = dial.slider.value + dial.slider.step
    dial.slider.value = place
    assert dial.slider.value == place
    assert dial.value.m == pytest.approx(10**place, rel=1e-3)
    assert dial.slider.told == dial.field.value
    assert len(turned) == 1


@pytest.mark.parametrize(
    ("step", "typed", "value"), [(50, "7923", 7923), (1, "4000,4", 4000), (0.01, "5000.125", 5000.12)]
)
def test_a_plain_number_is_what_is_shown(step, typed, value):
    dial = NumberDial("turns", 5000, 3000, 10_000, step)
    dial.field.value = typed
    assert dial.value == dial.slider.value == float(dial.field.value) == value


@pytest.mark.parametrize("typed", ["many", "", "4k7", "nan", "2999", "12 mm"])
def test_a_wrong_number_is_explained_beside_its_field(typed):
    dial = NumberDial("turns", 5000, 3000, 10_000, 50)
    dial.field.value = typed
    assert "alert" in dial._message.value and typed in dial._message.value
    assert dial.value == 5000
