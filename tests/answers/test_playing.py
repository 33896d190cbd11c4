"""Strings on an instrument: what a pickup sees, and what is refused because it cannot be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import pickupcalc as pc
from pickupcalc.answers.sound import playing
from tests.conftest import DEMOS, ROOT

BASS = ROOT / "data" / "bass_12.toml"


@pytest.fixture
def bass():
    return pc.read_job(BASS).instrument


def with_pickup(instrument, name, **changes):
    pickups = tuple(replace(p, **changes) if p.name == name else p for p in instrument.pickups)
    return replace(instrument, pickups=pickups)


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.name)
def test_a_pluck_nobody_chose_is_clear_of_the_pickups(path):
    instrument = pc.read_job(path).instrument
    at = playing.pluck_place(instrument, pc.Pluck())
    for pickup in instrument.pickups:
        x, aperture = playing.place(instrument, pickup)
        assert abs(at - x) >= aperture / 2 + playing.CLEAR - 1e-9


def test_both_directions_have_all_partials(bass):
    moving = playing.vibration(bass, 0, pluck=pc.Pluck(angle="90 deg"), partials=10)
    assert moving.numbers.tolist() == [*range(1, 11)] * 2
    assert np.all(np.abs(moving.amplitudes[~moving.sideways]) < 1e-15)
    assert np.any(moving.amplitudes[moving.sideways])
    assert np.all(moving.decays[moving.sideways] < moving.decays[~moving.sideways])


def test_fretting_an_octave_up_doubles_the_note_and_halves_the_string(bass):
    open_string, stopped = (playing.vibration(bass, 0, fret=fret) for fret in (0, 12))
    assert stopped.fundamental == pytest.approx(2 * open_string.fundamental)
    assert stopped.length == pytest.approx(open_string.length / 2)


def test_a_deaf_pickup_says_nothing_and_a_reversed_one_the_opposite(bass):
    moving = playing.vibration(bass, 0)
    position = bass.position("neck")
    volts = playing.voltages(bass, position, moving)
    deaf = with_pickup(bass, "neck", sensitivity=0.0)
    assert not playing.voltages(deaf, position, moving).any()
    turned = replace(position, wiring={"reversed": "neck"})
    np.testing.assert_allclose(playing.voltages(bass, turned, moving), -volts, rtol=1e-9)


def test_the_aperture_that_nobody_gave_comes_from_the_pole(bass):
    near = with_pickup(bass, "neck", aperture=None, sensing=pc.Sensing(distance="1.5 mm"))
    far = with_pickup(bass, "neck", aperture=None, sensing=pc.Sensing(distance="4 mm"))
    narrow, wide = (playing.aperture_of(i, i.pickup("neck")) for i in (near, far))
    assert 3e-3 < narrow < wide < 15e-3
    assert any("aperture" in line for line in playing.assumed(near))


def test_pickups_are_as_loud_against_each_other_as_in_a_response(bass):
    """Without poles described, sensitivity alone tells; an inductance is no loudness."""
    moving = playing.vibration(bass, 0)
    heavier = with_pickup(bass, "bridge", inductance="8 H")
    first, second = (playing.coil_emf(heavier, p, moving) for p in heavier.pickups)
    over = [playing.displacement(heavier, p, moving) for p in heavier.pickups]
    kept = (np.abs(over[0]) > 1e-9) & (np.abs(over[1]) > 1e-9)
    np.testing.assert_allclose((first / over[0])[kept], (second / over[1])[kept], rtol=1e-9)


def test_turns_that_a_geometry_tells_are_taken_from_it(bass):
    coil = {"inner_radius": "2.5 mm", "straight": "60 mm", "height": "11 mm", "turns": 6000, "build": "3 mm"}
    wound = with_pickup(bass, "neck", coil=coil | {"wire": {"awg": 42}})
    assert playing.pole_of(wound, wound.pickup("neck")).turns == 6000
    assert playing.pole_of(wound, wound.pickup("bridge")).turns != 6000
    assert any("turns (from the inductance) of bridge" in line for line in playing.assumed(wound))


def test_what_is_assumed_is_said(bass):
    told = " ".join(playing.assumed(bass))
    assert "distance to the strings of every pickup" in told
    assert "gauges of E1, A1, D2, G2" in told
    known = pc.Sensing(distance="2 mm", face_field="90 mT", turns=8000)
    measured = replace(
        bass,
        pickups=tuple(replace(p, sensing=known) for p in bass.pickups),
        strings=(pc.String(note="E1", gauge="2.7 mm"),),
    )
    assert playing.assumed(measured) == ()


def test_can_be_heard(bass):
    assert playing.can_be_heard(bass)
    assert not playing.can_be_heard(replace(bass, strings=()))
    assert not playing.can_be_heard(with_pickup(bass, "neck", distance_from_bridge=None))


class TestRefused:
    def said(self, call, *words):
        with pytest.raises(pc.InputError) as refused:
            call()
        for word in words:
            assert word in str(refused.value)

    def test_no_strings_and_no_scale(self, bass):
        self.said(lambda: playing.vibration(replace(bass, strings=()), 0), "strings", "is missing")
        about = replace(bass.about, scale_length=None)
        self.said(lambda: playing.vibration(replace(bass, about=about), 0), "scale_length", "648 mm")
        self.said(lambda: playing.vibration(bass, 7), "8 is not one of the 4")

    def test_a_pickup_without_a_place_or_out_of_place(self, bass):
        moving = playing.vibration(bass, 0)
        for changes, word in (
            ({"distance_from_bridge": None}, "is missing"),
            ({"distance_from_bridge": "900 mm"}, "beyond the nut"),
            ({"distance_from_bridge": "5 mm"}, "beyond the bridge"),
        ):
            wrong = with_pickup(bass, "neck", **changes)
            self.said(
                lambda wrong=wrong: playing.voltages(wrong, wrong.position("neck"), moving), "'neck'", word
            )

    def test_a_pickup_behind_the_bridge(self, job_file):
        path = job_file(('name = "neck" ', 'distance_from_bridge = "-20 mm"\nname = "neck" '))
        self.said(lambda: pc.read_job(path), "distance_from_bridge", "above 0")

    def test_a_pickup_under_the_fretting_hand(self, bass):
        position = bass.position("neck")
        moving = playing.vibration(bass, 0, fret=30, pluck=pc.Pluck(distance_from_bridge="100 mm"))
        self.said(lambda: playing.voltages(bass, position, moving), "under the fretting hand", "fret 30")

    def test_a_pluck_on_a_pickup_or_behind_the_hand(self, bass):
        on = pc.Pluck(distance_from_bridge="160 mm")
        self.said(lambda: playing.vibration(bass, 0, pluck=on), "on top of pickup 'neck'", "149 mm to 167 mm")
        behind = pc.Pluck(distance_from_bridge="500 mm")
        self.said(lambda: playing.vibration(bass, 0, fret=12, pluck=behind), "behind the hand")

    def test_numbers_out_of_range(self, bass):
        self.said(lambda: playing.vibration(bass, 0, fret=-1), "fret")
        self.said(lambda: playing.vibration(bass, 0, partials=0), "partials")
