"""Filter tables, preferred numbers and marking codes: what pots and capacitors are chosen by."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import buttap, butter

from pickupcalc.answers.pots.aims import Flat
from pickupcalc.answers.pots.candidates import usual_capacitors
from pickupcalc.answers.pots.drawer_tricks import resistor_across
from pickupcalc.answers.pots.shape import View
from pickupcalc.instrument.instrument import About, Instrument
from pickupcalc.parts.load import Load
from pickupcalc.parts.pickup import Pickup
from pickupcalc.physics.circuit import closed_forms
from pickupcalc.units import parse, quantity

SUBJECT = "pots and capacitors"
SCIPY = {"source": "scipy.signal", "status": "another program"}
# Normalised low-pass elements of Butterworth filters of second order, chapter 8; also L. Weinberg,
# Network Analysis and Synthesis (1962), chapter 13: source resistance, inductance, capacitance, load.
ZVEREV = {"source": "A. I. Zverev, Handbook of Filter Synthesis (1967)", "status": "from memory"}
PROTOTYPES = {
    "equal terminations": (1.0, 1.4142, 1.4142, 1.0),
    "voltage source": (1e-9, 1.4142, 0.7071, 1.0),
}


@pytest.mark.parametrize("elements", PROTOTYPES.values(), ids=PROTOTYPES)
def test_tabulated_butterworth_filters_are_what_the_formulas_call_flat(elements, outside):
    r, inductance, c, load = elements
    coil = {"resistance": r, "inductance": inductance, "capacitance": c}
    flat, q = closed_forms.flat_load(**coil), closed_forms.q(**coil, load=load)
    outside("load of tabulated flat filters", ours=flat, theirs=load, rtol=1e-12, **ZVEREV)
    outside("Q of tabulated flat filters", ours=q, theirs=1 / np.sqrt(2), rtol=1e-12, **ZVEREV)


def test_the_poles_are_scipys(outside):
    """The analogue Butterworth prototype of second order."""
    _, poles, _ = buttap(2)
    quality = np.abs(poles[0]) / (-2 * poles[0].real)
    coil = {"resistance": 6e3, "inductance": 2.5, "capacitance": 500e-12}
    load = closed_forms.flat_load(**coil)
    q = closed_forms.q(**coil, load=load)
    outside("Q of a coil with its flat load", ours=q, theirs=quality, rtol=1e-13, **SCIPY)


def test_a_flat_pickup_has_scipys_butterworth_response(outside):
    """The whole curve, and the aim "flat", of a coil with its flat load."""
    load = closed_forms.flat_load(resistance=6e3, inductance=2.5, capacitance=500e-12)
    pickup = Pickup(name="one", resistance="6 kohm", inductance="2.5 H", capacitance="0 F")
    cable = Load(cable_length="5 m", cable_capacitance="100 pF/m", amplifier_resistance=quantity(load, "ohm"))
    flat = Instrument(About(name="flat"), (pickup,), load=cable)
    view = View(flat, flat.positions[0])
    assert Flat().miss(view)[0] < 0.02
    level = np.sqrt(1 / (2.5 * 500e-12) * (1 + 6e3 / load))
    b, a = butter(2, level, analog=True)
    hertz = np.geomspace(100, 8000, 77)
    s = 2j * np.pi * hertz
    expected = 20 * np.log10(np.abs(np.polyval(b, s) / np.polyval(a, s)) * load / (load + 6e3))
    outside(
        "response of a coil with its flat load",
        ours=view.curve_db[0],
        theirs=expected,
        db=1e-12,
        unit="dB",
        **SCIPY,
    )


def test_shop_capacitors_are_e6(outside):
    """E6: 10 15 22 33 47 68."""
    expected = [1.0, 1.5, 2.2, 3.3, 4.7, 6.8, 10, 15, 22, 33, 47, 68, 100]
    outside(
        "capacitors of a shop (E6)",
        source="IEC 60063:2015",
        status="published",
        ours=usual_capacitors().m_as("nF"),
        theirs=expected,
        rtol=1e-13,
        unit="nF",
    )


E24 = [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91]


@pytest.mark.parametrize("wanted", ["250 kohm", "180 kohm", "333 kohm", "25 kohm"])
def test_a_resistor_across_is_the_nearest_of_e24(wanted, outside):
    found = resistor_across("500 kohm", wanted)
    exact = 1 / (1 / parse(wanted, "ohm") - 1 / 500e3)
    values = np.array([v * 10.0**e for e in range(2, 7) for v in E24])
    outside(
        "resistor across a track, the nearest of E24",
        source="IEC 60063:2015",
        status="published",
        ours=found.resistor.m,
        theirs=values[np.argmin(np.abs(np.log(values / exact)))],
        rtol=1e-13,
        unit="ohm",
    )


@pytest.mark.parametrize(
    ("code", "unit", "value"),
    [
        ("R47", "ohm", 0.47), ("4R7", "ohm", 4.7), ("470R", "ohm", 470), ("4K7", "ohm", 4.7e3),
        ("47K3", "ohm", 47.3e3), ("470K", "ohm", 470e3), ("4M7", "ohm", 4.7e6),
        ("10p", "farad", 10e-12), ("4n7", "farad", 4.7e-9), ("1µ0", "farad", 1e-6),
    ],
)  # fmt: skip
def test_marking_codes(code, unit, value, outside):
    """Its examples."""
    outside(
        "letter codes of resistance and capacitance",
        source="IEC 60062:2016",
        status="published",
        ours=parse(code, unit),
        theirs=value,
        rtol=1e-13,
    )
