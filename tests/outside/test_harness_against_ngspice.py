"""Every kind of harness, solved here and by ngspice from the exported deck.

The deck is what `pickupcalc netlist` prints, so export and solver check each other.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import pickupcalc as pc
from pickupcalc.answers.response import signal_emf
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.netlist import spice_deck
from pickupcalc.parts.controls import Bypass
from pickupcalc.physics.circuit.network import Branch, Circuit, Coupling
from pickupcalc.physics.circuit.nodal import solve
from tests.outside.spice import needs_ngspice, run_deck

pytestmark = needs_ngspice
SUBJECT = "circuits"

A = pc.Pickup(
    name="a", resistance="6.1 kohm", inductance="2.45 H", capacitance="110 pF", loss_resistance="1.2 Mohm",
    magnet="north", tap="positive",
)  # fmt: skip
B = pc.Pickup(
    name="b", resistance="7.4 kohm", inductance="3.6 H", capacitance="95 pF", sensitivity=1.2,
    magnet="south", tap="negative",
)  # fmt: skip
C = pc.Pickup(name="c", resistance="4.2 kohm", inductance="2.1 H", magnet="south", tap="positive")
AUDIO = pc.Taper.of("audio")
LOAD = pc.Load(cable_length="4.5 m", cable_capacitance="110 pF/m", amplifier_capacitance="25 pF")


def volume(**values):
    return pc.Volume(**{"track": "250 kohm", "taper": AUDIO} | values)


def tone(**values):
    return pc.Tone(**{"track": "500 kohm", "taper": AUDIO, "capacitor": "22 nF"} | values)


SERIES_BYPASS = Bypass(capacitor="1 nF", resistor="130 kohm")
PARALLEL_BYPASS = Bypass(capacitor="680 pF", resistor="150 kohm", joined="parallel")

HARNESSES = {
    "no controls": ("a", ()),
    "volume and tone full": ("a", (volume(), tone())),
    "volume at half, fed at end": ("a", (volume(setting=0.5), tone(setting=0.3))),
    "volume at half, fed at wiper": ("a", (volume(setting=0.5, fed_at="wiper"), tone())),
    "tone after volume": ("a", (volume(setting=0.4), tone(placed="after volume", setting=0.0))),
    "bypass capacitor alone": ("a", (volume(setting=0.3, bypass=Bypass(capacitor="470 pF")),)),
    "bypass in series": ("a", (volume(setting=0.5, bypass=SERIES_BYPASS), tone())),
    "bypass in parallel": ("a", (volume(setting=0.5, bypass=PARALLEL_BYPASS), tone())),
    "parallel out of phase": ({"parallel": ["a", "b"]}, (volume(), tone())),
    "series, one reversed": ({"series": ["a", {"reversed": "b"}]}, (volume(setting=0.8),)),
    "own volumes fed at wiper": (
        {"parallel": ["a", "b"]},
        (volume(pickups=["a"], fed_at="wiper", setting=0.6), volume(pickups=["b"], fed_at="wiper"), tone()),
    ),
    "own volumes in series": (
        {"series": ["a", "b"]},
        (volume(pickups=["a"], setting=0.7), volume(pickups=["b"], setting=0.2)),
    ),
    "one pickup's volume at zero": (
        {"parallel": ["a", "b"]},
        (volume(pickups=["a"], setting=0.0), volume(pickups=["b"], fed_at="wiper", setting=0.0)),
    ),
    "own tone, shared by two of three": (
        {"parallel": ["a", "b", "c"]},
        (tone(pickups=["a", "b"], setting=0.1), volume(pickups=["a", "b"], setting=0.5), volume()),
    ),
    "blend off centre": (
        {"parallel": ["a", "b"]},
        (pc.Blend(track="500 kohm", pickups=["a", "b"], setting=0.3),),
    ),
    "series beside a third": ({"parallel": [{"series": ["a", "b"]}, "c"]}, (volume(), tone())),
    "two series pairs side by side": (
        {"parallel": [{"series": ["a", "b"]}, {"series": ["c", "d"]}]},
        (volume(), tone()),
    ),
    "parts at an item": (
        {"parallel": [
            {"item": "a", "series_capacitor": "4.7 nF", "series_resistor": "1 kohm"},
            {"item": {"reversed": "b"}, "parallel_resistor": "100 kohm", "parallel_capacitor": "330 pF"},
        ]},
        (volume(), tone()),
    ),
    "two volumes after each other": ("a", (volume(setting=0.9), volume(track="1 Mohm", setting=0.5), tone())),
}  # fmt: skip


def both(network, emf, folder):
    """Complex output at 40 frequencies against itself or the volt that feeds it, the larger."""
    frequencies, theirs = run_deck(spice_deck(network, emf, points_per_decade=13), folder)
    assert frequencies.size == 40
    ours = solve(network, 2 * np.pi * frequencies).mix(emf)
    agreement = {"ours": ours, "theirs": theirs, "of": np.maximum(abs(theirs), 1.0), "rtol": 1e-12}
    return agreement | {"source": "ngspice", "status": "another program", "unit": "V"}


@pytest.mark.parametrize("name", HARNESSES)
def test_complex_output(name, tmp_path, outside):
    wiring, controls = HARNESSES[name]
    d = replace(C, name="d", tap="negative")
    position = pc.Position(name="p", wiring=wiring)
    instrument = pc.Instrument(pc.About(name=name), (A, B, C, d), controls, (position,), LOAD)
    emf = signal_emf(instrument, position)
    found = both(circuit(instrument, position), emf, tmp_path)
    outside("complex output of every kind of harness", **found)


@pytest.mark.parametrize("load", [pc.Load(cable_length="0 m"), pc.Load(amplifier_resistance="10 kohm")])
def test_extreme_loads(load, tmp_path, outside):
    position = pc.Position(name="p", wiring="a")
    instrument = pc.Instrument(pc.About(name="x"), (A,), (volume(),), (position,), load)
    found = both(circuit(instrument, position), {"a": 1.0}, tmp_path)
    outside("complex output without cable, and into a low input", **found)


def test_mutual_inductance_and_loss_sections(tmp_path, outside):
    network = Circuit(
        (
            Branch("a", "s", "m", 4e3, 2.0, sections=((300e3, 0.4), (40e3, 0.1)), emf=True),
            Branch("b", "m", "t", 4.2e3, 2.2, sections=((250e3, 0.5),), emf=True),
            Branch("own", "s", "m", capacitance=60e-12),
            Branch("cable", "s", "t", capacitance=500e-12),
            Branch("amplifier", "s", "t", resistance=1e6),
        ),
        "t",
        "s",
        (Coupling("a", "b", 0.25),),
    )
    found = both(network, {"a": 1.0, "b": -0.7}, tmp_path)
    outside("complex output with mutual inductance and loss sections", **found)
