"""Speed of the spine, each figure beside a peer measured in the same run.

    python tests/benchmarks/bench_spine.py

The peer of the solver is ngspice doing the same analyses in one process.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

import pickupcalc as pc
from pickupcalc.answers.response import signal_emf
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.netlist import spice_deck
from pickupcalc.physics.circuit.nodal import sweep
from pickupcalc.units import quantity, with_units

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "data" / "baritone_5.toml"
SETS, FREQUENCIES = 1000, 400


def best(action: Callable[[], object], repeats: int = 7) -> float:
    """Shortest of several runs, in seconds."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        action()
        times.append(time.perf_counter() - start)
    return min(times)


def process(*arguments: str) -> float:
    return best(lambda: subprocess.run([sys.executable, *arguments], capture_output=True, check=True), 5)


def units_edge() -> tuple[float, float]:
    """Seconds a call of the edge and of its SI twin."""

    @with_units(returns="hertz", inductance="henry", capacitance="farad")
    def resonance(*, inductance: float, capacitance: float) -> float:
        return 1 / (2 * np.pi * (inductance * capacitance) ** 0.5)

    given = {"inductance": quantity(2.4, "henry"), "capacitance": pc.Load(cable_length="3 m").cable}
    plain = {"inductance": 2.4, "capacitance": 3e-10}
    count = 5000
    edge = best(lambda: [resonance(**given) for _ in range(count)], 3)
    twin = best(lambda: [resonance.si(**plain) for _ in range(count)], 3)
    return edge / count, twin / count


def many_sets() -> tuple[float, float | None]:
    """Seconds for all sets at all frequencies: ours in one call, ngspice in one process."""
    instrument = pc.read_job(DEMO).instrument
    position = instrument.position("4 middle and bridge")
    rng = np.random.default_rng(1)

    def spread(nominal: object) -> object:
        return nominal * (1 + 0.1 * rng.standard_normal(SETS))  # type: ignore[operator]

    varied = replace(
        instrument,
        pickups=tuple(
            replace(p, resistance=spread(p.resistance), inductance=spread(p.inductance))
            for p in instrument.pickups
        ),
        controls=tuple(replace(c, track=spread(c.track)) for c in instrument.controls),
    )
    omega = 2 * np.pi * np.linspace(20, 20e3, FREQUENCIES)
    emf = signal_emf(instrument, position)
    ours = best(lambda: sweep(circuit(varied, position), omega, emf))
    if shutil.which("ngspice") is None:
        return ours, None
    deck = spice_deck(circuit(instrument, position), emf)
    kept = [line for line in deck.splitlines() if not line.startswith((".print", ".end", ".ac"))]
    resistor = next(line.split()[0] for line in kept if line.startswith("R"))
    loop = [
        f"repeat {SETS}",
        f"alter {resistor} = 6000",
        f"ac lin {FREQUENCIES} 20 20k",
        "destroy all",
        "end",
    ]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "many.cir"
        path.write_text("\n".join([*kept, ".control", *loop, ".endc", ".end", ""]))
        theirs = best(
            lambda: subprocess.run(["ngspice", "-b", str(path)], capture_output=True, check=False), 2
        )
    return ours, theirs


def main() -> None:
    nothing = process("-c", "import numpy")
    own, sheet = process("-c", "import pickupcalc"), process("-m", "pickupcalc", "sheet", str(DEMO))
    print(f"import pickupcalc            {own:8.3f} s   (import numpy {nothing:.3f} s)")
    print(f"sheet, five positions        {sheet:8.3f} s   with start-up")
    instrument = pc.read_job(DEMO).instrument
    hertz = quantity(np.geomspace(20, 20e3, 500), "hertz")
    one = best(lambda: pc.response(instrument, "4 middle and bridge", hertz))
    print(f"one position, 500 frequencies{one * 1e3:8.3f} ms")
    edge, twin = units_edge()
    print(f"units at the edge            {edge * 1e6:8.2f} us a call   (SI twin {twin * 1e6:.2f} us)")
    ours, theirs = many_sets()
    rate = f"{ours / SETS / FREQUENCIES * 1e9:.0f} ns a solve"
    peer = (
        "ngspice is not installed" if theirs is None else f"ngspice {theirs:.2f} s, {theirs / ours:.0f} times"
    )
    print(f"{SETS} sets x {FREQUENCIES} frequencies   {ours:8.4f} s   {rate}; {peer}")


if __name__ == "__main__":
    main()
