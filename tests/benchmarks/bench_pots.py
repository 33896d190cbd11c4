"""Speed and memory of many circuits at once, beside ngspice doing the same in one process.

    python tests/benchmarks/bench_pots.py

Each circuit is the long-scale bass with both volumes up, all its parts drawn
anew: what a tolerance study of pots solves.
"""

from __future__ import annotations

import resource
import shutil
import subprocess
import tempfile
import time
import tracemalloc
from collections.abc import Callable
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

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "data" / "bass_12.toml"
SETS, FREQUENCIES = 10_000, 400
SPICE_SETS = 1_000  # ngspice's rate does not depend on how many it does


def seconds(action: Callable[[], object]) -> np.ndarray:
    """By the clock on the wall, and of processors (other programs take from the first, not the second)."""

    def now() -> np.ndarray:
        own, others = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
        busy = sum(r.ru_utime + r.ru_stime for r in (own, others))
        return np.array([time.perf_counter(), busy])

    start = now()
    action()
    return now() - start


def best(action: Callable[[], object], repeats: int) -> np.ndarray:
    """Shortest of several runs."""
    return np.min([seconds(action) for _ in range(repeats)], axis=0)


def study(sets: int) -> tuple[Circuit, dict[str, Any]]:
    """One circuit with all its parts drawn `sets` times."""
    instrument = pc.read_job(DEMO).instrument
    both = instrument.position("both")
    drawn = draw(instrument, inputs_of(instrument, [both]), sets)
    return circuit(varied(instrument, drawn.factors), both), signal_emf(instrument, both)


def alterations(network: Circuit, row: int) -> list[str]:
    """ngspice's commands that give the circuit the values of one set."""
    told = []
    for number, branch in enumerate(network.branches, 1):
        for letter, value in (("R", branch.resistance), ("L", branch.inductance), ("C", branch.capacitance)):
            if np.ndim(value):
                told.append(f"alter {letter}{number} = {np.asarray(value)[row]:.9g}")
    return told


def one_set(network: Circuit, row: int) -> Circuit:
    def at(value: Any) -> Any:
        return np.asarray(value)[row] if np.ndim(value) else value

    def cut(b: Branch) -> Branch:
        return replace(
            b, resistance=at(b.resistance), inductance=at(b.inductance), capacitance=at(b.capacitance)
        )

    return replace(network, branches=tuple(map(cut, network.branches)))


def ngspice_rate(network: Circuit, emf: dict[str, Any]) -> tuple[np.ndarray, float]:
    """Circuits a second, start-up taken off; and how far its last response is from ours."""
    deck = spice_deck(one_set(network, 0), emf)
    kept = [line for line in deck.splitlines() if not line.startswith((".print", ".end", ".ac"))]
    analysis = f"ac lin {FREQUENCIES} 20 20k"

    def run(sets: int, folder: Path) -> np.ndarray:
        loop = [line for row in range(sets) for line in (*alterations(network, row), analysis, "destroy all")]
        loop = [*loop[:-1], "set numdgt=12", "set wr_singlescale", "wrdata tip.txt v(tip)"]
        (folder / "many.cir").write_text("\n".join([*kept, ".control", *loop, ".endc", ".end", ""]))
        command = ["ngspice", "-b", "many.cir"]
        return best(lambda: subprocess.run(command, cwd=folder, capture_output=True, check=False), 2)

    with tempfile.TemporaryDirectory() as name:
        few, many = run(1, Path(name)), run(SPICE_SETS, Path(name))
        table = np.loadtxt(Path(name) / "tip.txt")
    ours = sweep(one_set(network, SPICE_SETS - 1), 2 * np.pi * table[:, 0], emf)
    off = np.max(np.abs(ours - (table[:, 1] + 1j * table[:, 2]))) / np.max(np.abs(ours))
    return (SPICE_SETS - 1) / (many - few), float(off)


def peak_memory(network: Circuit, emf: dict[str, Any], omega: np.ndarray) -> float:
    """Of the solve with its result, MB, as Python's allocations are traced."""
    tracemalloc.start()
    sweep(network, omega, emf)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak / 1e6


def main() -> None:
    omega = 2 * np.pi * np.linspace(20, 20e3, FREQUENCIES)
    network, emf = study(SETS)
    half, _ = study(SETS // 2)
    runs = [
        (seconds(lambda: sweep(network, omega, emf)), seconds(lambda: sweep(half, omega, emf)))
        for _ in range(8)
    ]
    (ours, busy), (ours_half, _) = np.min(runs, axis=0)
    linear = ours / ours_half
    memory = peak_memory(network, emf, omega)
    result = SETS * FREQUENCIES * 16 / 1e6
    print(f"{SETS} circuits x {FREQUENCIES} frequencies {ours:8.3f} s   {SETS / ours:,.0f} circuits a second")
    print(f"twice the circuits take       {linear:8.2f} times as long")
    print(f"memory at its peak            {memory:8.0f} MB  of which the result {result:.0f} MB")
    if shutil.which("ngspice"):
        rate, off = ngspice_rate(network, emf)
        print(
            f"ngspice, same circuits        {rate[0]:8.0f} a second; ours {SETS / ours / rate[0]:.0f} times"
        )
        told = f"{SETS / busy:,.0f} and {rate[1]:,.0f} a second"
        print(f"on one core                   {SETS / busy / rate[1]:8.0f} times  ({told} of processor time)")
        print(f"its response and ours differ  {off:8.1e}")
    else:
        print("ngspice is not installed: no peer to compare with")
    instrument = pc.read_job(DEMO).instrument
    neck = [instrument.position("neck")]
    candidates = made(instrument, neck, across=True)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    print(f"the whole process at its peak {peak:8.0f} MB  resident, libraries included")
    ranked = best(lambda: rank(candidates, [Height(2, 4)], neck, study=Study(samples=500)), 2)[0]
    print(f"ranking of {candidates.count} choices {ranked:14.2f} s   each of the best 5 drawn 500 times")


if __name__ == "__main__":
    main()
