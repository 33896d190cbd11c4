"""Coils computed from geometry, in circuits solved here and by ngspice from the exported deck."""

from __future__ import annotations

import numpy as np
import pytest

import pickupcalc as pc
from pickupcalc.answers.response import signal_emf
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.netlist import spice_deck
from pickupcalc.physics.circuit.nodal import solve
from tests.outside.spice import needs_ngspice, run_deck

pytestmark = needs_ngspice
SUBJECT = "circuits"

COIL = {
    "straight": "50 mm", "inner_radius": "2.6 mm", "height": "6.5 mm", "build": "4 mm", "turns": 5000,
    "wire": {"awg": 42},
    "poles": {"count": 6, "diameter": "4.8 mm", "length": "14 mm", "pitch": "10 mm",
              "material": "low-carbon steel"},
}  # fmt: skip
SLUGS = pc.Pickup(
    name="slugs", coil=COIL, winding="clockwise", hot="finish", coupled_to="screws", spacing="18 mm"
)  # fmt: skip
SCREWS = pc.Pickup(name="screws", coil=COIL, winding="counter-clockwise", hot="finish")


@pytest.mark.parametrize(
    "wiring", ["slugs", {"series": ["slugs", "screws"]}, {"parallel": ["slugs", "screws"]}]
)
def test_losses_and_coupling(wiring, tmp_path, outside):
    position = pc.Position(name="one", wiring=wiring)
    instrument = pc.Instrument(pc.About(name="twin"), (SLUGS, SCREWS), positions=(position,))
    network, emf = circuit(instrument, position), signal_emf(instrument, position)
    hertz, theirs = run_deck(spice_deck(network, emf), tmp_path)
    ours = solve(network, 2 * np.pi * hertz).mix(emf)
    outside(
        "complex output of coils with losses that share flux",
        source="ngspice",
        status="another program",
        ours=ours,
        theirs=theirs,
        rtol=1e-12,
        unit="V",
    )


def test_deck_falls_as_the_field_does(tmp_path, outside):
    """The loaded coil with its impedance computed at every frequency, against the deck's short network."""
    position = pc.Position(name="one", wiring="slugs")
    load = pc.Load(cable_length="3 m", cable_capacitance="100 pF/m", amplifier_resistance="1 Mohm")
    instrument = pc.Instrument(pc.About(name="one"), (SLUGS, SCREWS), positions=(position,), load=load)
    hertz, theirs = run_deck(
        spice_deck(circuit(instrument, position), signal_emf(instrument, position)), tmp_path
    )
    omega = 2 * np.pi * hertz
    series = SLUGS.resistance.m + 1j * omega * SLUGS.coil.problem.linkages(hertz)
    load_admittance = 1j * omega * (300e-12 + SLUGS.capacitance.m) + 1e-6
    exact = 1 / (1 + series * load_admittance)
    outside(
        "output of a loaded coil, its impedance from the field at every frequency",
        source="ngspice, with the short network of the exported deck",
        status="another program",
        ours=abs(exact),
        theirs=abs(theirs),
        rtol=3e-3,
        unit="V",
    )
