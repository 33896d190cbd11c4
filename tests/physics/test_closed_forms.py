"""The formulas of one loaded pickup against the solver, and against each other."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pickupcalc.physics.circuit import closed_forms
from pickupcalc.physics.circuit.curves import highest_peak, q_of_height
from pickupcalc.physics.circuit.network import Branch, Circuit
from pickupcalc.physics.circuit.nodal import solve

COIL = {"resistance": 6.1e3, "inductance": 2.45, "capacitance": 430e-12}


def solved(resistance, inductance, capacitance, load):
    """Gain of the same circuit by nodal analysis."""
    network = Circuit(
        (
            Branch("coil", "sleeve", "tip", resistance=resistance, inductance=inductance, emf=True),
            Branch("all capacitance", "sleeve", "tip", capacitance=capacitance),
            Branch("load", "sleeve", "tip", resistance=load),
        ),
        "tip",
        "sleeve",
    )
    return lambda hertz: np.abs(solve(network, 2 * np.pi * np.asarray(hertz)).transfer["coil"])


@pytest.mark.parametrize("load", [80e3, 200e3, 1e6])
def test_peak_equals_the_solver(load):
    gain = solved(**COIL, load=load)
    frequency, height = highest_peak(gain)
    ratio = height[0] / gain([0.0])[0]
    assert closed_forms.peak_frequency(**COIL, load=load) == pytest.approx(frequency[0], rel=1e-5)
    assert closed_forms.peak_height(**COIL, load=load) == pytest.approx(ratio, rel=1e-8)
    assert closed_forms.q(**COIL, load=load) == pytest.approx(q_of_height(ratio), rel=1e-7)


@settings(max_examples=30)
@given(
    resistance=st.floats(1e3, 20e3),
    inductance=st.floats(0.5, 10),
    capacitance=st.floats(50e-12, 3e-9),
    load=st.floats(5e3, 2e6),
)
def test_gain_at_the_natural_frequency_is_q_times_the_level(resistance, inductance, capacitance, load):
    """H(j w0) = H(0) Q / j, whatever the parts."""
    parts = {"resistance": resistance, "inductance": inductance, "capacitance": capacitance, "load": load}
    natural = np.sqrt((1 + resistance / load) / (inductance * capacitance)) / (2 * np.pi)
    low, there = solved(**parts)([0.0, natural])
    assert there / low == pytest.approx(closed_forms.q(**parts), rel=1e-9)


def test_flat_load_is_the_least_load_with_a_peak():
    load = closed_forms.flat_load(**COIL)
    assert closed_forms.q(**COIL, load=load) == pytest.approx(1 / np.sqrt(2), rel=1e-12)
    assert closed_forms.load_for_q(**COIL, q=1 / np.sqrt(2)) == pytest.approx(load, rel=1e-12)
    assert np.isnan(closed_forms.peak_frequency(**COIL, load=0.99 * load))
    assert np.isfinite(closed_forms.peak_frequency(**COIL, load=1.01 * load))


def test_load_for_q_gives_that_q_and_knows_its_limit():
    wanted = np.array([0.6, 1.0, 2.0, 4.0])
    load = closed_forms.load_for_q(**COIL, q=wanted)
    np.testing.assert_allclose(closed_forms.q(**COIL, load=load), wanted, rtol=1e-12)
    unloaded = np.sqrt(COIL["inductance"] / COIL["capacitance"]) / COIL["resistance"]
    assert np.isnan(closed_forms.load_for_q(**COIL, q=1.01 * unloaded))


@pytest.mark.parametrize("part", closed_forms.PARTS)
def test_sensitivities_are_the_slopes(part):
    here = COIL | {"load": 200e3}
    step = 1e-5
    up, down = ({**here, part: here[part] * (1 + e)} for e in (step, -step))
    slopes = closed_forms.sensitivities(**here)
    for figure, function in (("peak_frequency", closed_forms.peak_frequency), ("q", closed_forms.q)):
        expected = np.log(function(**up) / function(**down)) / (2 * step)
        assert slopes[figure][part] == pytest.approx(expected, abs=1e-8)
    ratio = closed_forms.peak_height(**up) / closed_forms.peak_height(**down)
    assert slopes["peak_height_db"][part] == pytest.approx(20 * np.log10(ratio) / (2 * step), abs=1e-7)


def test_arrays_broadcast_and_missing_peaks_are_nan():
    load = np.array([10e3, 100e3, 1e6])
    heights = closed_forms.peak_height(**COIL, load=load)
    assert heights.shape == (3,)
    assert np.isnan(heights[0]) and heights[2] > heights[1] > 1
    assert np.isnan(closed_forms.sensitivities(**COIL, load=load)["peak_height_db"]["load"][0])
