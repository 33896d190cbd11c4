"""One loaded pickup, against a network library, worked formulas and published measurements."""

from __future__ import annotations

import numpy as np
import pytest
import skrf

import pickupcalc as pc
from pickupcalc.instrument.harness import circuit
from pickupcalc.physics.circuit.curves import highest_peak
from pickupcalc.physics.circuit.network import Branch, Circuit
from pickupcalc.physics.circuit.nodal import solve

SUBJECT = "circuits"
FREQUENCIES = np.geomspace(20, 20e3, 40)
OMEGA = 2 * np.pi * FREQUENCIES


def instrument(*controls, load=None, **values):
    return pc.Instrument(
        pc.About(name="x"), (pc.Pickup(name="a", **values),), controls, load=load or pc.Load()
    )


def test_scikit_rf_gives_the_same_transfer(outside):
    """scikit-rf: the pickup, its capacitance, a volume at half, cable and amplifier as cascaded two-ports."""
    given = instrument(
        pc.Volume(track="500 kohm", setting=0.5),
        load=pc.Load(cable_length="5 m", cable_capacitance="100 pF/m", amplifier_resistance="1 Mohm"),
        resistance="6.8 kohm", inductance="3.1 H", capacitance="90 pF", loss_resistance="900 kohm",
    )  # fmt: skip
    media = skrf.media.DefinedGammaZ0(skrf.Frequency.from_f(FREQUENCIES, unit="hz"), z0=50.0)

    def series(z):
        """A series impedance as a chain matrix."""
        abcd = np.zeros((FREQUENCIES.size, 2, 2), complex)
        abcd[:, 0, 0] = abcd[:, 1, 1] = 1
        abcd[:, 0, 1] = z
        return skrf.Network(frequency=media.frequency, a=abcd)

    def across(y):
        abcd = np.zeros((FREQUENCIES.size, 2, 2), complex)
        abcd[:, 0, 0] = abcd[:, 1, 1] = 1
        abcd[:, 1, 0] = y
        return skrf.Network(frequency=media.frequency, a=abcd)

    chain = (
        series(6800 + 1j * OMEGA * 3.1)
        ** across(1j * OMEGA * 90e-12 + 1 / 900e3)
        ** series(np.full_like(OMEGA, 250e3))
        ** across(1 / 250e3 + 1j * OMEGA * 500e-12 + 1e-6)
    )
    theirs = 1 / chain.a[:, 0, 0]  # open-circuit voltage gain of the chain
    ours = solve(circuit(given, given.positions[0]), OMEGA).transfer["a"]
    outside(
        "transfer of a loaded pickup as cascaded two-ports",
        source="scikit-rf",
        status="another program",
        ours=ours,
        theirs=theirs,
        rtol=1e-11,
    )


@pytest.mark.parametrize("shunt", [50e3, 100e3, 250e3, 500e3, 1e6])
def test_worked_low_pass(shunt, outside):
    """H(p) and Q of a coil with C and a shunt resistor."""
    worked = {"source": "M. Zollner, Physik der Elektrogitarre, sec. 5.5.4", "status": "published"}
    r, inductance, c = 6e3, 2.5, 450e-12
    given = instrument(
        load=pc.Load(cable_length="3.4 m", cable_capacitance="100 pF/m", amplifier_resistance=f"{shunt} ohm"),
        resistance="6 kohm", inductance="2.5 H", capacitance="110 pF",
    )  # fmt: skip
    p = 1j * OMEGA
    expected = 1 / (1 + r / shunt + p * (r * c + inductance / shunt) + p**2 * inductance * c)
    transfer = solve(circuit(given, given.positions[0]), OMEGA).transfer["a"]
    outside(
        "transfer of a pickup with a resistor across", ours=transfer, theirs=expected, rtol=1e-13, **worked
    )
    q = np.sqrt(inductance * c * (1 + r / shunt)) / (r * c + inductance / shunt)
    found = pc.report(given, given.positions[0])
    if q > 1:
        f0 = np.sqrt((1 + r / shunt) / (inductance * c)) / (2 * np.pi)
        at, peak = found.peak_frequency.m, f0 * np.sqrt(1 - 1 / (2 * q**2))
        outside(
            "peak of a pickup with a resistor across", ours=at, theirs=peak, rtol=5e-8, unit="Hz", **worked
        )
        # Our height counts from 100 Hz, theirs from zero.
        outside("Q of a pickup with a resistor across", ours=found.q, theirs=q, rtol=2e-3, **worked)


@pytest.mark.parametrize(("external", "printed"), [(330e-12, 7.7e3), (700e-12, 5.5e3), (1030e-12, 4.6e3)])
def test_published_resonances_with_added_capacitors(external, printed, outside):
    """A coil of 4420 ohm, 1.125 H, 43 pF; peaks printed to two digits."""
    given = instrument(
        load=pc.Load(cable_length="1 m", cable_capacitance=f"{external} F/m", amplifier_resistance="1 Gohm"),
        resistance="4420 ohm", inductance="1.125 H", capacitance="43 pF",
    )  # fmt: skip
    found = pc.report(given, given.positions[0])
    outside(
        "measured resonances with capacitors across, printed to two digits",
        source="M. Zollner, Physik der Elektrogitarre, fig. 5.9.26",
        status="published",
        ours=found.peak_frequency.m,
        theirs=printed,
        rtol=0.015,
        unit="Hz",
    )


def test_a_measured_impedance_and_its_fitted_values(outside):
    """Magnitude at an instrument's jack, measured by network analyser.

    Data: J. Buchholdt et al., Aalborg University, student project AAT8, folder
    `measure`, February 2017 (bridge pickup, with its pots and wiring). The four
    values are a fit of (R + jwL) || C || Rp to their complex sweep; their
    separate magnitude sweep, from which the numbers here are, lies 1 % beside it
    at low frequencies and 10 % at the maximum, so no closer agreement is to be had.
    """
    measured = {
        100: 7943, 500: 12655, 1000: 21290, 2000: 41337, 3000: 61805, 4000: 72749,
        5000: 69449, 7000: 51533, 10000: 34610, 15000: 22263, 20000: 16492,
    }  # fmt: skip
    fitted = Circuit(
        (
            Branch("coil", "0", "1", 8589, 3.358),
            Branch("capacitance", "0", "1", capacitance=451e-12),
            Branch("losses and pots", "0", "1", 88.3e3),
        ),
        "1",
        "0",
    )

    def magnitude(hertz):
        return np.abs(solve(fitted, 2 * np.pi * np.asarray(hertz, dtype=float)).impedance)

    ours, theirs = magnitude(list(measured)) / 1e3, np.array(list(measured.values())) / 1e3
    aalborg = {"source": "J. Buchholdt et al., Aalborg University (2017)", "status": "published"}
    outside(
        "impedance measured at a jack, to 1 kHz",
        ours=ours[:3],
        theirs=theirs[:3],
        rtol=0.02,
        unit="kohm",
        **aalborg,
    )
    outside(
        "impedance measured at a jack, to 20 kHz", ours=ours, theirs=theirs, rtol=0.11, unit="kohm", **aalborg
    )
    highest, _ = highest_peak(magnitude)  # theirs is printed for the magnitude sweep
    outside(
        "frequency of the highest impedance measured at a jack",
        ours=highest[0],
        theirs=4230,
        rtol=0.03,
        unit="Hz",
        **aalborg,
    )


def test_a_series_resonance_worked_on_a_public_page(outside):
    """100 mH and 100 kHz make 25.33 pF.

    Its resonance is where the reactance at the terminals passes through zero.
    """
    coil = (Branch("coil", "0", "1", 210, 0.1), Branch("c", "0", "1", capacitance=25.33e-12))
    frequencies = np.linspace(99e3, 101e3, 2001)
    z = solve(Circuit(coil, "1", "0"), 2 * np.pi * frequencies).impedance
    crossing = frequencies[np.argmin(np.abs(z.imag))]
    outside(
        "self-resonance of a test inductor",
        source='C. E. LaForest, "Characterizing Magnetic Guitar Pickups"',
        status="published",
        ours=crossing,
        theirs=100e3,
        rtol=2e-5,
        unit="Hz",
    )
