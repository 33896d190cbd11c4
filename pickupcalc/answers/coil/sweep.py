"""Many coils at once: a sweep over geometries, here or on any executor."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import Executor, as_completed
from dataclasses import dataclass, replace
from itertools import product
from math import prod
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.errors import InputError
from pickupcalc.limits import COMBINATIONS, at_most
from pickupcalc.parts.coil import Coil
from pickupcalc.physics.winding.field_problem import FieldProblem
from pickupcalc.physics.winding.geometry import Rods, Sheet, Winding
from pickupcalc.units import quantity

if TYPE_CHECKING:
    from pint import Quantity

Problem = tuple[Winding, Rods | None, tuple[Sheet, ...]]
CHUNK = 10  # coils a task: long enough to outweigh sending it, short enough for the progress bar


@dataclass(frozen=True)
class Sweep:
    """Figures of many coils, each an array of shape (coils,), in the order they were given."""

    turns: np.ndarray
    resistance: Quantity
    air_inductance: Quantity
    inductance: Quantity
    capacitance: Quantity

    def as_json(self) -> dict[str, Any]:
        return {
            "turns": self.turns.tolist(),
            "resistance_ohm": self.resistance.m.tolist(),
            "air_inductance_h": self.air_inductance.m.tolist(),
            "inductance_h": self.inductance.m.tolist(),
            "capacitance_f": self.capacitance.m.tolist(),
        }


def variants(coil: Coil, choices: Mapping[str, Iterable[Any]]) -> list[Coil]:
    """Every combination of the values given for a coil's keys; the last key changes fastest.

    Combinations that no coil can have (turns that do not fit) are refused with their values named.
    """
    keys, lists = list(choices), [list(values) for values in choices.values()]
    at_most("choices", prod(map(len, lists)), COMBINATIONS, "combinations")
    made = []
    for values in product(*lists):
        try:
            made.append(replace(coil, **dict(zip(keys, values, strict=True))))
        except InputError as error:
            where = ", ".join(f"{k} {v}" for k, v in zip(keys, values, strict=True))
            raise InputError(error.under(where)) from None
    return made


def sweep(
    coils: Sequence[Coil],
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Sweep:
    """Low-frequency figures of many coils.

    Parameters
    ----------
    coils : sequence of Coil
    executor : concurrent.futures.Executor, optional
        Where to compute; here and now if left out. ``dask.distributed.Client.get_executor()`` is one too.
    progress : callable, optional
        Called with the number of coils done and of all, such as ``show`` of a ``show.progress.ProgressBar``.

    Returns
    -------
    Sweep
    """
    problems: list[Problem] = [(c.geometry, c.rods(), c.sheets()) for c in coils]
    chunks = [slice(i, i + CHUNK) for i in range(0, len(problems), CHUNK)]
    found = np.zeros((len(problems), 2))
    done = 0
    for where, values in _computed(problems, chunks, executor):
        found[where] = values
        done += len(values)
        if progress:
            progress(done, len(problems))
    return Sweep(
        turns=np.array([c.geometry.turns for c in coils]),
        resistance=quantity(np.array([c.dc_resistance for c in coils]), "ohm"),
        air_inductance=quantity(found[:, 0], "henry"),
        inductance=quantity(found[:, 1], "henry"),
        capacitance=quantity(np.array([c.own_capacitance for c in coils]), "farad"),
    )


def _computed(
    problems: list[Problem], chunks: list[slice], executor: Executor | None
) -> Iterable[tuple[slice, list[tuple[float, float]]]]:
    if executor is None:
        for chunk in chunks:
            yield chunk, inductances(problems[chunk])
        return
    waiting = {executor.submit(inductances, problems[chunk]): chunk for chunk in chunks}
    try:
        for future in as_completed(waiting):
            yield waiting[future], future.result()
    finally:
        for future in waiting:
            future.cancel()


def inductances(problems: list[Problem]) -> list[tuple[float, float]]:
    """Inductance in air and with metal (H) of each problem: the task that an executor runs."""
    out = []
    for winding, rods, sheets in problems:
        problem = FieldProblem(winding, rods, sheets)
        out.append((problem.air_inductance, float(problem.linkage(0.0).real)))
    return out
