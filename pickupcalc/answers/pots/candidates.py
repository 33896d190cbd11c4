"""Which parts could be fitted: made values, a list, or pieces from the drawer, in all combinations."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import prod
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.tolerance import UncertainInput
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.limits import COMBINATIONS
from pickupcalc.parts.controls import Taper, Tone, Volume
from pickupcalc.parts.drawer import Drawer
from pickupcalc.parts.preferred import preferred_values
from pickupcalc.tables import table
from pickupcalc.units import quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity

OPEN = 1e18  # ohm: stands for "no resistor" in an array where some have one
CAPACITORS = ("1 nF", "100 nF")  # between which tone capacitors are sought, in E6
ACROSS = (0.3, 10.0)  # times the track, between which a resistor across it is sought, in E24


@dataclass(frozen=True)
class Option:
    """One way to fill one place: a track (with or without a resistor across it) or a capacitor.

    Attributes
    ----------
    value : float
        Ohm or farad.
    fraction : float
        Two standard deviations of it, relative.
    across, across_fraction : float or None
        The resistor.
    taper : Taper or None
        Of the piece, where it is known; else the one there is stays.
    pieces : frozenset
        What is taken out of the drawer.
    """

    value: float
    fraction: float
    across: float | None = None
    across_fraction: float = 0.0
    taper: Taper | None = None
    pieces: frozenset[tuple[str, int]] = frozenset()


@dataclass(frozen=True)
class Place:
    """Controls that are filled alike: their indices, and "track" or "capacitor"."""

    controls: tuple[int, ...]
    key: str


@dataclass(frozen=True)
class Candidates:
    """All combinations, as a choice of an option for each place.

    Attributes
    ----------
    instrument : Instrument
        That the parts go into.
    places : tuple of Place
    options : tuple of tuple of Option
        For each place.
    picks : ndarray of int, shape (sets, places)
    """

    instrument: Instrument
    places: tuple[Place, ...]
    options: tuple[tuple[Option, ...], ...]
    picks: NDArray[Any]

    @property
    def count(self) -> int:
        return len(self.picks)

    @property
    def filled(self) -> frozenset[int]:
        """Indices of the controls that get parts."""
        return frozenset(i for place in self.places for i in place.controls)

    @property
    def resistors(self) -> NDArray[Any]:
        """How many resistors each set lays across tracks, shape (sets,)."""
        laid = (
            len(place.controls) * np.array([o.across is not None for o in options])[column]
            for place, options, column in zip(self.places, self.options, self.picks.T, strict=True)
        )
        return np.asarray(sum(laid))

    def fitted(self, rows: slice) -> Instrument:
        """The instrument with the parts of these sets, each value of shape (sets,)."""
        controls = list(self.instrument.controls)
        for place, options, column in zip(self.places, self.options, self.picks[rows].T, strict=True):
            values = quantity(np.array([o.value for o in options])[column], _unit(place.key))
            changes: dict[str, Any] = {place.key: values}
            if place.key == "track":
                across = np.array([o.across or OPEN for o in options])[column]
                changes["resistor_across"] = quantity(across, "ohm") if np.any(across < OPEN) else None
            for i in place.controls:
                controls[i] = replace(controls[i], **changes)
        return replace(self.instrument, controls=tuple(controls))

    def chosen(self, row: int) -> Instrument:
        """The instrument with the parts of one set, one value each."""
        controls = list(self.instrument.controls)
        for place, option in self.picked(row):
            changes: dict[str, Any] = {place.key: quantity(option.value, _unit(place.key))}
            if place.key == "track":
                changes["resistor_across"] = quantity(option.across, "ohm") if option.across else None
                changes |= {"taper": option.taper} if option.taper else {}
            for i in place.controls:
                controls[i] = replace(controls[i], **changes)
        return replace(self.instrument, controls=tuple(controls))

    def picked(self, row: int) -> list[tuple[Place, Option]]:
        return [
            (place, options[i])
            for place, options, i in zip(self.places, self.options, self.picks[row], strict=True)
        ]

    def surer(self, row: int, inputs: Sequence[UncertainInput]) -> list[UncertainInput]:
        """The inputs with the tolerance that the parts of one set have: a measured piece is sure."""
        known: dict[tuple[int, str], float] = {}
        for place, option in self.picked(row):
            for i in place.controls:
                known[i, place.key] = option.fraction
                known[i, "resistor_across"] = option.across_fraction
        return [
            replace(u, fraction=known.get((u.index, u.key), u.fraction)) if u.owner == "controls" else u
            for u in inputs
        ]


def made(
    instrument: Instrument,
    positions: Sequence[Position],
    *,
    tracks: Any = None,
    capacitors: Any = None,
    across: bool = False,
    track_fraction: float | None = None,
) -> Candidates:
    """Parts as sold. All volumes are filled alike, and so are all tones.

    Parameters
    ----------
    instrument : Instrument
    positions : sequence of Position
        Only controls that serve these are filled.
    tracks, capacitors : sequence of Quantity or str, optional
        The tracks commonly made if left out; the capacitors stay as they are.
    across : bool
        Also with each E24 resistor across a track that makes it act as a lower one.
    track_fraction : float, optional
        Tolerance of a track, from the table "uncertainty" if left out.
    """
    marked = table("uncertainty")["marked"]
    fraction = marked["track"] if track_fraction is None else track_fraction
    listed = table("tracks")["tracks"]["values"] if tracks is None else tracks
    ohms = [to_si(t, "ohm", "tracks") for t in listed]
    choices = [Option(ohm, fraction) for ohm in ohms]
    if across:
        for ohm in ohms:
            low, high = (quantity(ohm * x, "ohm") for x in ACROSS)
            resistors = preferred_values("E24", low, high, "ohm").magnitude
            choices += [Option(ohm, fraction, float(r), marked["resistor"]) for r in resistors]
    places: list[Place] = []
    options: list[list[Option]] = []
    for kind in (Volume, Tone):
        served = instrument.serving(kind, positions)
        if served:
            places.append(Place(served, "track"))
            options.append(choices)
    tones = instrument.serving(Tone, positions)
    if capacitors is not None and tones:
        farads = [to_si(c, "farad", "capacitors") for c in capacitors]
        places.append(Place(tones, "capacitor"))
        options.append([Option(f, marked["capacitor"]) for f in farads])
    return _combined(instrument, places, options)


def usual_capacitors() -> Quantity:
    """Tone capacitors in a shop: E6 from 1 nF to 100 nF."""
    return preferred_values("E6", *CAPACITORS, "farad")


def from_drawer(
    instrument: Instrument, positions: Sequence[Position], drawer: Drawer, *, across: bool = False
) -> Candidates:
    """Pieces at hand, each used once; every control may get another one.

    Parameters
    ----------
    instrument, positions
        As for `made`.
    drawer : Drawer
        Without capacitors in it, those that are fitted stay.
    across : bool
        Also with the drawer's resistors across tracks.
    """
    known = table("uncertainty")["measured"]
    tracks = [
        Option(p.reads.magnitude, known["track"], taper=p.taper, pieces=frozenset([("track", i)]))
        for i, p in enumerate(drawer.tracks)
    ]
    if across:
        tracks += [
            replace(
                track,
                across=p.reads.magnitude,
                across_fraction=known["resistor"],
                pieces=track.pieces | {("resistor", i)},
            )
            for track in tracks
            for i, p in enumerate(drawer.resistors)
        ]
    capacitors = [
        Option(p.reads.magnitude, known["capacitor"], pieces=frozenset([("capacitor", i)]))
        for i, p in enumerate(drawer.capacitors)
    ]
    tones = instrument.serving(Tone, positions)
    pots = [*instrument.serving(Volume, positions), *tones]
    if len(drawer.tracks) < len(pots):
        raise InputError.of(
            "drawer, tracks",
            f"holds {len(drawer.tracks)} pots for {len(pots)} controls; list more, or leave out positions",
        )
    if 0 < len(drawer.capacitors) < len(tones):
        raise InputError.of(
            "drawer, capacitors",
            f"holds {len(drawer.capacitors)} for {len(tones)} tones; list more, or none to keep those fitted",
        )
    places = [Place((i,), "track") for i in pots]
    options = [tracks] * len(pots)
    if capacitors:
        places += [Place((i,), "capacitor") for i in tones]
        options += [capacitors] * len(tones)
    return _combined(instrument, places, options)


def _combined(instrument: Instrument, places: list[Place], options: list[list[Option]]) -> Candidates:
    """Every combination that takes no piece twice."""
    if not places:
        raise InputError.of("control", "there is no volume or tone at these positions to choose a pot for")
    if not all(options):
        raise InputError.of("tracks", "a list of parts to choose from is empty")
    sizes = [len(o) for o in options]
    count = prod(sizes)
    if count > COMBINATIONS:
        shown = f"{count:,}" if count < 10**12 else "a million million or more"
        told = f"{' x '.join(map(str, sizes))} is {shown} combinations, above {COMBINATIONS:,}"
        raise InputError.of("tracks", f"{told}; name fewer parts or positions")
    picks = np.indices(sizes).reshape(len(sizes), -1).T
    free = np.ones(len(picks), dtype=bool)
    for i, first in enumerate(options):
        for j in range(i):
            clash = np.array([[bool(a.pieces & b.pieces) for b in options[j]] for a in first])
            free &= ~clash[picks[:, i], picks[:, j]]
    return Candidates(instrument, tuple(places), tuple(map(tuple, options)), picks[free])


def _unit(key: str) -> str:
    return "farad" if key == "capacitor" else "ohm"
