"""Aims measure what they say, with a peak and without one."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pickupcalc.answers.pots.aims import Flat, Height, Keep, Match, ToneDown, misses, total
from pickupcalc.answers.pots.shape import (
    POINTS,
    View,
    distance_db,
    natural_frequency,
    resonance,
    second_peak,
    turned,
)
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import About, Instrument
from pickupcalc.instrument.jobfile import read_job
from pickupcalc.parts.controls import Tone, Volume
from pickupcalc.parts.load import Load
from pickupcalc.parts.pickup import Pickup
from pickupcalc.physics.circuit import closed_forms
from pickupcalc.units import quantity
from tests.conftest import ROOT

COIL = {"resistance": 6e3, "inductance": 2.5, "capacitance": 500e-12}
AMPLIFIER = 1e6


def loaded(load):
    """A single coil with nothing but a load: exactly the closed forms' circuit."""
    pickup = Pickup(name="one", resistance="6 kohm", inductance="2.5 H", capacitance="0 F")
    cable = Load(cable_length="5 m", cable_capacitance="100 pF/m", amplifier_resistance=quantity(load, "ohm"))
    return Instrument(About(name="test"), (pickup,), load=cable)


def with_pots(volume="250 kohm", tone="250 kohm", capacitor="22 nF", cable="3 m"):
    pickup = Pickup(name="one", resistance="6 kohm", inductance="2.5 H", capacitance="100 pF")
    controls = (Volume(track=volume, taper="audio"), Tone(track=tone, taper="audio", capacitor=capacitor))
    load = Load(cable_length=cable, cable_capacitance="100 pF/m", amplifier_resistance="1 Mohm")
    return Instrument(About(name="test"), (pickup,), controls, load=load)


LOADS = np.geomspace(20e3, 2e6, 40)


def test_q_runs_on_through_the_flat_response():
    """With a peak from its height, without one from how the curve falls: one curve, the closed form's."""
    instrument = loaded(LOADS)
    found = resonance(instrument, instrument.positions[0])
    expected = closed_forms.q(**COIL, load=LOADS)
    np.testing.assert_allclose(found.q, expected, rtol=0.01)
    peaked = np.isfinite(found.peak_frequency)
    assert peaked.any() and not peaked.all()
    assert np.all(found.height_db[peaked] > 0) and np.all(found.height_db[~peaked] <= 0)
    assert np.all(np.diff(found.height_db) > -1e-9)
    natural = np.sqrt((1 + COIL["resistance"] / LOADS) / (COIL["inductance"] * COIL["capacitance"]))
    np.testing.assert_allclose(
        natural_frequency(instrument, instrument.positions[0]), natural / (2 * np.pi), rtol=6e-3
    )


def test_flat_is_met_by_the_flat_load():
    load = closed_forms.flat_load(**COIL) * np.array([0.7, 1.0, 1.5])
    instrument = loaded(load)
    missed = Flat().miss(View(instrument, instrument.positions[0]))
    expected = 20 * np.log10(closed_forms.q(**COIL, load=load) * np.sqrt(2))
    np.testing.assert_allclose(missed, np.abs(expected), atol=0.03)


def test_a_band_of_heights():
    instrument = loaded(LOADS)
    view = View(instrument, instrument.positions[0])
    aim = Height(1.0, 3.0)
    missed, height = aim.miss(view), view.resonance.height_db
    inside = (height >= 1) & (height <= 3)
    assert inside.any() and np.all(missed[inside] == 0) and np.all(missed[~inside] > 0)
    np.testing.assert_allclose(missed[height > 3], height[height > 3] - 3)
    assert aim.met(missed, within=99).tolist() == inside.tolist()
    assert LOADS[inside][aim.off_centre(view)[inside].argmin()] == pytest.approx(
        LOADS[np.abs(height - 2).argmin()]
    )


def test_keep_is_met_by_the_instrument_itself_and_missed_with_another_cable():
    before = with_pots()
    keep = Keep.of(before)
    assert keep.miss(View(turned(before), before.positions[0])) == pytest.approx(0, abs=1e-9)
    longer = with_pots(cable="6 m")
    assert keep.miss(View(turned(longer), longer.positions[0]))[0] > 3


def test_keep_names_a_position_that_was_not_there():
    other = replace(with_pots(), pickups=(replace(with_pots().pickups[0], name="other"),), positions=())
    with pytest.raises(InputError, match='"other" was not there before, only: "one"'):
        Keep.of(with_pots()).miss(View(other, other.positions[0]))


def test_match_does_not_care_for_loudness():
    model = with_pots()
    loud = replace(model, pickups=(replace(model.pickups[0], sensitivity=3.0),))
    missed = Match.of(loud, "one").miss(View(turned(model), model.positions[0]))
    assert missed == pytest.approx(0, abs=1e-9)
    with pytest.raises(InputError, match="position"):
        Match.of(model, "two")


@settings(max_examples=25)
@given(st.floats(-20, 20), st.floats(0.1, 10))
def test_distance_is_one_of_shape(shift, scale):
    rng = np.random.default_rng(5)
    a, b = rng.normal(size=(2, POINTS))
    assert distance_db(a, a + shift) == pytest.approx(0, abs=1e-9)
    assert distance_db(a, b) == pytest.approx(distance_db(b, a))
    assert distance_db(scale * a, scale * b) == pytest.approx(scale * distance_db(a, b))


def test_tone_down_is_coil_and_capacitor():
    """The second peak stands near 1/(2 pi sqrt(LC)), lower by damping as the closed form says."""
    instrument = with_pots(volume="10 Mohm", capacitor="10 nF")
    frequency, _ = second_peak(turned(instrument), instrument.positions[0])
    load = 1 / (1 / 10e6 + 1 / 1e6)
    expected = closed_forms.peak_frequency(
        resistance=6e3, inductance=2.5, capacitance=10e-9 + 400e-12, load=load
    )
    assert frequency[0] == pytest.approx(expected, rel=1e-3)
    aim = ToneDown(quantity(2 * frequency[0], "hertz"))
    assert aim.miss(View(turned(instrument), instrument.positions[0])) == pytest.approx(12)


def test_positions_without_a_tone_do_not_count_for_it():
    job = read_job(ROOT / "data" / "baritone_5.toml")
    up = turned(job.instrument)
    missed = misses([ToneDown("600 Hz")], [View(up, p) for p in job.instrument.positions])
    assert missed.shape == (1, 5, 1)
    assert missed[0, 4, 0] == 0 and np.all(missed[0, :4, 0] > 0)


def test_totals_put_what_cannot_be_told_last():
    missed = np.array([[[3.0, 4.0]], [[np.nan, 0.0]]])
    assert total(missed).tolist() == [5.0, np.inf]


def test_turning_leaves_the_rest_alone():
    instrument = with_pots()
    down = turned(instrument, volume=np.array([1.0, 0.5]), tone=0.0)
    assert down.controls[0].setting.tolist() == [1.0, 0.5] and down.controls[1].setting == 0.0
    assert down.pickups == instrument.pickups


@pytest.mark.parametrize("band", [(3, 1), (float("nan"), 1), (0, float("inf"))])
def test_a_band_has_its_lower_end_first(band):
    with pytest.raises(InputError, match="height"):
        Height(*band)
