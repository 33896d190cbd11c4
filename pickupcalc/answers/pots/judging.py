"""A close look at one choice of parts: how far it misses, and how surely real parts meet the aim."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.pots.aims import Aim, check_aims, misses, total
from pickupcalc.answers.pots.blocks import Progress, in_blocks
from pickupcalc.answers.pots.bypass import BypassAdvice
from pickupcalc.answers.pots.fitting import Fitted, fitted
from pickupcalc.answers.pots.outlook import Outlook, advice, between, outlook, together
from pickupcalc.answers.pots.shape import View
from pickupcalc.answers.tolerance import UncertainInput, draw, inputs_of, varied
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.turning import turned
from pickupcalc.limits import SAMPLES, whole

LOWEST_HEIGHT = -10.0  # dB; how much flatter than that a dull response is matters to nobody

Array = NDArray[Any]


@dataclass(frozen=True)
class Study:
    """How real parts are drawn, and when an aim is met.

    Parameters
    ----------
    within : float
        dB (semitones, for a frequency) by which an aim may be missed and still be met.
    samples, seed, batch_share
        See `tolerance.draw`. All choices meet the same chances.

    Raises
    ------
    InputError
        For numbers out of range.
    """

    within: float = 1.0
    samples: int = 500
    seed: int = 1
    batch_share: float | None = None

    def __post_init__(self) -> None:
        whole("samples", self.samples, 2, SAMPLES)
        if not 0 < self.within < np.inf:
            raise InputError.of("within", f"{self.within:g} must be above 0 dB")
        if self.seed < 0:
            raise InputError.of("seed", f"{self.seed} must be at least 0")


@dataclass(frozen=True)
class Choice:
    """One combination of parts.

    Attributes
    ----------
    fitted : tuple of Fitted
    instrument : Instrument
        With these parts in, controls as they were set.
    miss_db : float
        How far it is from the aim with parts exactly of their values.
    chance : float
        Share of instruments with real parts that meet the aim in every position.
    samples : int
        How many instruments were drawn for it.
    shares : mapping of str to float
        Share of the variance of the peak's height (the mean over the positions) by
        cause, greatest first.
    positions : tuple of Outlook
    bypass : BypassAdvice or None
    """

    fitted: tuple[Fitted, ...]
    instrument: Instrument
    miss_db: float
    chance: float
    samples: int
    shares: Mapping[str, float]
    positions: tuple[Outlook, ...]
    bypass: BypassAdvice | None

    @property
    def chance_off(self) -> float:
        """Two standard deviations of the chance, for so many drawn; never below one of them."""
        return max(2 * np.sqrt(self.chance * (1 - self.chance) / self.samples), 1 / self.samples)

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
        chance, off = round(100 * self.chance), np.ceil(100 * self.chance_off)
        told.append(f"With real parts {chance} of 100 instruments meet the aim (give or take {off:.0f}).")
        if self.dominated_by:
            cause = f"{self.dominated_by[:1].upper()}{self.dominated_by[1:]}"
            told.append(f"{cause} blurs it most ({100 * self.shares[self.dominated_by]:.0f} %).")
        return " ".join(told)

    def as_json(self) -> dict[str, Any]:
        best = self.bypass.best if self.bypass else None
        return {
            "parts": [f.as_json() for f in self.fitted],
            "sentence": self.sentence,
            "miss_db": self.miss_db,
            "chance": self.chance,
            "chance_give_or_take": self.chance_off,
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


def judge(
    instrument: Instrument,
    aims: Sequence[Aim],
    positions: Sequence[Position],
    *,
    study: Study | None = None,
    inputs: Sequence[UncertainInput] | None = None,
    progress: Progress | None = None,
) -> Choice:
    """Look closely at the parts that an instrument has: miss, chance, volume down, tone down.

    Parameters
    ----------
    instrument : Instrument
        With one value for each part; the controls may stand anywhere.
    aims, positions, study
        As for `rank`.
    inputs : sequence of UncertainInput, optional
        What is uncertain, and how much; what the positions rest on if left out.
    progress : callable, optional
        See `blocks.in_blocks`.
    """
    study = study or Study()
    check_aims(aims)
    up = turned(instrument)
    uncertain = inputs_of(up, positions) if inputs is None else inputs
    drawn = draw(up, uncertain, study.samples, seed=study.seed, batch_share=study.batch_share)

    def look(rows: slice) -> Array:
        """Whether each instrument meets the aims; the mean height of its peaks; each peak and height."""
        real = varied(up, drawn.rows(rows))
        views = [View(real, p) for p in positions]
        missed = misses(aims, views)
        met = np.all([aim.met(missed[..., i], study.within) for i, aim in enumerate(aims)], axis=(0, 2))
        heights = [v.resonance.height_db for v in views]
        mean = np.mean([np.maximum(h, LOWEST_HEIGHT) for h in heights], axis=0)
        return columns(rows, met, mean, *(v.resonance.peak_frequency for v in views), *heights)

    met, mean_height, *each = in_blocks(look, study.samples, progress).T
    spread = zip(each[: len(positions)], each[len(positions) :], strict=True)
    aid = advice(instrument, positions)
    bypass = aid.best.bypass if aid and aid.best else None
    return Choice(
        fitted=fitted(instrument),
        instrument=instrument,
        miss_db=float(total(misses(aims, [View(up, p) for p in positions]))[0]),
        chance=float(met.mean()),
        samples=study.samples,
        shares=drawn.shares(mean_height),
        positions=tuple(
            outlook(instrument, p, bypass, peak=between(frequency), height=between(height))
            for p, (frequency, height) in zip(positions, spread, strict=True)
        ),
        bypass=aid,
    )


def columns(rows: slice, *columns: Any) -> Array:
    """One row for each set, also where a column is alike for all."""
    return np.stack([np.broadcast_to(c, rows.stop - rows.start) for c in columns], axis=-1)
