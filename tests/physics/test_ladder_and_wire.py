"""The short network of a coil's losses; wire and layer capacitance."""

from __future__ import annotations

import numpy as np
import pytest

from pickupcalc.physics.winding.ladder import Ladder, fit
from pickupcalc.physics.winding.wire import awg_diameter, layer_capacitance, resistance_per_metre

OMEGA = 2 * np.pi * np.geomspace(20, 20e3, 50)


def test_finds_a_network_that_is_one():
    made = Ladder(1.5, ((12e3, 0.28), (84e3, 0.5)), 0.0)
    found = fit(OMEGA, made.linkage(OMEGA), good_enough=1e-6)
    assert found.error < 1e-6
    assert found.inductance == pytest.approx(1.5, rel=1e-3)
    np.testing.assert_allclose(found.sections, made.sections, rtol=1e-3)


def test_skin_effect_within_its_stated_error_and_passive():
    x = np.sqrt(1j * OMEGA / 2e3)
    linkage = 1.0 + 2.0 * np.tanh(x) / x
    found = fit(OMEGA, linkage)
    assert found.error < 5e-3
    assert np.max(abs(found.linkage(OMEGA) / linkage - 1)) == pytest.approx(found.error)
    assert found.inductance >= 0
    assert all(r > 0 and x > 0 for r, x in found.sections)


def test_no_losses_need_no_sections():
    found = fit(OMEGA, np.full(OMEGA.size, 2.0 + 0j))
    assert (found.inductance, found.sections) == (pytest.approx(2.0), ())


def test_three_gauges_halve_the_area():
    assert (awg_diameter(42) / awg_diameter(39)) ** 2 == pytest.approx(0.5, rel=4e-3)


def test_stretch_and_warmth_raise_the_resistance():
    cold = resistance_per_metre(63e-6)
    assert resistance_per_metre(63e-6, 30.0) > cold
    assert resistance_per_metre(63e-6, stretch=0.02) == pytest.approx(1.02 * cold)


def test_capacitance_is_of_the_measured_size():
    """Some 5000 turns have tens of picofarads (M. Zollner, Physik der Elektrogitarre, 5.9: 43 pF)."""
    found = layer_capacitance(5000, 0.162, 6.5e-3, 5.5e-3, 63.3e-6, 71e-6, 3.5)
    assert 20e-12 < found < 90e-12
    assert layer_capacitance(5000, 0.162, 6.5e-3, 5.5e-3, 63.3e-6, 76e-6, 3.5) < found  # more film, less
