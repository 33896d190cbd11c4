"""What lies in the drawer: parts that can be fitted today, as measured."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pickupcalc.limits import LIST
from pickupcalc.parts.controls import Taper
from pickupcalc.parts.fields import (
    Amount,
    InnerOrName,
    MaybeAmount,
    Part,
    SeveralOrValues,
    SinglePart,
    measured,
    part,
    several,
)


@dataclass(frozen=True, kw_only=True)
class Piece(SinglePart):
    """One part in the drawer: what a meter reads, and what is printed on it where that is known."""

    @classmethod
    def of(cls, given: Any) -> Any:
        return super().of(given if isinstance(given, Mapping) else {"reads": given})


@dataclass(frozen=True, kw_only=True)
class TrackPiece(Piece):
    """A potentiometer. The reading is taken from end lug to end lug, out of circuit."""

    reads: Amount = measured("ohm", above=0)
    marked: MaybeAmount = measured("ohm", default=None, above=0)
    taper: InnerOrName[Taper | None] = part(Taper, default=None)


@dataclass(frozen=True, kw_only=True)
class CapacitorPiece(Piece):
    """A capacitor for a tone control."""

    reads: Amount = measured("farad", above=0)
    marked: MaybeAmount = measured("farad", default=None, above=0)


@dataclass(frozen=True, kw_only=True)
class ResistorPiece(Piece):
    """A resistor to lay across a track."""

    reads: Amount = measured("ohm", above=0)
    marked: MaybeAmount = measured("ohm", default=None, above=0)


@dataclass(frozen=True, kw_only=True)
class Drawer(Part):
    """Pots, capacitors and resistors at hand. Each entry is one piece: two alike are written twice.

    Parameters
    ----------
    tracks, capacitors, resistors : sequence of str, Quantity or mapping, optional
        A reading, or a mapping with the keys `reads`, `marked` and (for
        tracks) `taper`.
    """

    tracks: SeveralOrValues[TrackPiece] = several(
        TrackPiece, LIST, '["236 kohm", "262 kohm"]', default=(), each="piece "
    )
    capacitors: SeveralOrValues[CapacitorPiece] = several(
        CapacitorPiece, LIST, '["21.4 nF"]', default=(), each="piece "
    )
    resistors: SeveralOrValues[ResistorPiece] = several(
        ResistorPiece, LIST, '["470 kohm"]', default=(), each="piece "
    )
