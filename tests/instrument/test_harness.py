"""Circuits of positions: where controls stand, and what must not change anything."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import pickupcalc as pc
from pickupcalc.answers.response import signal_emf
from pickupcalc.errors import InputError
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.netlist import spice_deck
from pickupcalc.physics.circuit.nodal import solve

OMEGA = 2 * np.pi * np.geomspace(20, 20e3, 31)


def pickup(name, **values):
    return pc.Pickup(
        **{"name": name, "resistance": "6 kohm", "inductance": "2.4 H", "tap": "positive"} | values
    )


def output(wiring, *controls, pickups=None, load=None):
    """The amplifier's voltage for 1 V with its sign in every pickup."""
    pickups = pickups or tuple(pickup(n) for n in "abcd")
    position = pc.Position(name="p", wiring=wiring)
    instrument = pc.Instrument(pc.About(name="x"), pickups, controls, (position,), load or pc.Load())
    return solve(circuit(instrument, position), OMEGA).mix(signal_emf(instrument, position))


coils = st.builds(
    lambda r, inductance, c: {
        "resistance": f"{r} ohm",
        "inductance": f"{inductance} H",
        "capacitance": f"{c} pF",
    },
    st.integers(1000, 20000),
    st.integers(1, 12),
    st.integers(0, 500),
)


@settings(max_examples=25)
@given(coils, st.sampled_from(["parallel", "series"]))
def test_two_equal_pickups_are_one_of_half_or_twice_the_impedance(values, way):
    pair = tuple(pickup(n, **values) for n in "ab")
    factor = 0.5 if way == "parallel" else 2.0
    one = pickup(
        "a",
        resistance=pair[0].resistance * factor,
        inductance=pair[0].inductance * factor,
        capacitance=pair[0].capacitance / factor,
    )
    emf = 1 if way == "parallel" else 2
    expected = emf * output("a", pickups=(one,))
    np.testing.assert_allclose(output({way: ["a", "b"]}, pickups=pair), expected, rtol=1e-9)


@settings(max_examples=25)
@given(st.lists(coils, min_size=3, max_size=3), st.booleans())
def test_reversing_everything_changes_nothing_audible(values, series):
    three = tuple(pickup(n, **v) for n, v in zip("abc", values, strict=True))
    wiring = {"series" if series else "parallel": ["a", {"series": ["b", "c"]}]}
    as_built = output(wiring, pickups=three)
    np.testing.assert_allclose(
        np.abs(output({"reversed": wiring}, pickups=three)), np.abs(as_built), rtol=1e-9
    )
    turned = tuple(replace(p, tap="negative") for p in three)
    np.testing.assert_allclose(output(wiring, pickups=turned), as_built, rtol=1e-12)


@pytest.mark.parametrize("fed_at", ["end", "wiper"])
@pytest.mark.parametrize("setting", [0.0, 1.0])
@pytest.mark.parametrize("load", [pc.Load(), pc.Load(cable_length="0 m")])
def test_ends_of_rotation_break_nothing(fed_at, setting, load):
    volume = pc.Volume(track="250 kohm", fed_at=fed_at, setting=setting)
    out = np.abs(output("a", volume, load=load))
    assert np.all(np.isfinite(out))
    assert np.all(out < 1e-9) if setting == 0 else np.all(out > 1e-3)


def test_a_volume_fed_at_the_wiper_leaves_the_other_pickup_alone():
    """Common practice, no source: that is what the connection is for."""
    own = [pc.Volume(track="250 kohm", pickups=["a"], setting=0.0)]
    fed = [replace(own[0], fed_at="wiper")]
    assert np.abs(output({"parallel": ["a", "b"]}, *own)).max() < 1e-9  # shorts both
    assert np.abs(output({"parallel": ["a", "b"]}, *fed))[0] > 0.9


def test_a_control_of_pickups_in_parallel_joins_them_first():
    flat = output({"parallel": ["a", "b", "c"]}, pc.Volume(track="100 kohm", pickups=["a", "b"], setting=0.5))
    nested = {"parallel": [{"parallel": ["a", "b"]}, "c"]}
    np.testing.assert_allclose(
        flat, output(nested, pc.Volume(track="100 kohm", pickups=["a", "b"], setting=0.5)), rtol=1e-12
    )


def test_a_control_stays_at_its_pickups_leads_when_these_are_reversed_or_given_parts():
    volume = pc.Volume(track="100 kohm", pickups=["a"], setting=0.5)
    np.testing.assert_allclose(output({"reversed": "a"}, volume), -output("a", volume), rtol=1e-12)
    with_part = output({"item": "a", "series_resistor": "10 kohm"}, volume)
    longer = output("a", volume, load=pc.Load(cable_length="0 m", amplifier_resistance="1.01 Mohm"))
    short = output(
        {"item": "a", "series_resistor": "10 kohm"},
        volume,
        load=pc.Load(cable_length="0 m", amplifier_resistance="1 Mohm"),
    )
    np.testing.assert_allclose(short, longer / 1.01, rtol=1e-12)
    assert not np.allclose(with_part, output("a", volume))


def test_a_control_that_finds_no_place_is_refused():
    with pytest.raises(InputError, match="side by side"):
        output({"series": ["a", "b", "c"]}, pc.Tone(track="250k", capacitor="22n", pickups=["a", "c"]))


def test_controls_of_absent_pickups_are_absent():
    tone = pc.Tone(track="250k", capacitor="22n", pickups=["b"], setting=0.0)
    np.testing.assert_array_equal(output("a", tone), output("a"))


def test_two_series_pairs_side_by_side_keep_their_own_joints():
    pairs = {"parallel": [{"series": ["a", "b"]}, {"series": ["c", "d"]}]}
    np.testing.assert_allclose(output(pairs), 2 * output("a"), rtol=1e-9)


@pytest.mark.parametrize("name", ["cable", "amplifier", "volume: above wiper", "tip", "sleeve", "selector"])
def test_any_name_of_a_pickup_is_only_a_name(name):
    volume = pc.Volume(track="250 kohm", setting=0.5)
    np.testing.assert_allclose(output(name, volume, pickups=(pickup(name),)), output("a", volume), rtol=1e-12)


def test_a_deck_holds_no_line_that_a_name_made():
    evil = "x .control $(touch y) ; Ω"
    position = pc.Position(name=evil, wiring=evil)
    instrument = pc.Instrument(pc.About(name=evil), (pickup(evil),), (), (position,))
    deck = spice_deck(circuit(instrument, position), {evil: 1.0}, evil)
    assert deck.isascii()
    assert all(line[0] in "*VRLCK." for line in deck.splitlines())
    assert next(line for line in deck.splitlines() if line.startswith(".")).startswith(".ac")


def own(*names):
    return pc.Volume(track="250 kohm", setting=0.5, pickups=list(names))


@pytest.mark.parametrize(
    ("controls", "grouped"),
    [
        ((own("a", "b"), own("c", "d")), {"parallel": [{"parallel": ["a", "b"]}, {"parallel": ["c", "d"]}]}),
        (
            (own("a", "b"), own("a", "b", "c")),
            {"parallel": [{"parallel": [{"parallel": ["a", "b"]}, "c"]}, "d"]},
        ),
    ],
)
def test_groups_side_by_side_have_their_volumes_whatever_the_order(controls, grouped):
    plain = {"parallel": ["a", "b", "c", "d"]}
    for order in (controls, controls[::-1]):
        assert output(plain, *order) == pytest.approx(output(grouped, *order), rel=1e-9)
    assert output(plain, *controls) != pytest.approx(output(plain, controls[0]), rel=1e-2)
