"""The shape of a response as numbers to aim at: damping with or without a peak, distance of two curves."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.positions import REFERENCE
from pickupcalc.answers.response import decibels, signal_emf
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.turning import turned
from pickupcalc.parts.controls import Tone
from pickupcalc.physics.circuit.curves import Gain, falls_below, highest_peak, low_pass_of_fall, q_of_height
from pickupcalc.physics.circuit.nodal import solve

LOW, HIGH = 100.0, 8000.0  # Hz, between which curves are compared
POINTS = 77  # twelve to an octave, about
# How much a difference counts, by frequency: the octaves where a peak stands count twice. A choice of ours.
WEIGHTS = {100.0: 1.0, 1000.0: 1.0, 2000.0: 2.0, 5000.0: 2.0, 8000.0: 1.0}
FLAT_Q = 1 / np.sqrt(2)
LEAST_PEAK = 0.1  # dB; nobody would call less a peak
DULLEST = -60.0  # dB; below the flat response nothing is told apart any further

Array = NDArray[Any]


class Resonance(NamedTuple):
    """The peak of a response, each figure of shape (sets,); nan where the position is silent.

    Attributes
    ----------
    peak_frequency : ndarray
        Hz; nan without a peak that stands 0.1 dB above the level at 100 Hz.
    height_db : ndarray
        Above the level at 100 Hz. Without a peak a number of 0 or below: 20 log10
        of Q over that of the maximally flat response, so that it runs on.
    q : ndarray
        Of the second-order low-pass with that height; without a peak, of the one
        that falls alike.
    """

    peak_frequency: Array
    height_db: Array
    q: Array


def resonance(instrument: Instrument, position: Position) -> Resonance:
    """Measure the peak of a position, or what stands for it where there is none."""
    gain = _gain(instrument, position)
    level = np.atleast_1d(gain(np.array([REFERENCE]))[..., 0])
    level, frequency, height = np.broadcast_arrays(level, *highest_peak(gain))
    with np.errstate(divide="ignore", invalid="ignore"):
        height_db = decibels(height / level)
        peaked = height_db > LEAST_PEAK
        q = q_of_height(np.where(peaked, height / level, np.nan))
    if not peaked.all():
        q = np.where(peaked, q, low_pass_of_fall(*_falls(gain, level))[1])
        with np.errstate(divide="ignore"):
            short = np.clip(20 * np.log10(q / FLAT_Q), DULLEST, 0)
        height_db = np.where(peaked, height_db, short)
    return Resonance(np.where(peaked, frequency, np.nan), height_db, q)


def natural_frequency(instrument: Instrument, position: Position) -> Array:
    """Hz, shape (sets,): of the second-order low-pass that falls alike, with or without a peak.

    nan where the position is silent or falls no steeper than a first-order one.
    """
    gain = _gain(instrument, position)
    level = np.atleast_1d(gain(np.array([REFERENCE]))[..., 0])
    return low_pass_of_fall(*_falls(gain, level))[0]


def _gain(instrument: Instrument, position: Position) -> Gain:
    network, emf = circuit(instrument, position), signal_emf(instrument, position)
    return lambda hertz: np.abs(solve(network, 2 * np.pi * hertz).mix(emf))


def _falls(gain: Gain, level: Array) -> tuple[Array, Array]:
    """Where the power has fallen to a half and to a tenth of that at 100 Hz."""
    half, tenth = (falls_below(gain, level / np.sqrt(x), np.full(level.shape, REFERENCE)) for x in (2, 10))
    return half, tenth


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
    def resonance(self) -> Resonance:
        return resonance(self.instrument, self.position)

    @cached_property
    def natural_frequency(self) -> Array:
        return natural_frequency(self.instrument, self.position)

    @cached_property
    def curve_db(self) -> Array:
        return levels_db(self.instrument, self.position)

    @cached_property
    def second_peak(self) -> tuple[Array, Array] | None:
        return second_peak(self.instrument, self.position)
