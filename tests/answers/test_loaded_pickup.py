"""The formulas' side with units."""

import doctest

import pytest

from pickupcalc.answers.pots import loaded_pickup
from pickupcalc.errors import InputError

COIL = {"resistance": "6 kohm", "inductance": "3 H", "capacitance": "500 pF"}


def test_examples_hold():
    assert doctest.testmod(loaded_pickup).failed == 0


def test_quantities_and_their_si_twin_agree():
    si = {"resistance": 6e3, "inductance": 3.0, "capacitance": 500e-12, "load": 200e3}
    assert loaded_pickup.loaded_peak(**COIL, load="200k").m_as("Hz") == loaded_pickup.loaded_peak.si(**si)
    assert loaded_pickup.loaded_height_db(**COIL, load="200k") == loaded_pickup.loaded_height_db.si(**si)
    load = loaded_pickup.load_for_q(**COIL, q=1.5)
    assert loaded_pickup.loaded_q(**COIL, load=load) == pytest.approx(1.5)


def test_bare_numbers_are_refused():
    with pytest.raises(InputError, match=r"resistance: 6000 has no unit; write"):
        loaded_pickup.flat_load(resistance=6000, inductance="3 H", capacitance="500 pF")
