"""Field maps and verdicts, timed beside magpylib in the same run.

python tests/benchmarks/bench_magnets.py
"""

from __future__ import annotations

import time
from collections.abc import Callable

import magpylib
import numpy as np

from pickupcalc.answers.magnet.field_map import field_map
from pickupcalc.answers.magnet.reversal import reversal
from pickupcalc.parts.jig import Blocks
from pickupcalc.parts.magnets import BarUnderPoles, Rods, TwinCoil
from pickupcalc.physics.magnetism.assembly import Assembly
from pickupcalc.physics.magnetism.pieces import block, rods

PLACES = [(float(x), 0.0) for x in (np.arange(6) - 2.5) * 0.0104]


def best_of(call: Callable[[], object], times: int = 7) -> float:
    took = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        took.append(time.perf_counter() - start)
    return min(took)


def main() -> None:
    across, up = np.meshgrid(np.linspace(-0.045, 0.045, 100), np.linspace(-0.04, 0.02, 100))
    points = np.stack([across, 0 * across, up], axis=-1)
    row = rods(PLACES, bottom=-0.017, top=0.0, radius=0.0024, slices=1)
    bar = block((0, 0, -0.0196), (0.06, 0.012, 0.005), cut=(1, 1, 1), axes=(2,))
    assembly, m = Assembly((row, bar)), np.r_[np.full(6, 5e5), 3e5]
    peer = magpylib.Collection(
        *[
            magpylib.magnet.Cylinder(
                dimension=(0.0048, 0.017), magnetization=(0, 0, 5e5), position=(x, 0, -0.0085)
            )
            for x, _ in PLACES
        ],
        magpylib.magnet.Cuboid(
            dimension=(0.06, 0.012, 0.005), magnetization=(0, 0, 3e5), position=(0, 0, -0.0196)
        ),
    )
    ours, theirs = (best_of(call) for call in (lambda: assembly.field(points, m), lambda: peer.getB(points)))
    print(
        f"100 x 100 map, six magnetised rods over a bar: {1e3 * ours:.0f} ms; magpylib {1e3 * theirs:.0f} ms,"
    )
    print(f"  {theirs / ours:.1f} times ours")
    steel = BarUnderPoles()
    field_map(steel)
    print(f"100 x 100 map, six steel poles over a bar: {1e3 * best_of(lambda: field_map(steel)):.0f} ms")
    kept = TwinCoil(keeper={})
    field_map(kept)
    print(f"100 x 100 map, twin coil with keepers: {1e3 * best_of(lambda: field_map(kept)):.0f} ms")
    wide = Blocks(gap="25 mm")
    for magnets, jig in ((Rods(), Blocks()), (steel, wide), (TwinCoil(), wide), (kept, wide)):
        reversal(magnets, jig)
        kept_by = " with keeper" if magnets.keeper else ""
        took = best_of(lambda magnets=magnets, jig=jig: reversal(magnets, jig), 3)
        print(f"verdict with margin and gap, {type(magnets).__name__}{kept_by}: {1e3 * took:.0f} ms")


if __name__ == "__main__":
    main()
