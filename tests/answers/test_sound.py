"""How positions sound, what differs, and which partials are missed."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import numpy as np
import pytest

import pickupcalc as pc
from tests.conftest import DEMOS, ROOT


@pytest.fixture
def bass():
    return pc.read_job(ROOT / "data" / "bass_12.toml").instrument


@pytest.fixture
def mended(bass):
    """The bridge pickup's leads exchanged back."""
    neck, bridge = bass.pickups
    return replace(bass, pickups=(neck, replace(bridge, tap="positive")))


def twins(bass, way, tap):
    """Two alike pickups at the bass's two places."""
    neck, bridge = bass.pickups
    other = replace(neck, name="bridge", distance_from_bridge=bridge.distance_from_bridge, tap=tap)
    both = pc.Position(name="both", wiring={way: ["neck", "bridge"]})
    return replace(bass, pickups=(neck, other), controls=bass.controls[2:], positions=(both,))


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.name)
def test_every_demo_position_has_figures(path):
    instrument = pc.read_job(path).instrument
    for position in instrument.positions[:2]:
        found = pc.sound(instrument, position.name)
        json.dumps(found.as_json(), allow_nan=False)
        assert len(found.notes) == len(instrument.strings)
        assert 1e-3 < found.output.m < 0.1
        assert found.spread["loudness_db"].amount < 3
        assert found.spread["output"].amount == pytest.approx(2 * found.output.m)


def test_out_of_phase_loses_the_fundamentals_and_says_so(bass, mended):
    hollow, full = pc.sound(bass, "both", label="before"), pc.sound(mended, "both", label="after")
    assert hollow.fundamental_loss_db < -6
    assert full.fundamental_loss_db == pytest.approx(0, abs=1e-9)
    assert hollow.loudness_db < full.loudness_db - 6
    assert hollow.fundamental_share_db < full.fundamental_share_db
    told = " ".join(pc.compare(full, hollow).sentences())
    assert "quieter" in told
    assert "fundamentals are 7" in told
    assert "loses" in told


def test_what_moves_both_alike_does_not_blur_their_difference(bass, mended):
    """Before and after rest on the same two pickups: surer than two sounds that have nothing in common."""
    hollow, full = pc.sound(bass, "both"), pc.sound(mended, "both")
    told = float(re.search(r"\(±([0-9.]+)\)", pc.compare(hollow, full).sentences()[0])[1])
    apart = np.hypot(hollow.spread["loudness_db"].amount, full.spread["loudness_db"].amount)
    assert 0 < told < 0.9 * apart
    assert "±" not in pc.compare(*(replace(s, shifts={}) for s in (hollow, full))).sentences()[0]


def test_the_same_sound_is_said_to_be_the_same(bass):
    one = pc.sound(bass, "neck", spread=False)
    (told,) = pc.compare(one, one).sentences()
    assert "no figure differs" in told


def test_complete_cancellation_is_silence(bass):
    neck = bass.pickups[0]
    other = replace(neck, name="bridge", tap="negative")
    both = pc.Position(name="both", wiring={"parallel": ["neck", "bridge"]})
    dead = replace(bass, pickups=(neck, other), controls=(), positions=(both, bass.position("neck")))
    nothing = pc.sound(dead, "both")
    assert nothing.centroid is None
    assert nothing.loudness_db < -190
    (told,) = pc.compare(pc.sound(dead, "neck"), nothing).sentences()
    assert told == "'both' is silent: its pickups cancel each other completely."
    assert json.dumps(nothing.as_json(), allow_nan=False)


def test_controls_fully_down_are_silent_and_nothing_cancels(bass):
    down = replace(bass, controls=tuple(replace(c, setting=0.0) for c in bass.controls))
    neck, both = (pc.sound(down, name, spread=False) for name in ("neck", "both"))
    assert neck.silent and both.silent
    assert pc.compare(neck, both).sentences() == ["'both' is silent: nothing reaches the amplifier."]


def test_like_is_compared_with_like(bass):
    with pytest.raises(pc.InputError, match="like with like"):
        pc.compare(pc.sound(bass, "neck", spread=False), pc.sound(bass, "neck", fret=5, spread=False))


def test_nearer_the_bridge_is_brighter(bass):
    neck, bridge = (pc.sound(bass, name, spread=False) for name in ("neck", "bridge"))
    assert bridge.centroid > neck.centroid
    assert bridge.bands_db[31.25] < neck.bands_db[31.25]


def test_bands_hold_all_the_power(bass):
    found = pc.sound(bass, "neck", spread=False)
    partials = np.mean([np.sum(10 ** (n.levels_db / 10)) for n in found.notes])
    assert sum(10 ** (v / 10) for v in found.bands_db.values()) == pytest.approx(partials, rel=1e-9)


def test_a_sensitivity_that_is_off_tells_in_the_spread(bass):
    spread = pc.sound(bass, "both").spread["fundamental_loss_db"]
    assert 0.3 < spread.amount < 4
    assert "sensitivity" in spread.dominated_by


@pytest.mark.parametrize("way", ["parallel", "series"])
def test_notches_of_alike_pickups_stand_where_the_comb_says(bass, way):
    """In phase at odd, out of phase at even multiples of c / 2d, c = 2 l f: d = 92 mm apart."""
    light = replace(twins(bass, way, "positive"), strings=(pc.String(note="G2"),))
    spacing = 0.812 * light.strings[0].frequency.m / 0.092
    found = [n.frequency.m for n in pc.notches(light, "both")]
    for k in (1, 3):
        assert min(abs(f - k * spacing) for f in found) < 0.02 * spacing
    neck, bridge = light.pickups
    apart = replace(light, pickups=(neck, replace(bridge, tap="negative")))
    found = [n.frequency.m for n in pc.notches(apart, "both")]
    assert min(abs(f - 2 * spacing) for f in found) < 0.02 * spacing
    assert all(n.depth_db <= -20 for n in pc.notches(apart, "both"))


def test_a_notch_stays_and_another_partial_falls_into_it(bass):
    first = pc.notches(bass, "both", 1)[0]
    numbers = first.partials([0, 12, 24])
    assert numbers[0] > numbers[1] > numbers[2] - 1
    assert first.frequency.m == pytest.approx(numbers[0] * 55.0, rel=0.2)


def test_the_map_shows_the_nulls_of_one_pickup(bass):
    """At the fret that leaves twice the pickup's distance, every second partial has a node over it."""
    at = 0.812 * 2 ** (-12 / 12) / 2
    neck = replace(bass.pickups[0], distance_from_bridge=f"{at} m", aperture="0 m")
    comb = pc.fret_map(replace(bass, pickups=(neck, bass.pickups[1])), "neck", frets=24, partials=8)
    assert np.all(comb.heard_db[12, 1::2] < -100)
    assert comb.heard_db[12, 0] == pytest.approx(0, abs=1e-6)
    assert np.isnan(comb.heard_db[24]).all() or np.all(comb.heard_db[24] < -100)
    json.dumps(comb.as_json(), allow_nan=False)


def test_under_the_hand_nothing_is_told(bass):
    comb = pc.fret_map(bass, "neck", frets=36)
    assert np.isnan(comb.heard_db[-1]).all()
    with pytest.raises(pc.InputError, match="frets"):
        pc.fret_map(bass, "neck", frets=99)
