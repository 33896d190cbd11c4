"""Which pots and capacitor to fit: rank what there is against what is wanted, tolerance in view."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.aims import Aim, check_aims, misses, total
from pickupcalc.answers.blocks import in_blocks
from pickupcalc.answers.bypass import BypassAdvice
from pickupcalc.answers.candidates import Candidates
from pickupcalc.answers.fitting import Fitted, fitted
from pickupcalc.answers.outlook import Outlook, advice, outlook, together
from pickupcalc.answers.scatter import check_samples
from pickupcalc.answers.shape import View, turned
from pickupcalc.answers.tolerance import draw, inputs_of, varied
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument, Position

LOWEST_HEIGHT = -10.0  # dB; how much flatter than that a dull response is matters to nobody
MOST_CHOICES = 50
WITHIN = 1.0  # dB (or semitones) by which an aim may be missed and still be met

Array = NDArray[Any]


@dataclass(frozen=True)
class Choice:
    """One combination of parts.

    Attributes
    ----------
    rank : int
        1 is the best.
    fitted : tuple of Fitted
    instrument : Instrument
        With these parts in, controls as they were set.
    miss_db : float
        How far it is from the aim with parts exactly of their values.
    chance : float
        Share of instruments with real parts that meet the aim in every position.
    shares : mapping of str to float
        Share of the variance of the peak's height (the mean over the positions) by
        cause, greatest first.
    positions : tuple of Outlook
    bypass : BypassAdvice or None
    """

    rank: int
    fitted: tuple[Fitted, ...]
    instrument: Instrument
    miss_db: float
    chance: float
    shares: Mapping[str, float]
    positions: tuple[Outlook, ...]
    bypass: BypassAdvice | None

    @property
    def dominated_by(self) -> str | None:
        """The part whose tolerance blurs the choice most."""
        return next(iter(self.shares), None)

    @property
    def parts_text(self) -> str:
        """What to fit, in words; controls that get the same are told together."""
        kinds: dict[str, list[str]] = {}
        for f in self.fitted:
            kinds.setdefault(f.text, []).append(f.control)
        return "; ".join(f"{' and '.join(controls)}: {what}" for what, controls in kinds.items())

    @property
    def sentence(self) -> str:
        """The choice as a repairer would say it."""
        told = [f"{self.parts_text}.", together(self.positions)]
        told.append(f"With real parts {100 * self.chance:.0f} of 100 instruments meet the aim.")
        if self.dominated_by:
            share = 100 * self.shares[self.dominated_by]
            told.append(
                f"{self.dominated_by[:1].upper()}{self.dominated_by[1:]} blurs it most ({share:.0f} %)."
            )
        return " ".join(told)

    def as_json(self) -> dict[str, Any]:
        best = self.bypass.best if self.bypass else None
        return {
            "rank": self.rank,
            "parts": [f.as_json() for f in self.fitted],
            "sentence": self.sentence,
            "miss_db": self.miss_db,
            "chance": self.chance,
            "dominated_by": self.dominated_by,
            "variance_shares": dict(self.shares),
            "positions": [p.as_json() for p in self.positions],
            "bypass": None
            if best is None
            else {
                "joined": best.way,
                "capacitor_f": best.bypass.capacitor.magnitude,
                "resistor_ohm": getattr(best.bypass.resistor, "magnitude", None),
            },
        }


@dataclass(frozen=True)
class Ranking:
    """The best choices for an aim.

    Attributes
    ----------
    instrument : str
    aim : str
        In words.
    within : float
        dB by which the aim may be missed and still be met.
    positions : tuple of str
    considered : int
        Combinations that were solved.
    samples, seed : int
    choices : tuple of Choice
        Best first.
    """

    instrument: str
    aim: str
    within: float
    positions: tuple[str, ...]
    considered: int
    samples: int
    seed: int
    choices: tuple[Choice, ...]

    def as_json(self) -> dict[str, Any]:
        return {
            "format": 1,
            "instrument": self.instrument,
            "aim": self.aim,
            "within_db": self.within,
            "positions": list(self.positions),
            "considered": self.considered,
            "samples": self.samples,
            "seed": self.seed,
            "choices": [c.as_json() for c in self.choices],
        }


def rank(
    candidates: Candidates,
    aims: Sequence[Aim],
    positions: Sequence[Position],
    *,
    top: int = 5,
    within: float = WITHIN,
    samples: int = 500,
    seed: int = 1,
    batch_share: float | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Ranking:
    """Order all candidates by how far they miss the aims, and look closely at the best.

    Parameters
    ----------
    candidates : Candidates
    aims : sequence of Aim
    positions : sequence of Position
        Those the parts must serve, all at once.
    top : int
        How many choices to look at closely.
    within : float
        dB (semitones, for a frequency) by which each aim may be missed.
    samples, seed, batch_share
        See `tolerance.draw`. All choices meet the same chances.
    progress : callable, optional
        Told sets done and sets in all.

    Raises
    ------
    InputError
        For no aims, numbers out of range, or no candidate that can be told.
    """
    check_aims(aims)
    check_samples(samples)
    if not 1 <= top <= MOST_CHOICES:
        raise InputError.of("top", f"{top} is not a number from 1 to {MOST_CHOICES}")
    if not 0 < within < np.inf:
        raise InputError.of("within", f"{within:g} must be above 0 dB")
    if seed < 0:
        raise InputError.of("seed", f"{seed} must be at least 0")
    todo, done = candidates.count + samples * min(top, candidates.count), 0

    def told(more: int) -> None:
        nonlocal done
        done += more
        if progress:
            progress(done, todo)

    def look(rows: slice) -> Array:
        up = turned(candidates.fitted(rows))
        views = [View(up, p) for p in positions]
        off = sum(aim.off_centre(view) for aim in aims for view in views)
        return np.stack(np.broadcast_arrays(total(misses(aims, views)), off, np.empty(_length(rows)))[:2])

    miss, off_centre = in_blocks(lambda rows: look(rows).T, candidates.count, told).T
    if not np.isfinite(miss).any():
        raise InputError.of("aim", "cannot be told of these parts: a position is silent or has no such peak")
    best = [int(row) for row in np.lexsort((off_centre, np.round(miss, 2)))[:top] if np.isfinite(miss[row])]
    how = within, samples, seed, batch_share
    choices = [
        _choice(candidates, row, (i, float(miss[row])), aims, positions, how, told)
        for i, row in enumerate(best, 1)
    ]
    return Ranking(
        instrument=candidates.instrument.about.name,
        aim=" and ".join(aim.text for aim in aims),
        within=within,
        positions=tuple(p.name for p in positions),
        considered=candidates.count,
        samples=samples,
        seed=seed,
        choices=tuple(choices),
    )


def _choice(
    candidates: Candidates,
    row: int,
    found: tuple[int, float],
    aims: Sequence[Aim],
    positions: Sequence[Position],
    how: tuple[float, int, int, float | None],
    told: Callable[[int], None],
) -> Choice:
    within, samples, seed, batch_share = how
    instrument = candidates.chosen(row)
    up = turned(instrument)
    inputs = candidates.surer(row, inputs_of(up, positions))
    drawn = draw(up, inputs, samples, seed=seed, batch_share=batch_share)

    def look(rows: slice) -> Array:
        """Whether each instrument meets the aims, and the height of its peak, the mean of all positions."""
        real = varied(up, drawn.rows(rows))
        views = [View(real, p) for p in positions]
        missed = misses(aims, views)
        met = np.all([aim.met(missed[..., i], within) for i, aim in enumerate(aims)], axis=(0, 2))
        heights = np.mean([np.maximum(v.resonance.height_db, LOWEST_HEIGHT) for v in views], axis=0)
        return np.stack(np.broadcast_arrays(met, heights, np.empty(_length(rows)))[:2], axis=-1)

    met, heights = in_blocks(look, samples, told).T
    aid = advice(instrument, positions)
    bypass = aid.best.bypass if aid and aid.best else None
    return Choice(
        rank=found[0],
        fitted=fitted(instrument, candidates.filled),
        instrument=instrument,
        miss_db=found[1],
        chance=float(met.mean()),
        shares=drawn.shares(heights),
        positions=tuple(outlook(instrument, p, bypass) for p in positions),
        bypass=aid,
    )


def _length(rows: slice) -> int:
    return rows.stop - rows.start
