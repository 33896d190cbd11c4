"""Which partials a position does not hear: the comb that the pickups' places draw over the fingerboard."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pickupcalc.answers.response import decibels, signal_emf
from pickupcalc.answers.sound import playing
from pickupcalc.errors import InputError
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.physics.circuit.nodal import solve
from pickupcalc.physics.sound.sensor import slopes
from pickupcalc.physics.sound.strings import inharmonicity, partial_frequencies, sensed
from pickupcalc.units import quantity

if TYPE_CHECKING:
    from pint import Quantity

DEEP = -20.0  # dB against all pickups together: what counts as a notch
DEEPEST = -40.0  # dB; on paper notches are deeper, on a bench pickups and hands are not so exact
HIGHEST = 6000.0  # Hz, up to which notches are sought
STEPS = 8000

Array = NDArray[Any]


@dataclass(frozen=True)
class Notch:
    """A frequency at which a string's waves cancel at the pickups, whatever the fret.

    Attributes
    ----------
    string : str
        Its note when open.
    open_note : float
        Hz.
    frequency : Quantity
    depth_db : float
        Against the pickups each at its best and all in phase; -40 stands for deeper.
    """

    string: str
    open_note: float
    frequency: Quantity
    depth_db: float

    def partials(self, frets: ArrayLike) -> Array:
        """The number of the partial nearest to the notch at each fret (stiffness left out)."""
        note = self.open_note * 2.0 ** (np.asarray(frets, dtype=float) / 12)
        return np.maximum(np.rint(self.frequency.m / note), 1).astype(int)

    def as_json(self) -> dict[str, Any]:
        frets = (0, 5, 12)
        return {
            "string": self.string,
            "frequency_hz": float(self.frequency.m),
            "depth_db": self.depth_db,
            "partial_at_fret": dict(zip(map(str, frets), self.partials(frets).tolist(), strict=True)),
        }


@dataclass(frozen=True)
class FretMap:
    """How much of each partial a position hears at each fret of a string.

    Attributes
    ----------
    position, string : str
    frets : ndarray of int, shape (frets,)
    partials : ndarray of int, shape (partials,)
    heard_db : ndarray, shape (frets, partials)
        0 where all pickups stand at an antinode in phase; nan at frets that
        leave a pickup under the hand. The pluck does not come into it.
    """

    position: str
    string: str
    frets: Array
    partials: Array
    heard_db: Array

    def as_json(self) -> dict[str, Any]:
        rows = [[None if np.isnan(v) else v for v in row] for row in self.heard_db.tolist()]
        return {
            "position": self.position,
            "string": self.string,
            "frets": self.frets.tolist(),
            "partials": self.partials.tolist(),
            "heard_db": rows,
        }


def notches(instrument: Instrument, position: str, string: int = 0) -> tuple[Notch, ...]:
    """The notches of a position for one string, lowest first, up to 6 kHz.

    A wave on a string has the same length at the same frequency at every fret, so
    a notch stays where it is and another partial falls into it. Two alike
    pickups a distance d apart on a string of wave speed c have them at odd multiples
    of c / 2d in phase and at even ones out of phase, and where one node lies midway.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> f"{pc.notches(instrument, 'both')[0].frequency.m:.0f} Hz is missing from the lowest string"
    '156 Hz is missing from the lowest string'
    """
    wave = _Wave(instrument, position, string)
    number = np.linspace(0.0, HIGHEST / wave.note, STEPS)[1:]
    heard = wave.heard(number)
    inner = heard[1:-1]
    low = np.flatnonzero((inner <= heard[:-2]) & (inner < heard[2:]) & (decibels(inner) < DEEP)) + 1
    frequency = wave.frequency(number[low])
    return tuple(
        Notch(wave.label, wave.note, quantity(float(f), "hertz"), max(float(decibels(h)), DEEPEST))
        for f, h in zip(frequency, heard[low], strict=True)
        if f <= HIGHEST
    )


def fret_map(
    instrument: Instrument, position: str, string: int = 0, *, frets: int = 24, partials: int = 24
) -> FretMap:
    """Fret by partial, how much of it the pickups hear; see `FretMap`.

    Raises
    ------
    InputError
        For numbers out of range and what `playing` refuses.
    """
    for key, value, most in (("frets", frets, playing.MOST_FRETS), ("partials", partials, 500)):
        if not 1 <= value <= most:
            raise InputError.of(key, f"{value} is not from 1 to {most}")
    wave = _Wave(instrument, position, string)
    fret, number = np.arange(frets + 1), np.arange(1, partials + 1)
    shortening = 2.0 ** (fret / 12)
    on_open_string = np.outer(shortening, number)  # the partial of the open string with that wavelength
    heard = decibels(wave.heard(on_open_string.ravel()).reshape(on_open_string.shape))
    under_hand = wave.length / shortening < wave.farthest
    heard[under_hand] = np.nan
    return FretMap(position, wave.label, fret, number, heard)


class _Wave:
    """Standing waves of any length on one string, over the pickups of one position."""

    def __init__(self, instrument: Instrument, position: str, string: int) -> None:
        where = instrument.position(position)
        made_of = playing.string_of(instrument, string)
        self.label = made_of.label
        self.length = playing.scale_length(instrument)
        self.note = float(made_of.frequency.m)
        wire = made_of.wire(self.length)
        self.stiffness = float(
            inharmonicity(wire.rigidity, wire.tension(self.note, self.length), self.length)
        )
        self.circuit = circuit(instrument, where)
        self.emf = signal_emf(instrument, where)
        self.places = {name: playing.place(instrument, instrument.pickup(name)) for name in self.emf}
        self.farthest = max(x + a / 2 for x, a in self.places.values())
        slope = {name: slopes(playing.pole_of(instrument, instrument.pickup(name)))[1] for name in self.emf}
        strongest = max(map(abs, slope.values()))
        self.weight = {name: each / strongest * self.emf[name] for name, each in slope.items()}

    def frequency(self, number: ArrayLike) -> Array:
        """Of the open string's partial of that number, whole or not, Hz."""
        return partial_frequencies(self.note, self.stiffness, number)

    def heard(self, number: Array) -> Array:
        """Share of what the pickups would give all at an antinode and in phase."""
        transfer = solve(self.circuit, 2 * np.pi * self.frequency(number)).transfer
        total, most = np.zeros(number.size, dtype=complex), np.zeros(number.size)
        for name, (x, aperture) in self.places.items():
            part = self.weight[name] * transfer[name]
            total = total + part * sensed(number, x / self.length, aperture / self.length)
            most = most + np.abs(part)
        return np.abs(total) / np.where(most > 0, most, 1.0)
