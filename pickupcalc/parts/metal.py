"""Metal and magnets round a winding: materials, poles, bar, plates."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pickupcalc.errors import Fault, InputError, quoted
from pickupcalc.parts.fields import (
    Amount,
    InnerOrName,
    MaybeAmount,
    Several,
    SinglePart,
    choice,
    measured,
    number,
    part,
    several,
    text,
    whole,
)
from pickupcalc.physics.winding.geometry import Sheet
from pickupcalc.physics.winding.geometry import Slot as Cut
from pickupcalc.tables import table
from pickupcalc.units import millimetres, quantity, single

MOST_POLES = 24
MOST_SLOTS = 20  # of a plate


@dataclass(frozen=True, kw_only=True)
class Material(SinglePart):
    """Relative permeability to small alternating fields, and conductivity. Non-linearity is left out."""

    permeability: Any = number(default=1.0, at_least=1.0, at_most=1e5)
    conductivity: Amount = measured("siemens/meter", default="0 S/m", at_least=0)
    name: str | None = text(default=None)

    @classmethod
    def of(cls, given: Any) -> Material:
        """From a name in the table of materials or {permeability = .., conductivity = ".."}."""
        named = table("materials")
        if isinstance(given, Mapping) and set(given) <= {"permeability", "conductivity", "name"}:
            made = cls(**given)
            if made.conductivity.m > 1e8:
                raise InputError.of("conductivity", f"{given['conductivity']} is above any metal's (60 MS/m)")
            return made
        if isinstance(given, str) and given.lower() in named:
            row = named[given.lower()]
            return cls(permeability=row["permeability"], conductivity=row["conductivity"], name=given.lower())
        example = '{ permeability = 100, conductivity = "6 MS/m" }'
        raise InputError.of("", f"{given!r} is not one of: {quoted(named)}; or write {example}")

    @property
    def factors(self) -> tuple[float, float]:
        """How far permeability and conductivity may be off, as factors; 1.1 where given as numbers."""
        if self.name is None or self.name not in table("materials"):
            return (1.1 if self.permeability > 1 else 1.0), 1.1
        row = table("materials")[self.name]
        return row["permeability_factor"], row["conductivity_factor"]

    def told(self) -> str:
        """As a repairer would call it."""
        numbers = f"permeability {self.permeability:g}, {self.conductivity.m / 1e6:g} MS/m"
        return f"{self.name} ({numbers})" if self.name else numbers


@dataclass(frozen=True, kw_only=True)
class Poles(SinglePart):
    """Equal round poles in a row along the coil, centred.

    `pitch` is from centre to centre; `offset` lifts the poles' middle above the coil's middle.
    """

    count: int = whole(1, MOST_POLES)
    diameter: Amount = measured("meter", above=0)
    length: Amount = measured("meter", above=0)
    pitch: MaybeAmount = measured("meter", default=None, at_least=0)
    offset: Amount = measured("meter", default="0 mm")
    material: InnerOrName[Material] = part(Material)

    def _contradictions(self) -> list[Fault]:
        if self.count > 1 and self.pitch is None:
            return [Fault("pitch", f"is missing; {self.count} poles need the distance from centre to centre")]
        if self.count > 1 and self.pitch is not None and self.pitch.m < self.diameter.m:
            pitch, diameter = millimetres(self.pitch.m), millimetres(self.diameter.m)
            return [Fault("pitch", f"{pitch} is less than the poles' diameter of {diameter}: they overlap")]
        if not 1 / 20 <= self.length.m / self.diameter.m <= 40:
            told = f"{millimetres(self.length.m)} with a diameter of {millimetres(self.diameter.m)}"
            return [Fault("length", f"{told} is outside of 1/20 to 40 diameters")]
        return []

    @property
    def step(self) -> float:
        """Pitch in metres, 0 for a single pole."""
        return float(self.pitch.m) if self.count > 1 and self.pitch is not None else 0.0

    @property
    def bottom(self) -> float:
        """Height of the lower ends above the coil's middle, m."""
        return float(self.offset.m - self.length.m / 2)

    @property
    def top(self) -> float:
        """Height of the upper ends above the coil's middle, m."""
        return float(self.offset.m + self.length.m / 2)


@dataclass(frozen=True, kw_only=True)
class Bar(SinglePart):
    """A bar magnet under the poles; `below` is the gap between the poles' lower ends and its upper face."""

    length: Amount = measured("meter", above=0)
    width: Amount = measured("meter", above=0)
    thickness: Amount = measured("meter", above=0)
    material: InnerOrName[Material] = part(Material)
    below: Amount = measured("meter", default="0 mm", at_least=0)


@dataclass(frozen=True, kw_only=True)
class Slot(SinglePart):
    """A straight cut in a plate.

    `along` the plate's "length" or "width", `at` this far from the plate's middle line, from `start` to `end`
    counted from the middle; from edge to edge if both are left out.
    """

    along: str = choice("length", "width")
    at: Amount = measured("meter", default="0 mm")
    start: MaybeAmount = measured("meter", default=None)
    end: MaybeAmount = measured("meter", default=None)


@dataclass(frozen=True, kw_only=True)
class Plate(SinglePart):
    """A flat cover or baseplate, parallel to the winding and centred on it; a disc has a diameter.

    `height_above_centre` is that of the plate's middle plane above the coil's; negative for a baseplate.
    """

    material: InnerOrName[Material] = part(Material)
    thickness: Amount = measured("meter", above=0)
    height_above_centre: Amount = measured("meter")
    length: MaybeAmount = measured("meter", default=None, above=0)
    width: MaybeAmount = measured("meter", default=None, above=0)
    diameter: MaybeAmount = measured("meter", default=None, above=0)
    slots: Several[Slot] = several(Slot, MOST_SLOTS, '[{ along = "width", at = "5 mm" }]', default=())

    def _contradictions(self) -> list[Fault]:
        rectangle = self.length is not None and self.width is not None
        if rectangle == (self.diameter is not None) or (self.diameter and (self.length or self.width)):
            return [Fault("", "needs length and width, or a diameter")]
        if self.thickness.m > min(self.sides) / 2:
            return [
                Fault("thickness", f"{millimetres(self.thickness.m)} is more than half the plate's width")
            ]
        return []

    @property
    def sides(self) -> tuple[float, float]:
        """Extent along and across the coil, m."""
        if self.diameter is not None:
            return float(self.diameter.m), float(self.diameter.m)
        return float(self.length.m), float(self.width.m)  # type: ignore[union-attr]

    @property
    def span(self) -> tuple[float, float]:
        """Heights of the lower and upper face above the coil's middle, m."""
        z, half = float(self.height_above_centre.m), float(self.thickness.m) / 2
        return z - half, z + half

    def sheet(self) -> Sheet:
        """The plate as the field computation takes it."""
        length, width = self.sides
        cuts = []
        for slot in self.slots:
            reach = length / 2 if slot.along == "length" else width / 2
            start = -reach if slot.start is None else float(slot.start.m)
            end = reach if slot.end is None else float(slot.end.m)
            cuts.append(Cut(slot.along, float(slot.at.m), min(start, end), max(start, end)))
        m: Material = self.material
        return Sheet(
            length, width, float(self.thickness.m), float(self.height_above_centre.m),
            float(m.permeability), float(m.conductivity.m), tuple(cuts), self.diameter is not None,
        )  # fmt: skip


def tolerances(value: Any) -> dict[str, Any]:
    """The field `tolerance`: lengths (quantities) and fractions that replace the usual ones."""
    known = table("coil")["tolerance"]
    if not isinstance(value, Mapping):
        raise InputError.of("", f"must be a table of: {', '.join(known)}")
    found, faults = {}, []
    for key, given in value.items():
        if key not in known:
            faults.append(Fault(key, f"is not known; there are: {', '.join(known)}"))
            continue
        try:
            is_length = isinstance(known[key], str)
            size = single(given, "meter" if is_length else "dimensionless")
            if not size >= 0:
                raise InputError.of("", f"{given} must not be negative")
            found[key] = quantity(size, "meter") if is_length else size
        except InputError as error:
            faults += error.under(key)
    if faults:
        raise InputError(faults)
    return found
