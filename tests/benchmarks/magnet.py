"""Field maps and verdicts on magnets, beside magpylib."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import magpylib
import numpy as np

from pickupcalc.answers.magnet import reversal as answer
from pickupcalc.answers.magnet.field_map import field_map
from pickupcalc.parts.jig import Blocks
from pickupcalc.parts.magnets import BarUnderPoles, Rods, TwinCoil
from pickupcalc.physics.magnetism.assembly import Assembly
from pickupcalc.physics.magnetism.pieces import block, rods
from tests.benchmarks.frame import FEWER, Figure, Peer, best, growth, timed

PLACES = [(float(x), 0.0) for x in (np.arange(6) - 2.5) * 0.0104]


def figures() -> Iterator[Figure]:
    across, up = np.meshgrid(np.linspace(-0.045, 0.045, 100), np.linspace(-0.04, 0.02, 100))
    points = np.stack([across, 0 * across, up], axis=-1)

    def mapped(slices: int) -> Any:
        row = rods(PLACES, bottom=-0.017, top=0.0, radius=0.0024, slices=slices)
        bar = block((0, 0, -0.0196), (0.06, 0.012, 0.005), cut=(1, 1, 1), axes=(2,))
        strengths = np.r_[np.linspace(4e5, 5e5, row.count), 3e5]
        return lambda: Assembly((row, bar)).field(points, strengths)

    steel = BarUnderPoles()
    theirs = _in_magpylib()
    peer = Peer("magpylib", best(lambda: theirs.getB(points)))
    grows = growth("slices a rod", (1, 2, 4, 8), mapped)
    yield timed("100 x 100 map, six rods over a bar", mapped(1), limit=0.2, peer=peer, growth=grows)
    kept = TwinCoil(keeper={})
    yield timed("100 x 100 map, six steel poles over a bar", lambda: field_map(steel))
    yield timed("100 x 100 map, twin coil with keepers", lambda: field_map(kept))
    for magnets, gap in ((Rods(), "20 mm"), (steel, "25 mm"), (TwinCoil(), "25 mm"), (kept, "25 mm")):
        jig = Blocks(gap=gap)
        keeper = " with keepers" if magnets.keeper else ""
        yield timed(
            f"verdict with margin and gap, {type(magnets).__name__}{keeper}",
            lambda magnets=magnets, jig=jig: answer.reversal(magnets, jig),
            before=_forget,
            repeats=FEWER,
        )


def _forget() -> None:
    """What is kept of one magnet from gap to gap."""
    answer._gap_for_fully.cache_clear()
    answer._attempt.cache_clear()


def _in_magpylib() -> Any:
    upright = [
        magpylib.magnet.Cylinder(
            dimension=(0.0048, 0.017), magnetization=(0, 0, 5e5), position=(x, 0, -0.0085)
        )
        for x, _ in PLACES
    ]
    bar = magpylib.magnet.Cuboid(
        dimension=(0.06, 0.012, 0.005), magnetization=(0, 0, 3e5), position=(0, 0, -0.0196)
    )
    return magpylib.Collection(*upright, bar)
