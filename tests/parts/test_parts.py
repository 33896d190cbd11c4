"""Parts check themselves: ranges, words, signs, tapers, preferred values."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import pickupcalc as pc
from pickupcalc.errors import InputError
from pickupcalc.parts.preferred import SERIES, nearest, preferred_values, significands
from pickupcalc.parts.strings import pitch

COIL = {"name": "neck", "resistance": "6.1 kohm", "inductance": "2.45 H"}


def test_all_faults_of_a_part_at_once():
    with pytest.raises(InputError) as caught:
        pc.Pickup(name="", resistance="-1 kohm", inductance=2.4, magnet="up")
    assert [f.key for f in caught.value.faults] == ["name", "resistance", "inductance", "magnet"]


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("resistance", "0 ohm", "above 0"),
        ("capacitance", "-1 pF", "at least 0"),
        ("sensitivity", -1, "from 0"),
        ("sensitivity", True, "not a quantity"),
        ("tap", "up", '"positive", "negative"'),
        ("allowed", "swap leads", "list"),
        ("allowed", ["paint it"], "not one of"),
        ("name", "two\nlines", "one line"),
        ("name", "x" * 81, "at most 80"),
    ],
)
def test_what_is_refused(key, value, told):
    with pytest.raises(InputError, match=told):
        pc.Pickup(**(COIL | {key: value}))


def test_resistance_at_20_degrees():
    """10 K are 3.93 % of copper (IEC 60028)."""
    warm = pc.Pickup(**(COIL | {"resistance": "6.1 kohm", "resistance_temperature": "30 degC"}))
    assert warm.resistance_at_20_degc.m_as("ohm") == pytest.approx(6100 / 1.0393)


@pytest.mark.parametrize("magnet", ["north", "south"])
@pytest.mark.parametrize("winding", ["clockwise", "counter-clockwise"])
@pytest.mark.parametrize("hot", ["start", "finish"])
def test_winding_and_tap_tell_the_same(magnet, winding, hot):
    by_winding = pc.Pickup(**COIL, magnet=magnet, winding=winding, hot=hot)
    tap = "positive" if by_winding.signal_sign == 1 else "negative"
    by_tap = pc.Pickup(**COIL, magnet=magnet, tap=tap)
    assert (by_tap.signal_sign, by_tap.hum_sign) == (by_winding.signal_sign, by_winding.hum_sign)
    with pytest.raises(InputError, match="contradicts"):
        other = {"positive": "negative", "negative": "positive"}[tap]
        pc.Pickup(**COIL, magnet=magnet, winding=winding, hot=hot, tap=other)


def test_reversing_the_magnet_turns_the_signal_only_and_swapping_leads_turns_both():
    as_built = pc.Pickup(**COIL, magnet="north", winding="clockwise", hot="start")
    turned = pc.Pickup(**COIL, magnet="south", winding="clockwise", hot="start")
    swapped = pc.Pickup(**COIL, magnet="north", winding="clockwise", hot="finish")
    assert (turned.signal_sign, turned.hum_sign) == (-as_built.signal_sign, as_built.hum_sign)
    assert (swapped.signal_sign, swapped.hum_sign) == (-as_built.signal_sign, -as_built.hum_sign)


def test_signs_stay_unknown_while_too_little_is_known():
    assert pc.Pickup(**COIL).signal_sign is None
    assert pc.Pickup(**COIL, tap="positive").signal_sign == 1
    assert pc.Pickup(**COIL, tap="positive").hum_sign is None
    assert pc.Pickup(**COIL, winding="clockwise", hot="start").hum_sign == 1
    assert pc.Pickup(**COIL, winding="clockwise", hot="start").signal_sign is None


def test_usual_values_are_told_apart_from_readings():
    pickup = pc.Pickup(**COIL)
    assert pickup.assumed() == ("capacitance",)
    assert pickup.known("capacitance").m_as("pF") == pytest.approx(110)
    assert pc.Pickup(**COIL, capacitance="0 F").assumed() == ()


class TestTapers:
    @given(st.floats(0.5, 99.5), st.floats(0, 1))
    def test_between_the_ends_it_rises(self, percent, x):
        taper = pc.Taper(percent_at_half=percent)
        assert taper.share_below(0.0) == 0.0
        assert taper.share_below(1.0) == 1.0
        assert taper.share_below(0.5) == pytest.approx(percent / 100)
        assert taper.share_below(x) <= taper.share_below(min(1.0, x + 0.01)) + 1e-12

    def test_names(self):
        assert pc.Taper.of("linear").share_below(0.3) == pytest.approx(0.3)
        audio, reverse = pc.Taper.of("audio"), pc.Taper.of("reverse audio")
        assert audio.share_below(0.2) == pytest.approx(1 - reverse.share_below(0.8))
        assert pc.Taper.of({"percent_at_half": 10}).share_below(0.5) == pytest.approx(0.1)

    @pytest.mark.parametrize("bad", ["log", 15, {"percent": 15}, {"percent_at_half": 0}])
    def test_refused(self, bad):
        with pytest.raises(InputError):
            pc.Taper.of(bad)

    def test_many_rotations_at_once(self):
        shares = pc.Taper.of("audio").share_below(np.linspace(0, 1, 5))
        assert np.all(np.diff(shares) > 0)


def test_a_blend_stands_between_two_pickups():
    for pickups in (None, ["a"], ["a", "a"], ["a", "b", "c"]):
        with pytest.raises(InputError, match="two pickups"):
            pc.Blend(track="500 kohm", pickups=pickups)
    centred = pc.Blend(track="500 kohm", pickups=["a", "b"], setting=0.5)
    assert [centred.gang(p).setting for p in "ab"] == [1.0, 1.0]
    first = pc.Blend(track="500 kohm", pickups=["a", "b"], setting=0.0)
    assert [first.gang(p).setting for p in "ab"] == [1.0, 0.0]


class TestPreferredValues:
    """IEC 60063: counts, and some values out of the middle of each series."""

    @pytest.mark.parametrize("series", SERIES)
    def test_counts(self, series):
        assert len(significands(series)) == int(series[1:])

    def test_members(self):
        assert list(significands("E6")) == [1.0, 1.5, 2.2, 3.3, 4.7, 6.8]
        assert list(significands("E12")) == [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2]
        assert {1.02, 1.47, 3.32, 9.76} <= set(significands("E96"))
        assert 9.2 in significands("E192")
        assert 9.19 not in significands("E192")

    def test_a_range_with_its_ends(self):
        found = preferred_values("E12", "1 nF", "10 nF", "farad")
        assert len(found) == 13
        assert found[4].m_as("nF") == pytest.approx(2.2, rel=1e-12)

    def test_nearest_is_by_ratio(self):
        assert nearest("E24", "4.65 kohm", "ohm").m == 4700
        assert nearest("E6", "8.4 kohm", "ohm").m == 10000
        assert nearest("E3", "0.95 ohm", "ohm").m == 1.0

    @pytest.mark.parametrize(
        "bad", [("E5", "1 ohm", "2 ohm"), ("E12", "2 ohm", "1 ohm"), ("E12", "0 ohm", "1 ohm")]
    )
    def test_refused(self, bad):
        with pytest.raises(InputError):
            preferred_values(*bad, "ohm")


@pytest.mark.parametrize(
    ("note", "hertz"),
    [("A4", 440.0), ("E1", 41.2034), ("C4", 261.6256), ("F#3", 184.9972), ("Bb2", 116.5409)],
)
def test_pitch_names(note, hertz):
    """ISO 16 (A4 = 440 Hz), equal temperament; values from any table of notes."""
    assert pitch(note).m_as("Hz") == pytest.approx(hertz, rel=1e-5)


@pytest.mark.parametrize("bad", ["H2", "E", "41", "-1 Hz", 41.2])
def test_what_is_no_pitch(bad):
    with pytest.raises(InputError):
        pitch(bad)
