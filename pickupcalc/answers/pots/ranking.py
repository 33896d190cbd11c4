"""Which pots and capacitor to fit: rank what there is against what is wanted, tolerance in view."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.pots.aims import Aim, check_aims, misses, total
from pickupcalc.answers.pots.blocks import Progress, in_blocks
from pickupcalc.answers.pots.candidates import Candidates
from pickupcalc.answers.pots.fitting import fitted
from pickupcalc.answers.pots.judging import Choice, Study, columns, judge
from pickupcalc.answers.pots.shape import View
from pickupcalc.answers.tolerance import inputs_of
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Position
from pickupcalc.instrument.turning import turned
from pickupcalc.limits import whole

SIMPLER = 0.2  # dB by which each resistor across a track must pay for itself
MOST_CHOICES = 50

Array = NDArray[Any]


@dataclass(frozen=True)
class Ranking:
    """The best choices for an aim.

    Attributes
    ----------
    instrument : str
    aim : str
        In words.
    positions : tuple of str
    considered : int
        Combinations that were solved.
    study : Study
    choices : tuple of Choice
        Best first.
    """

    instrument: str
    aim: str
    positions: tuple[str, ...]
    considered: int
    study: Study
    choices: tuple[Choice, ...]

    def as_json(self) -> dict[str, Any]:
        return {
            "format": 1,
            "instrument": self.instrument,
            "aim": self.aim,
            "within_db": self.study.within,
            "positions": list(self.positions),
            "considered": self.considered,
            "samples": self.study.samples,
            "seed": self.study.seed,
            "choices": [{"rank": i} | c.as_json() for i, c in enumerate(self.choices, 1)],
        }


def rank(
    candidates: Candidates,
    aims: Sequence[Aim],
    positions: Sequence[Position],
    *,
    top: int = 5,
    study: Study | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Ranking:
    """Order all candidates by how far they miss the aims, and look closely at the best.

    Of those that do not miss, the one nearest the middle of the aim comes first;
    a resistor across a track counts as a miss of 0.2 dB, since it has to be soldered.

    Parameters
    ----------
    candidates : Candidates
    aims : sequence of Aim
    positions : sequence of Position
        Those the parts must serve, all at once.
    top : int
        How many choices to look at closely.
    study : Study, optional
    progress : callable, optional
        Told sets done and sets in all.

    Raises
    ------
    InputError
        For no aims, numbers out of range, or no candidate that can be told.
    """
    study = study or Study()
    check_aims(aims)
    whole("top", top, 1, MOST_CHOICES)
    todo, done = candidates.count + study.samples * min(top, candidates.count), 0

    def told(more: int) -> None:
        nonlocal done
        done += more
        if progress:
            progress(done, todo)

    def look(rows: slice) -> Array:
        """How far each misses, and how far it is from the middle of the aim."""
        up = turned(candidates.fitted(rows))
        views = [View(up, p) for p in positions]
        off = sum(aim.off_centre(view) for aim in aims for view in views)
        return columns(rows, total(misses(aims, views)), off)

    miss, off_centre = in_blocks(look, candidates.count, told).T
    if not np.isfinite(miss).any():
        raise InputError.of("aim", "cannot be told of these parts: a position is silent or has no such peak")
    cost = np.round(miss + SIMPLER * candidates.resistors, 2)
    best = [int(row) for row in np.lexsort((off_centre, cost))[:top] if np.isfinite(miss[row])]
    return Ranking(
        instrument=candidates.instrument.about.name,
        aim=" and ".join(aim.text for aim in aims),
        positions=tuple(p.name for p in positions),
        considered=candidates.count,
        study=study,
        choices=tuple(_of_candidate(candidates, row, aims, positions, study, told) for row in best),
    )


def _of_candidate(
    candidates: Candidates,
    row: int,
    aims: Sequence[Aim],
    positions: Sequence[Position],
    study: Study,
    told: Progress,
) -> Choice:
    instrument = candidates.chosen(row)
    inputs = candidates.surer(row, inputs_of(instrument, positions))
    found = judge(instrument, aims, positions, study=study, inputs=inputs, progress=told)
    return replace(found, fitted=fitted(instrument, candidates.filled))
