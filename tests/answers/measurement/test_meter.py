import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pickupcalc.answers.measurement.capacitors import capacitor_plan, from_peaks
from pickupcalc.answers.measurement.from_meter import from_meter
from pickupcalc.answers.measurement.meter import (
    METER_FREQUENCIES,
    MeterReading,
    copper_resistance,
    meter_reading,
    shares,
    why_they_disagree,
)
from pickupcalc.errors import InputError
from pickupcalc.parts.pickup import Pickup

NECK = Pickup(
    name="neck", resistance="6.1 kohm", inductance="2.45 H", capacitance="110 pF", loss_resistance="1.2 Mohm"
)


def test_ten_kelvin_are_four_percent():
    warm = copper_resistance("6 kohm", "20 degC", "30 degC")
    assert warm.m_as("kohm") == pytest.approx(6 * 1.0393)


def test_temperatures_of_copper_return():
    there = copper_resistance("6 kohm", "12 degC", "31 degC")
    assert copper_resistance(there, "31 degC", "12 degC").m_as("ohm") == pytest.approx(6000)


@pytest.mark.parametrize(("read", "told"), [("400 degC", "-50 to 150"), (21, "no unit")])
def test_a_temperature_that_is_none_is_refused(read, told):
    with pytest.raises(InputError, match=told):
        copper_resistance("6 kohm", read, "20 degC")


def test_a_low_meter_in_series_shows_the_inductance():
    assert meter_reading(NECK, "100 Hz").inductance.m == pytest.approx(2.45, rel=0.015)


def test_a_low_meter_in_parallel_mode_shows_nonsense_that_is_lawful():
    bare = Pickup(name="p", resistance="6.1 kohm", inductance="2.45 H", capacitance="0 F")
    omega = 2 * np.pi * 100
    expected = 2.45 + (6100 / omega) ** 2 / 2.45
    assert meter_reading(bare, "100 Hz", "parallel").inductance.m == pytest.approx(expected)


def test_beyond_resonance_the_meter_shows_less_than_nothing():
    assert meter_reading(NECK, "10 kHz").inductance.m < 0


@pytest.mark.parametrize("mode", ["series", "parallel"])
@pytest.mark.parametrize("frequency", METER_FREQUENCIES)
def test_shares_sum_to_the_reading(frequency, mode):
    total = sum(s.inductance.m for s in shares(NECK, frequency, mode))
    assert total == pytest.approx(meter_reading(NECK, frequency, mode).inductance.m)


def test_it_is_said_why_two_meters_disagree():
    assert "wire's resistance" in why_they_disagree(NECK, ("100 Hz", "series"), ("100 Hz", "parallel"))
    assert "own capacitance" in why_they_disagree(NECK, ("100 Hz", "series"), ("2 kHz", "series"))


@settings(max_examples=30)
@given(
    st.floats(3e3, 12e3), st.floats(1.5, 8.0), st.floats(60e-12, 200e-12), st.floats(3e5, 3e6),
)  # fmt: skip
def test_two_frequencies_with_q_give_the_pickup_back(r, henry, farad, loss):
    pickup = Pickup(
        name="p",
        resistance=f"{r} ohm",
        inductance=f"{henry} H",
        capacitance=f"{farad} F",
        loss_resistance=f"{loss} ohm",
    )
    resonance = 1 / (2 * np.pi * np.sqrt(henry * farad))
    readings = [
        MeterReading(frequency=f"{f} Hz", inductance=shown.inductance, q=shown.q, tolerance=0.002)
        for f in (100.0, 0.5 * resonance)
        if (shown := meter_reading(pickup, f"{f} Hz"))
    ]
    found = from_meter(readings, f"{r} ohm")
    for figure, true in (
        (found.inductance, henry),
        (found.capacitance, farad),
        (found.loss_resistance, loss),
    ):
        assert figure.measured
        assert abs(np.log(figure.value.m / true)) < figure.fraction


def test_one_parallel_reading_at_a_low_frequency_finds_the_likely_root():
    shown = meter_reading(NECK, "100 Hz", "parallel")
    found = from_meter([shown], NECK.resistance_at_20_degc, capacitance="110 pF")
    assert found.inductance.value.m == pytest.approx(2.45, rel=found.inductance.fraction)
    assert found.inductance.measured
    assert not found.loss_resistance.measured


def test_readings_no_pickup_shows_are_refused():
    odd = [
        MeterReading(frequency="100 Hz", inductance="2 H"),
        MeterReading(frequency="120 Hz", inductance="9 H"),
    ]
    with pytest.raises(InputError, match="no pickup shows all of these"):
        from_meter(odd, "6 kohm")


def test_added_capacitors_give_the_line_back():
    henry, own = 2.45, 130e-12
    added = np.array([0, 330e-12, 1e-9, 3.3e-9])
    peaks = 1 / (2 * np.pi * np.sqrt(henry * (own + added)))
    found = from_peaks([f"{c} F" for c in added], [f"{f} Hz" for f in peaks])
    assert found.inductance.value.m == pytest.approx(henry)
    assert found.capacitance.value.m == pytest.approx(own)


def test_stated_spread_of_added_capacitors_holds():
    rng = np.random.default_rng(12)
    plan = capacitor_plan("2.45 H", "130 pF", count=4)
    inside = np.zeros(2)
    for _ in range(200):
        true_c = plan.added.m * (1 + 0.005 * rng.normal(size=4))
        peaks = 1 / (2 * np.pi * np.sqrt(2.45 * (130e-12 + true_c))) * (1 + 0.005 * rng.normal(size=4))
        found = from_peaks([f"{c} F" for c in plan.added.m], [f"{f} Hz" for f in peaks])
        inside += [
            abs(np.log(found.inductance.value.m / 2.45)) < found.inductance.fraction,
            abs(np.log(found.capacitance.value.m / 130e-12)) < found.capacitance.fraction,
        ]
    assert np.all(inside >= 186)  # 95 of 100, less chance


def test_mixed_up_peaks_are_refused():
    with pytest.raises(InputError, match="do not fall"):
        from_peaks(["100 pF", "1 nF"], ["3 kHz", "8 kHz"])


def test_a_plan_that_cannot_be_is_refused():
    with pytest.raises(InputError, match="count"):
        capacitor_plan("2 H", "100 pF", count=9)
