"""What pots are chosen for: each aim says by how much an instrument misses it.

A miss is in decibels; a semitone of frequency (6 %) counts as one decibel.
Controls stand fully up, unless an aim is about turning them.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.pots.shape import DULLEST, FLAT_Q, View, distance_db
from pickupcalc.errors import Fault, InputError, quoted
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.instrument.turning import turned
from pickupcalc.units import engineering, quantity, to_si

Array = NDArray[Any]


class Aim(ABC):
    """One thing wanted of every position."""

    @property
    @abstractmethod
    def text(self) -> str:
        """The aim in words, to follow "chosen for"."""

    @abstractmethod
    def miss(self, view: View) -> Array:
        """By how much a position misses, shape (sets,); 0 at the aim, nan where it cannot be told."""

    def met(self, missed: Array, within: float) -> Array:
        """Whether a miss still counts as meeting the aim."""
        return missed <= within

    def off_centre(self, view: View) -> Array:
        """Which of several that do not miss is the better, shape (sets,): 0 is the best."""
        return np.zeros(1)


@dataclass(frozen=True)
class Height(Aim):
    """A peak between `low` and `high` dB above the level at 100 Hz."""

    low: float
    high: float

    def __post_init__(self) -> None:
        if not (np.isfinite(self.low) and np.isfinite(self.high) and self.low <= self.high):
            raise InputError.of("height", f"{self.low:g} to {self.high:g} dB is not a band, lower end first")

    @property
    def text(self) -> str:
        return f"a peak {self.low:g} to {self.high:g} dB high"

    def miss(self, view: View) -> Array:
        height = view.resonance.height_db
        return np.maximum(np.maximum(self.low - height, height - self.high), 0.0)

    def met(self, missed: Array, within: float) -> Array:
        """The band is the tolerance."""
        return missed <= 0

    def off_centre(self, view: View) -> Array:
        """In the middle of the band, real parts have room to both sides."""
        return np.abs(view.resonance.height_db - (self.low + self.high) / 2)


@dataclass(frozen=True)
class Flat(Aim):
    """Maximally flat: the Q of Butterworth's second-order low-pass, 1/sqrt(2)."""

    text = "a maximally flat response"

    def miss(self, view: View) -> Array:
        with np.errstate(divide="ignore"):
            return np.abs(np.maximum(20 * np.log10(view.resonance.q / FLAT_Q), DULLEST))


@dataclass(frozen=True, eq=False)
class Keep(Aim):
    """Each position's peak as it was: natural frequency and height together.

    With the height, the Q is as it was too, and then the peak stands where it stood.

    Attributes
    ----------
    peaks : mapping of str to (float, float)
        Natural frequency in Hz and height in dB by position; `of` measures them.
    """

    peaks: Mapping[str, tuple[float, float]]
    text = "each position's peak as it was"

    @classmethod
    def of(cls, before: Instrument) -> Keep:
        """The peaks of an instrument, its controls fully up."""
        up = turned(before)
        views = [View(up, p) for p in before.positions]
        return cls(
            {v.position.name: (float(v.natural_frequency[0]), float(v.resonance.height_db[0])) for v in views}
        )

    def miss(self, view: View) -> Array:
        if view.position.name not in self.peaks:
            told = f'"{view.position.name}" was not there before, only: {quoted(self.peaks)}'
            raise InputError.of("position", told)
        frequency, height = self.peaks[view.position.name]
        return np.hypot(semitones(view.natural_frequency, frequency), view.resonance.height_db - height)


@dataclass(frozen=True, eq=False)
class Match(Aim):
    """The response of another pickup or position, loudness apart, between 100 Hz and 8 kHz.

    Attributes
    ----------
    name : str
        Whose response it is.
    curve_db : ndarray
        On `shape.comparison_grid()`; `of` measures it.
    """

    name: str
    curve_db: Array

    @classmethod
    def of(cls, model: Instrument, position: str) -> Match:
        """The response of a position, its controls fully up."""
        return cls(position, View(turned(model), model.position(position)).curve_db[0])

    @property
    def text(self) -> str:
        return f'the response of "{self.name}"'

    def miss(self, view: View) -> Array:
        return distance_db(view.curve_db, self.curve_db)


@dataclass(frozen=True)
class ToneDown(Aim):
    """With the tone fully down, the second peak at a frequency; positions without a tone are left out."""

    frequency: Any

    def __post_init__(self) -> None:
        hertz = to_si(self.frequency, "hertz", "tone down")
        if not hertz > 0:
            raise InputError.of("tone down", f"{self.frequency} must be above 0 Hz")
        object.__setattr__(self, "frequency", quantity(hertz, "hertz"))

    @property
    def text(self) -> str:
        return f"a peak at {engineering(self.frequency.m, 'Hz')} with the tone down"

    def miss(self, view: View) -> Array:
        found = view.second_peak
        return np.zeros(1) if found is None else semitones(found[0], self.frequency.m)


def semitones(frequency: Any, other: Any) -> Array:
    """Distance of two frequencies."""
    return np.abs(12 * np.log2(np.asarray(frequency) / other))


def misses(aims: Sequence[Aim], views: Sequence[View]) -> Array:
    """All misses, shape (sets, positions, aims)."""
    columns = [[np.atleast_1d(aim.miss(view)) for aim in aims] for view in views]
    sets = max(m.size for row in columns for m in row)
    return np.stack([np.stack([np.broadcast_to(m, sets) for m in row], axis=-1) for row in columns], axis=1)


def total(missed: Array) -> Array:
    """One number for a ranking, shape (sets,): aims add as squares, positions as their mean square."""
    squares = np.sqrt((missed**2).sum(axis=-1).mean(axis=-1))
    return np.where(np.isnan(squares), np.inf, squares)


def check_aims(aims: Sequence[Aim]) -> None:
    if not aims:
        raise InputError(Fault("aim", "is missing; say what the pots are to do"))
