"""The shape of a response as numbers to aim at: damping with or without a peak, distance of two curves."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pickupcalc.answers.positions import REFERENCE
from pickupcalc.answers.response import decibels, signal_emf
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.parts.controls import Tone, Volume
from pickupcalc.physics.curves import falls_below, highest_peak, q_of_fall, q_of_height
from pickupcalc.physics.nodal import solve

LOW, HIGH = 100.0, 8000.0  # Hz, between which curves are compared
POINTS = 77  # twelve to an octave, about
# How much a difference counts, by frequency: the octaves where a peak stands count twice. A choice of ours.
WEIGHTS = {100.0: 1.0, 1000.0: 1.0, 2000.0: 2.0, 5000.0: 2.0, 8000.0: 1.0}
FLAT_Q = 1 / np.sqrt(2)

Array = NDArray[Any]


def turned(instrument: Instrument, *, volume: ArrayLike = 1.0, tone: ArrayLike = 1.0) -> Instrument:
    """The instrument with all its volumes and all its tones at these rotations, each of shape (sets,).

    A blend stays where it is.
    """
    at: dict[type, Any] = {Volume: np.asarray(volume)[()], Tone: np.asarray(tone)[()]}
    controls = (replace(c, setting=at[type(c)]) if type(c) in at else c for c in instrument.controls)
    return replace(instrument, controls=tuple(controls))


def peak_or_corner(instrument: Instrument, position: Position) -> tuple[Array, Array, Array]:
    """Where a position's peak is, how high, and its Q: each defined without a peak too.

    Returns
    -------
    frequency, height_db, q : ndarray, shape (sets,)
        Without a peak above the level at 100 Hz: the cut-off's frequency; the Q of
        the second-order low-pass that falls alike; and as height, a number below 0,
        20 log10 of that Q over the maximally flat one, so that height and Q go
        through the flat response without a step. nan where the position is silent.
    """
    network, emf = circuit(instrument, position), signal_emf(instrument, position)

    def gain(hertz: Array) -> Array:
        return np.abs(solve(network, 2 * np.pi * hertz).mix(emf))

    level = np.atleast_1d(gain(np.array([REFERENCE]))[..., 0])
    frequency, height = highest_peak(gain)
    level, frequency, height = np.broadcast_arrays(level, frequency, height)
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = height / level
    peaked = ratio > 1
    if peaked.all():
        return frequency, decibels(ratio), q_of_height(ratio)
    start = np.full(level.shape, REFERENCE)
    half, tenth = (falls_below(gain, level / np.sqrt(x), start) for x in (2, 10))
    fallen = q_of_fall(half, tenth)
    q = np.where(peaked, q_of_height(ratio), np.minimum(fallen, FLAT_Q))
    with np.errstate(divide="ignore"):
        short = np.maximum(20 * np.log10(q / FLAT_Q), -60.0)
    return np.where(peaked, frequency, half), np.where(peaked, decibels(ratio), short), q


def comparison_grid() -> Array:
    """The frequencies at which curves are compared, Hz."""
    return np.geomspace(LOW, HIGH, POINTS)


def distance_db(level_db: Array, wanted_db: Array) -> Array:
    """How differently shaped two curves are, in dB: weighted, root of the mean square, loudness apart.

    Parameters
    ----------
    level_db, wanted_db : ndarray, shape (..., POINTS)
        On `comparison_grid()`.

    Returns
    -------
    ndarray, shape (...)
    """
    hertz = comparison_grid()
    weight = np.interp(np.log(hertz), np.log(list(WEIGHTS)), list(WEIGHTS.values()))
    weight = weight / weight.sum()
    off = level_db - wanted_db
    mean = (off * weight).sum(axis=-1, keepdims=True)
    return np.sqrt(((off - mean) ** 2 * weight).sum(axis=-1))


def levels_db(instrument: Instrument, position: Position, hertz: Array | None = None) -> Array:
    """Level at the amplifier, dB, shape (sets, frequencies); one set where nothing varies.

    On `comparison_grid()` if no frequencies are given.
    """
    hertz = comparison_grid() if hertz is None else hertz
    solution = solve(circuit(instrument, position), 2 * np.pi * hertz)
    return np.atleast_2d(decibels(solution.mix(signal_emf(instrument, position))))


def second_peak(instrument: Instrument, position: Position) -> tuple[Array, Array] | None:
    """Frequency (Hz) and height (dB above 100 Hz) with the tone fully down, shape (sets,).

    None where no tone serves the position; nan where the capacitor leaves no peak.
    """
    if not instrument.serving(Tone, [position]):
        return None
    down = turned(instrument, tone=0.0)
    frequency, height = highest_peak(lambda hertz: 10 ** (levels_db(down, position, hertz) / 20))
    return frequency, 20 * np.log10(height) - levels_db(down, position, np.array([REFERENCE]))[:, 0]


@dataclass(frozen=True)
class View:
    """One position of an instrument (or of many sets), each thing measured once, when first asked for."""

    instrument: Instrument
    position: Position

    @cached_property
    def peak(self) -> tuple[Array, Array, Array]:
        return peak_or_corner(self.instrument, self.position)

    @cached_property
    def curve_db(self) -> Array:
        return levels_db(self.instrument, self.position)

    @cached_property
    def second_peak(self) -> tuple[Array, Array] | None:
        return second_peak(self.instrument, self.position)
