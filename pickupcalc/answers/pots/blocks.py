"""Many sets, a few at a time: memory stays small, all cores work, and someone may watch."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from os import cpu_count
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.physics.circuit.nodal import keep_freed_memory

SETS = 256  # in one block: with some 300 frequencies its arrays stay near the processor's cache

Progress = Callable[[int], None]  # told how many more sets are done


def in_blocks(
    measure: Callable[[slice], NDArray[Any]], count: int, progress: Progress | None = None
) -> NDArray[Any]:
    """Measure sets block by block and join the results in order.

    Parameters
    ----------
    measure : callable
        Takes the rows to measure and returns an array with these rows along its
        first axis. Called from several threads.
    count : int
        Of sets, at least one.
    progress : callable, optional
        Called in the caller's thread after each block.
    """
    keep_freed_memory()
    rows = [slice(start, min(start + SETS, count)) for start in range(0, count, SETS)]
    found = []
    with ThreadPoolExecutor(cpu_count()) as pool:
        for block, result in zip(rows, pool.map(measure, rows), strict=True):
            found.append(result)
            if progress:
                progress(block.stop - block.start)
    return np.concatenate(found)
