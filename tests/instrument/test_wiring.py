"""The tree of a position: what is read, what is refused, signs and shares."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

import pickupcalc as pc
from pickupcalc.errors import InputError
from pickupcalc.instrument.wiring import read_wiring


def test_signs_turn_over_with_every_reversal():
    wiring = read_wiring({"series": ["a", {"reversed": {"parallel": ["b", {"reversed": "c"}]}}]})
    assert wiring.pickups() == ["a", "b", "c"]
    assert wiring.signs() == {"a": 1, "b": -1, "c": 1}
    assert str(wiring) == "(a + -(b | -c))"


def test_shares_if_all_were_alike():
    assert read_wiring({"parallel": ["a", "b", "c"]}).shares() == dict.fromkeys("abc", Fraction(1, 3))
    assert read_wiring({"series": ["a", {"reversed": "b"}]}).shares() == {"a": 1, "b": -1}
    nested = read_wiring({"parallel": [{"series": ["a", "b"]}, "c"]}).shares()
    assert nested == {"a": Fraction(1, 3), "b": Fraction(1, 3), "c": Fraction(2, 3)}


def test_parts_at_an_item():
    wiring = read_wiring({"item": "a", "series_capacitor": "4n7", "parallel_resistor": "100k"})
    assert wiring.pickups() == ["a"]
    assert wiring.added.series_capacitor.m == pytest.approx(4.7e-9)


def nested(depth):
    wiring = "a"
    for _ in range(depth):
        wiring = {"reversed": wiring}
    return wiring


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (5, "is not a pickup's name"),
        ("", "is not a pickup's name"),
        ({}, "is not a pickup's name"),
        ({"parallel": ["a"], "series": ["b"]}, "is not a pickup's name"),
        ({"parallel": "a"}, "must be a list"),
        ({"parallel": []}, "must be a list"),
        ({"parallel": ["a", "a"]}, "twice"),
        ({"item": "a", "series_inductor": "1 H"}, "is not a pickup's name"),
        ({"item": "a", "series_capacitor": "4.7 kohm"}, "not in a unit of farad"),
        ({"item": "a", "parallel_resistor": 100}, "has no unit"),
        (nested(1000), "deeper than 32"),
    ],
)
def test_refused(given, told):
    with pytest.raises(InputError, match=told):
        read_wiring(given)


def test_deep_but_sensible_nesting_is_read():
    assert read_wiring(nested(32)).signs() == {"a": 1}


def test_no_two_controls_have_one_label():
    one = pc.Pickup(name="a", resistance="6k", inductance="2 H")
    volume = pc.Volume(track="250k")
    controls = (volume, volume, replace(volume, name="volume 2"), replace(volume, name="own"))
    made = pc.Instrument(pc.About(name="x"), (one,), controls)
    assert made.control_labels() == ["volume 1", "volume 3", "volume 2", "own"]
