"""Circuits: one, and many at once, beside ngspice doing the same analyses in one process."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

import pickupcalc as pc
from pickupcalc.answers.pots.aims import Height
from pickupcalc.answers.pots.candidates import made
from pickupcalc.answers.pots.judging import Study
from pickupcalc.answers.pots.ranking import rank
from pickupcalc.answers.response import signal_emf
from pickupcalc.answers.tolerance import draw, inputs_of, varied
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.netlist import spice_deck
from pickupcalc.physics.circuit.network import Branch, Circuit
from pickupcalc.physics.circuit.nodal import sweep
from pickupcalc.units import quantity, with_units
from tests.benchmarks.frame import BARITONE, BASS, FEWER, Figure, Peer, best, growth, run, timed

FREQUENCIES = 400
OMEGA = 2 * np.pi * np.linspace(20, 20e3, FREQUENCIES)
SPICE_SETS = 1000  # ngspice's rate does not depend on how many it does


def figures() -> Iterator[Figure]:
    yield _units_edge()
    instrument = pc.read_job(BARITONE).instrument
    grows = growth("frequencies", (4000, 8000, 16_000, 32_000), lambda n: _one(instrument, n))
    yield timed("one position, 500 frequencies", _one(instrument, 500), limit=5e-3, growth=grows)
    grows = growth("pickups", (1, 2, 4, 8), lambda n: _one(_alike(n), 500))
    yield timed("three pickups in parallel, 500 frequencies", _one(_alike(3), 500), growth=grows)
    yield _many(BARITONE, "4 middle and bridge", 1000, None, 30)
    yield _many(BASS, "both", 10_000, 2.0, 50)
    yield _ranking()


def _units_edge() -> Figure:
    @with_units(returns="hertz", inductance="henry", capacitance="farad")
    def resonance(*, inductance: float, capacitance: float) -> float:
        return 1 / (2 * np.pi * (inductance * capacitance) ** 0.5)

    given = {"inductance": quantity(2.4, "henry"), "capacitance": quantity(3e-10, "farad")}
    plain = {"inductance": 2.4, "capacitance": 3e-10}
    peer = Peer("its SI twin", best(lambda: resonance.si(**plain)))
    return timed("units at the edge of a function", lambda: resonance(**given), peer=peer)


def _one(instrument: pc.Instrument, frequencies: int) -> Any:
    hertz = quantity(np.geomspace(20, 20e3, frequencies), "hertz")
    name = instrument.positions[-2].name if len(instrument.positions) > 1 else instrument.positions[0].name
    return lambda: pc.response(instrument, name, hertz)


def _alike(count: int) -> pc.Instrument:
    """An instrument whose only position joins so many pickups."""
    coil = {"resistance": "6 kohm", "inductance": "2.4 H", "capacitance": "110 pF"}
    names = [f"p{i}" for i in range(count)]
    pickups = tuple(pc.Pickup(name=name, **coil) for name in names)
    wiring = {"parallel": names} if count > 1 else names[0]
    return pc.Instrument(pc.About(name="bench"), pickups, positions=(pc.Position(name="all", wiring=wiring),))


def _study(job: Path, position: str, sets: int) -> tuple[Circuit, dict[str, Any]]:
    """One circuit with all its parts drawn `sets` times, and its sources."""
    instrument = pc.read_job(job).instrument
    chosen = instrument.position(position)
    drawn = draw(instrument, inputs_of(instrument, [chosen]), sets)
    return circuit(varied(instrument, drawn.factors), chosen), signal_emf(instrument, chosen)


def _many(job: Path, position: str, sets: int, limit: float | None, at_least: float) -> Figure:
    network, emf = _study(job, position, sets)

    def step_at(n: int) -> Any:
        part, _ = _study(job, position, n)
        return lambda: sweep(part, OMEGA, emf)

    peer = None
    if shutil.which("ngspice"):
        a_set, off = _ngspice(network, emf)
        peer = Peer(f"ngspice, {off:.0e} apart", sets * a_set, at_least)
    grows = growth("sets", [sets // 4, sets // 2, sets, 2 * sets], step_at)
    what = f"{sets:,} circuits x {FREQUENCIES} frequencies"
    return timed(what, lambda: sweep(network, OMEGA, emf), limit=limit, peer=peer, growth=grows, repeats=8)


def _ngspice(network: Circuit, emf: dict[str, Any]) -> tuple[float, float]:
    """Seconds a circuit, start-up taken off; and how far its last response is from ours."""
    deck = spice_deck(_one_set(network, 0), emf)
    kept = [line for line in deck.splitlines() if not line.startswith((".print", ".end", ".ac"))]
    analysis = f"ac lin {FREQUENCIES} 20 20k"

    def seconds(sets: int, folder: Path) -> float:
        loop = [
            line for row in range(sets) for line in (*_alterations(network, row), analysis, "destroy all")
        ]
        loop = [*loop[:-1], "set numdgt=12", "set wr_singlescale", "wrdata tip.txt v(tip)"]
        (folder / "many.cir").write_text("\n".join([*kept, ".control", *loop, ".endc", ".end", ""]))
        return min(run("ngspice", "-b", "many.cir", folder=folder, check=False)[0] for _ in range(2))

    with tempfile.TemporaryDirectory() as name:
        few, many = seconds(1, Path(name)), seconds(SPICE_SETS, Path(name))
        printed = np.loadtxt(Path(name) / "tip.txt")
    ours = sweep(_one_set(network, SPICE_SETS - 1), 2 * np.pi * printed[:, 0], emf)
    off = np.max(np.abs(ours - (printed[:, 1] + 1j * printed[:, 2]))) / np.max(np.abs(ours))
    return (many - few) / (SPICE_SETS - 1), float(off)


def _alterations(network: Circuit, row: int) -> list[str]:
    """ngspice's commands that give the circuit the values of one set."""
    commands = []
    for number, branch in enumerate(network.branches, 1):
        for letter, value in (("R", branch.resistance), ("L", branch.inductance), ("C", branch.capacitance)):
            if np.ndim(value):
                commands.append(f"alter {letter}{number} = {np.asarray(value)[row]:.9g}")
    return commands


def _one_set(network: Circuit, row: int) -> Circuit:
    def at(value: Any) -> Any:
        return np.asarray(value)[row] if np.ndim(value) else value

    def cut(b: Branch) -> Branch:
        return replace(
            b, resistance=at(b.resistance), inductance=at(b.inductance), capacitance=at(b.capacitance)
        )

    return replace(network, branches=tuple(map(cut, network.branches)))


def _ranking() -> Figure:
    instrument = pc.read_job(BASS).instrument
    neck = [instrument.position("neck")]
    candidates = made(instrument, neck)
    what = f"ranking of {candidates.count:,} choices of pots, the best drawn 500 times"
    return timed(
        what, lambda: rank(candidates, [Height(2, 4)], neck, study=Study(samples=500)), repeats=FEWER
    )
