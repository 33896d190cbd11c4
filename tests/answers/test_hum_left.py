"""Hum that is left: what the trade knows of it, tolerance, and refused input."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pickupcalc import read_job
from pickupcalc.answers.hum.chance import chance_of_quiet, distance_needed, limits
from pickupcalc.answers.hum.left import hum_left
from pickupcalc.answers.polarity.planner import plan
from pickupcalc.answers.response import response
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import About, Instrument, Position
from pickupcalc.parts.controls import Volume
from pickupcalc.parts.hum_source import SmallTransformer, UniformField, WirePair
from pickupcalc.parts.load import Load
from pickupcalc.parts.pickup import Pickup
from tests.conftest import ROOT


def bench(*signs, **changed):
    """Pickups alike but for their hum signs and what is changed in the last, side by side."""
    pickups = []
    for i, h in enumerate(signs):
        values = {"resistance": "6 kohm", "inductance": "2.5 H", "capacitance": "100 pF"}
        read = {"magnet": "north" if h > 0 else "south", "tap": "positive"}
        more = changed if i == len(signs) - 1 else {}
        pickups.append(Pickup(name=f"p{i}", distance_from_bridge=f"{50 + 60 * i} mm", **values | read | more))
    names = [p.name for p in pickups]
    positions = (Position(name="one", wiring=names[0]), Position(name="all", wiring={"parallel": names}))
    volume = (Volume(track="250 kohm", taper="audio"),)
    return Instrument(About(name="bench"), tuple(pickups), volume, positions, Load(cable_length="5 m"))


@pytest.fixture(scope="module")
def baritone():
    before = read_job(ROOT / "data" / "baritone_5.toml").instrument
    return before, plan(before).best.apply(before)


def test_alike_and_opposed_leave_nothing():
    assert hum_left(bench(1, -1), "all").relative_db_a == -200
    assert chance_of_quiet(bench(1, -1), "all", mismatch=1e-9, reduction_db=20).share == 1.0


def test_parallel_without_cancelling_is_a_little_louder_and_brighter():
    """Common practice, no source: half the inductance meets the same cable.

    The circuit shows where: a tenth of a decibel at the mains frequency, and
    several in the buzz above the lone pickup's peak. Between, up to a
    kilohertz, the lone pickup's own peak lifts it as much, so no difference.
    """
    made = bench(1, 1)
    both = hum_left(made, "all")
    assert 0 < both.relative_db < 0.5
    assert 0 < both.relative_db_a < 0.5
    frequencies = ["50 Hz", "1 kHz", "6 kHz"]
    alone, together = (response(made, p, frequencies).magnitude_db for p in ("one", "all"))
    low, middle, buzz = together - alone
    assert 0.05 < low < 0.3
    assert abs(middle) < 0.2
    assert buzz > 4


def test_a_mismatch_of_turns_is_what_is_left():
    """Two windings that differ by 10 % leave a twentieth of the mean at the middle of the pair, unloaded."""
    made = replace(bench(1, -1, hum_sensitivity=1.1), controls=(), load=Load(cable_length="0.01 m"))
    left = hum_left(made, "all", spectrum="first harmonic only")
    assert left.relative_db == pytest.approx(20 * np.log10(0.05 / 1.1), abs=0.1)


def test_before_and_after_the_plan(baritone):
    before, after = baritone
    for position in ("2 neck and middle", "4 middle and bridge"):
        was, will = (hum_left(i, position) for i in (before, after))
        assert was.relative_db > -1
        assert will.relative_db_a < -19
        assert will.weighted < was.weighted / 8
    assert hum_left(after, "1 neck").weighted.m == pytest.approx(hum_left(before, "1 neck").weighted.m)


def test_sound_keeps_the_proportion(baritone):
    before, after = baritone
    was, will = (hum_left(i, "2 neck and middle") for i in (before, after))
    loud, quiet = (h.sound(0.5, volt_at_full_scale=1e-3) for h in (was, will))
    assert loud.shape == (11_025,)
    assert np.abs(loud).max() <= 1
    ratio = np.sqrt(np.mean(quiet**2) / np.mean(loud**2))
    assert 20 * np.log10(ratio) == pytest.approx(will.relative_db - was.relative_db, abs=0.3)


def test_the_chance_falls_with_mismatch_and_is_repeatable(baritone):
    _, after = baritone
    shares = [
        chance_of_quiet(after, "2 neck and middle", mismatch=m, reduction_db=30).share
        for m in (0.02, 0.1, 0.3)
    ]
    assert shares == sorted(shares, reverse=True)
    assert chance_of_quiet(after, "4 middle and bridge") == chance_of_quiet(after, "4 middle and bridge")
    told = str(chance_of_quiet(after, "2 neck and middle", mismatch=0.1, reduction_db=30))
    assert "hum at least 30 dB below" in told and "hum sensitivity" in told


def test_the_chance_for_two_alike_against_the_normal_law():
    """Unloaded, h1 - h2 of two like windings is normal: P(|d| < 0.1) with sd sqrt(2) 0.05 is erf(1)."""
    from math import erf

    made = replace(bench(1, -1), controls=(), load=Load(cable_length="0.01 m"))
    found = chance_of_quiet(
        made, "all", mismatch=0.1, reduction_db=20 * np.log10(20), spectrum="first harmonic only"
    )
    # The output holds half the difference: below 1/20 of the loudest alone (about 1 + 0.03).
    assert found.share == pytest.approx(erf(1.0), abs=0.03)


def test_what_limits_it(baritone):
    _, after = baritone
    found = limits(after, "4 middle and bridge")
    assert found["impedance"] < found["as it is"]
    assert found["own controls"] == -200


def test_a_near_source_leaves_a_gradient(baritone):
    _, after = baritone
    near, far = (
        hum_left(after, "2 neck and middle", SmallTransformer(place=(f"{x} m", "0 m", "0 m"))).relative_db_a
        for x in (0.4, 4)
    )
    assert near > far + 10
    source = SmallTransformer(place=("1 m", "0 m", "0 m"))
    needed = [distance_needed(after, "2 neck and middle", source, reduction_db=r).m for r in (10, 20, 30)]
    assert needed == sorted(needed)
    just = SmallTransformer(place=(f"{0.138 + needed[1]} m", "0 m", "0 m"))
    assert hum_left(after, "2 neck and middle", just).relative_db_a == pytest.approx(-20, abs=0.6)
    assert distance_needed(after, "2 neck and middle", source, reduction_db=60) is None


def test_a_pair_of_wires_and_the_field_as_such():
    made = bench(1, -1)
    wires = WirePair(place=("0.5 m", "0 m", "0 m"))
    assert -40 < hum_left(made, "all", wires).relative_db_a < -5
    loud = hum_left(made, "one", UniformField(field="1 uT")).weighted
    assert loud.m == pytest.approx(10 * hum_left(made, "one").weighted.m)
    across = UniformField(direction=(1, 0, 0))
    assert hum_left(made, "one", across).weighted.m == 0


MIDDLE = ("0.08 m", "0 m", "0 m")  # of the two


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda i: hum_left(i, "nowhere"), "is not one of"),
        (lambda i: hum_left(i, "all", spectrum="pink"), '"mains wiring"'),
        (lambda i: hum_left(i, "all", turns_area=4), "unit"),
        (lambda i: SmallTransformer(place=("1 m", "2 m")), "three lengths"),
        (lambda i: SmallTransformer(place=("1 m", "2 m", "3 m"), direction=(0, 0, 0)), "three plain numbers"),
        (lambda i: WirePair(place=("1 m", "0 m", "0 m"), apart=(0, 1, 0)), "square to along"),
        (
            lambda i: distance_needed(i, "all", SmallTransformer(place=("0.08 m", "0 m", "0 m"))),
            "no direction",
        ),
    ],
)
def test_refused(call, told):
    with pytest.raises(InputError, match=told):
        call(bench(1, -1))


def test_what_is_not_known_is_named():
    made = bench(1, -1)
    unread = tuple(replace(p, tap=None, distance_from_bridge=None) for p in made.pickups)
    with pytest.raises(InputError, match="pickup 'p1': its hum against p0's is unknown"):
        hum_left(replace(made, pickups=unread), "all")
    unplaced = tuple(replace(p, distance_from_bridge=None) for p in made.pickups)
    with pytest.raises(InputError, match="a near source needs to know where it is"):
        hum_left(replace(made, pickups=unplaced), "all", SmallTransformer(place=("1 m", "0 m", "0 m")))


def test_pickups_that_take_up_no_hum_are_silent_and_no_fault():
    deaf = bench(1, 1)
    deaf = replace(deaf, pickups=tuple(replace(p, hum_sensitivity=0.0) for p in deaf.pickups))
    assert hum_left(deaf, "all").relative_db == hum_left(deaf, "all").relative_db_a == -200.0
    assert chance_of_quiet(deaf, "all").share == 1.0
