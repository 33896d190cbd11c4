"""Coils, beside finite elements at the same accuracy.

The peers are scikit-fem with tests/outside/axisymmetric_fem.py for one rod in a round coil, its mesh
refined until it agrees with a much finer one as well as the package does; and three_dimensional_fem.py for
one rod in a racetrack, an eighth of space, direct current, at the 1 % it reaches in some seconds.
"""

from __future__ import annotations

from collections.abc import Iterator
from time import perf_counter
from typing import Any

import numpy as np

from pickupcalc.answers.coil.report import coil_report
from pickupcalc.parts.coil import Coil
from pickupcalc.physics.winding.coil import self_inductance
from pickupcalc.physics.winding.coil_field import field
from pickupcalc.physics.winding.field_problem import FieldProblem
from pickupcalc.physics.winding.geometry import Rods, Winding
from pickupcalc.physics.winding.poles import _between
from pickupcalc.physics.winding.rods import make_body
from tests.benchmarks.frame import FEWER, Figure, Growth, Peer, best, timed
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


def figures() -> Iterator[Figure]:
    racetrack = Winding(55e-3, 2.5e-3, 3.2e-3, 11e-3, 7900)
    yield timed("air-core racetrack, 1e-6", lambda: self_inductance(racetrack), limit=0.05)
    poles = (2, 4, 8)
    times = [best(lambda n=n: _linkages(_with_poles(n)), FEWER, _forget) for n in poles]
    yield timed(
        "six conducting rods, bar, cover, 60 frequencies",
        lambda: _linkages(WHOLE),
        limit=1.0,
        before=_forget,
        growth=Growth("poles alone", poles, times),
    )
    yield timed(
        "the same with uncertainties and network",
        lambda: coil_report(Coil.of(WHOLE)).as_json(),
        before=_forget,
        repeats=FEWER,
    )
    yield _one_rod()
    yield _one_rod_in_a_racetrack()


def _forget() -> None:
    """What is kept between geometries."""
    _between.cache_clear()
    make_body.cache_clear()


def _with_poles(count: int) -> dict[str, Any]:
    pitch = f"{52 / (count - 1)} mm"
    poles = WHOLE["poles"] | {"count": count, "pitch": pitch}
    return {key: value for key, value in WHOLE.items() if key not in ("bar", "plates")} | {"poles": poles}


def _linkages(geometry: dict[str, Any]) -> Any:
    coil = Coil.of(geometry)
    return FieldProblem(coil.geometry, coil.rods(), coil.sheets()).linkages(HERTZ)


def _one_rod() -> Figure:
    """One steel rod in a round coil, six frequencies: time of both at the same error against a fine mesh."""
    coil, body = (3.4e-3, 3.6e-3, 9e-3, 9000), (2.5e-3, -8e-3, 8e-3, 100, 6e6)
    hertz = np.geomspace(100, 20e3, 6)
    exact = fem.inductance(coil, [body], hertz, finest=2e-5, growth=1.2)

    def ours() -> Any:
        return FieldProblem(Winding(0.0, *coil), Rods(1, 5e-3, 16e-3, 0.0, 0.0, 100, 6e6)).linkages(hertz)

    error = np.max(abs(ours() / exact - 1))
    for finest, coarser in ((4e-4, 2.0), (2e-4, 1.8), (1e-4, 1.5), (6e-5, 1.4), (4e-5, 1.3)):
        start = perf_counter()
        found = fem.inductance(coil, [body], hertz, finest=finest, growth=coarser)
        peer = Peer("axisymmetric elements", perf_counter() - start)
        if np.max(abs(found / exact - 1)) <= error:
            break
    return timed(f"one rod in a round coil, six frequencies, {error:.0e}", ours, peer=peer, before=_forget)


def _one_rod_in_a_racetrack() -> Figure:
    """The same in three dimensions, permeability 100: error against the package, which two meshes confirm."""
    coil = Winding(20e-3, 3.4e-3, 3.6e-3, 9e-3, 9000)

    def ours() -> float:
        problem = FieldProblem(coil, Rods(1, 5e-3, 16e-3, 0.0, 0.0, 100, 0.0))
        return problem.linkage(0.0).real - problem.air_inductance

    def source(points: Any) -> Any:
        return np.stack(field(coil, *points.T), 1)

    start = perf_counter()
    found = solid.added_inductance(source, 2.5e-3, 16e-3, 100, 8)
    peer = Peer(f"elements in space, {abs(found / ours() - 1):.1%} apart", perf_counter() - start)
    return timed("one rod in a racetrack, direct current, 0.1 %", ours, peer=peer, before=_forget)
