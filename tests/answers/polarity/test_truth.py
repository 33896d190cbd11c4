"""The truth table against the circuit itself, and its words."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from pickupcalc import read_job
from pickupcalc.answers.polarity.truth import cases, truth
from pickupcalc.instrument.harness import winding
from pickupcalc.instrument.instrument import About, Instrument, Position
from pickupcalc.instrument.wiring import read_wiring
from pickupcalc.parts.pickup import Pickup
from pickupcalc.physics.circuit.nodal import solve
from tests.conftest import ROOT

WIRINGS = [
    {"parallel": ["a", "b"]},
    {"series": ["a", "b"]},
    {"series": ["a", {"reversed": "b"}]},
    {"parallel": ["a", "b", "c"]},
    {"parallel": [{"series": ["a", "b"]}, "c"]},
    {"series": [{"reversed": {"parallel": ["a", {"reversed": "b"}]}}, "c"]},
    {"parallel": [{"series": ["a", "b"]}, {"series": ["c", {"reversed": "d"}]}]},
]


@pytest.mark.parametrize("wiring", WIRINGS, ids=str)
def test_phase_and_hum_against_the_solved_circuit(wiring):
    """Alike pickups in the real network: hum cancels where the solved output is nothing, and so on."""
    tree = read_wiring(wiring)
    names = tree.pickups()
    alike = tuple(Pickup(name=n, resistance="6 kohm", inductance="2 H") for n in names)
    position = Position(name="all", wiring=tree)
    network = winding(Instrument(About(name="bench"), alike, positions=(position,)), position)
    transfer = {n: complex(h[0]).real for n, h in solve(network, np.zeros(1)).transfer.items()}
    found = cases(tree)
    assert len(found) == 4 ** (len(names) - 1)
    for case in found:
        hum = {n: -1 if n in case.sense_opposite else 1 for n in names}
        signal = {n: hum[n] * (-1 if n in case.magnet_opposite else 1) for n in names}
        parts = np.array([transfer[n] * hum[n] for n in names])
        left, most = abs(parts.sum()), abs(parts).sum()
        expected = "cancelling" if left < 1e-9 else "not cancelling" if left > most - 1e-9 else "partly"
        assert case.hum == expected
        alike_signs = len({np.sign(transfer[n]) * signal[n] for n in names}) == 1
        assert (case.phase == "in phase") == alike_signs


def test_words_and_json_of_the_bass():
    job = read_job(ROOT / "data" / "bass_12.toml").instrument
    found = truth(job, job.position("both"))
    told = " ".join(found.sentences())
    assert "neck: north up, counter-clockwise from cold to hot" in told
    assert "bridge points the other way: out of phase" in told
    assert "all shares point the same way and add" in told
    document = found.as_json()
    assert document["signal_left"] == 0.0
    assert document["hum_left"] == 1.0
    assert document["rows"][1]["magnet"] == "south"
    assert "<td>bridge</td>" in found._repr_html_()


def test_a_name_cannot_break_the_table():
    evil = Pickup(name="<script>", resistance="6 kohm", inductance="2 H")
    made = Instrument(About(name="bench"), (evil,))
    assert "<script>" not in truth(made, made.positions[0])._repr_html_()


def test_one_alone_and_the_unknown():
    unread = tuple(Pickup(name=n, resistance="6 kohm", inductance="2 H") for n in "ab")
    made = Instrument(About(name="bench"), unread)
    alone = truth(made, made.position("a"))
    assert alone.sentences()[-1].startswith("One pickup alone")
    both = replace(made, positions=(Position(name="both", wiring={"parallel": ["a", "b"]}),))
    found = truth(both, both.position("both"))
    assert (found.phase, found.hum, found.hum_left) == ("unknown", "unknown", None)
    assert "unknown until more is observed" in found.sentences()[-1]


def test_three_alike_hum_alike_in_every_position():
    """Common practice, no source: three pickups that are alike hum alike in every position."""
    three = tuple(
        Pickup(name=n, resistance="6 kohm", inductance="2 H", magnet="south", tap="positive") for n in "abc"
    )
    joined = [
        {kind: list(names)} for kind, names in product(("parallel", "series"), ("ab", "bc", "ac", "abc"))
    ]
    positions = tuple(Position(name=str(w), wiring=w) for w in joined)
    made = Instrument(About(name="bench"), three, positions=positions)
    for position in positions:
        found = truth(made, position)
        assert (found.phase, found.hum) == ("in phase", "not cancelling")
