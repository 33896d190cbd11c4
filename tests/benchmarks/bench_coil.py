"""How fast a coil is computed, beside axisymmetric finite elements at the same accuracy.

    python tests/benchmarks/bench_coil.py

The peer is scikit-fem, run in the same process: tests/outside/axisymmetric_fem.py for one rod in a round
coil, its mesh refined until it agrees with a much finer one as well as the package does; and
three_dimensional_fem.py for one rod in a racetrack, an eighth of space, direct current, at the 1 % it reaches
in some seconds.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from time import perf_counter

os.environ.setdefault(
    "OPENBLAS_NUM_THREADS", "1"
)  # the matrices are small; threads would only wait for each other
sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np

from pickupcalc.answers.coil.report import coil_report
from pickupcalc.parts.coil import Coil
from pickupcalc.physics.winding.coil import self_inductance
from pickupcalc.physics.winding.coil_field import field
from pickupcalc.physics.winding.field_problem import FieldProblem
from pickupcalc.physics.winding.geometry import Rods, Winding
from pickupcalc.physics.winding.poles import _between
from pickupcalc.physics.winding.rods import make_body
from pickupcalc.show.coil_explorers import henries_explorer
from tests.outside import axisymmetric_fem as fem
from tests.outside import three_dimensional_fem as solid

WHOLE = {
    "straight": "55 mm", "inner_radius": "2.5 mm", "height": "11 mm", "build": "3.2 mm", "turns": 7900,
    "wire": {"awg": 42},
    "poles": {"count": 6, "diameter": "4.8 mm", "length": "17 mm", "pitch": "10.4 mm",
              "material": "low-carbon steel"},
    "bar": {"length": "60 mm", "width": "12 mm", "thickness": "5 mm", "material": "hard ferrite"},
    "plates": [{"material": "brass", "thickness": "0.5 mm", "length": "70 mm", "width": "20 mm",
                "height_above_centre": "9.5 mm"}],
}  # fmt: skip
HERTZ = np.geomspace(20, 20e3, 60)


def best(task, runs=5, forget=True):
    """Shortest of some runs, seconds; what is kept between geometries is forgotten before each."""
    times = []
    for _ in range(runs):
        if forget:
            _between.cache_clear()
            make_body.cache_clear()
        start = perf_counter()
        task()
        times.append(perf_counter() - start)
    return min(times)


def whole():
    coil = Coil.of(WHOLE)
    return FieldProblem(coil.geometry, coil.rods(), coil.sheets()).linkages(HERTZ)


def one_rod():
    """One steel rod in a round coil, six frequencies: time and error of both, against a fine mesh."""
    coil, body = (3.4e-3, 3.6e-3, 9e-3, 9000), (2.5e-3, -8e-3, 8e-3, 100, 6e6)
    hertz = np.geomspace(100, 20e3, 6)
    exact = fem.inductance(coil, [body], hertz, finest=2e-5, growth=1.2)

    def ours():
        return FieldProblem(Winding(0.0, *coil), Rods(1, 5e-3, 16e-3, 0.0, 0.0, 100, 6e6)).linkages(hertz)

    error = np.max(abs(ours() / exact - 1))
    rows = [("this package", best(ours), error)]
    for finest, growth in ((4e-4, 2.0), (2e-4, 1.8), (1e-4, 1.5), (6e-5, 1.4), (4e-5, 1.3)):
        start = perf_counter()
        found = fem.inductance(coil, [body], hertz, finest=finest, growth=growth)
        seconds = perf_counter() - start
        rows.append((f"elements of {finest * 1e6:.0f} um", seconds, np.max(abs(found / exact - 1))))
        if rows[-1][2] <= error:
            break
    return rows


def one_rod_in_a_racetrack():
    """The same in three dimensions, permeability 100: error against the package, which two meshes confirm."""
    coil = Winding(20e-3, 3.4e-3, 3.6e-3, 9e-3, 9000)

    def ours():
        problem = FieldProblem(coil, Rods(1, 5e-3, 16e-3, 0.0, 0.0, 100, 0.0))
        return problem.linkage(0.0).real - problem.air_inductance

    def source(points):
        return np.stack(field(coil, *points.T), 1)

    start = perf_counter()
    found = solid.added_inductance(source, 2.5e-3, 16e-3, 100, 8)
    return best(ours), perf_counter() - start, abs(found / ours() - 1)


def told(what, seconds):
    print(f"{what:52} {1e3 * seconds:8.1f} ms")


def main():
    racetrack = Winding(55e-3, 2.5e-3, 3.2e-3, 11e-3, 7900)
    told("air-core racetrack", best(lambda: self_inductance(racetrack)))
    told("six conducting rods, bar, cover, 60 frequencies", best(whole))
    told("the same, with uncertainties and network", best(lambda: coil_report(Coil.of(WHOLE)).as_json(), 3))
    explorer = henries_explorer()
    turned = iter(range(7000, 9000, 50))

    def turn():
        explorer.dials["turns"].slider.value = next(turned)

    told("one turn of a dial, redrawn", best(turn, 9, forget=False))
    rows = one_rod()
    for name, seconds, error in rows:
        told(f"one rod, {name}, error {100 * error:.4f} %", seconds)
    print(f"factor over axisymmetric elements at the same accuracy {rows[-1][1] / rows[0][1]:6.0f}")
    ours, theirs, error = one_rod_in_a_racetrack()
    told("one rod in a racetrack, this package", ours)
    told(f"three-dimensional elements, {100 * error:.1f} % apart", theirs)
    print(f"factor over three-dimensional elements {theirs / ours:22.0f}")


if __name__ == "__main__":
    main()
