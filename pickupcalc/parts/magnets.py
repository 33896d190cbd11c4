"""The magnets of a pickup, as they are built: rods, a bar under steel poles, a twin coil's bar.

Everything is placed alike: x along the row of poles, y along the strings, z toward the strings, the pole
tops at z = 0. A north pole toward the strings is magnetised along +z.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.errors import Fault, InputError
from pickupcalc.limits import whole as whole_number
from pickupcalc.parts.fields import (
    Amount,
    Checked,
    Inherited,
    SinglePart,
    checked,
    choice,
    measured,
    part,
    true_or_false,
    whole,
)
from pickupcalc.parts.keeper import CONTACT, STEEL_PERMEABILITY, Keeper
from pickupcalc.parts.magnet_material import ROOM, Grade, MagnetMaterial, magnet_material
from pickupcalc.physics.magnetism.assembly import Assembly
from pickupcalc.physics.magnetism.magnetising import Strength, Work
from pickupcalc.physics.magnetism.pieces import Cells, Slices, block, rods
from pickupcalc.physics.magnetism.steel_plates import SteelPlate
from pickupcalc.physics.magnetism.steel_rods import SteelRods, charge_susceptibility

if TYPE_CHECKING:
    from pint import Quantity

MOST_IN_A_ROW = 12
ROD_SLICES = 6
BAR_CUT = (8, 2, 2)  # cells of a bar under poles


def _rod_pieces(places: tuple[tuple[float, float], ...], length: float, radius: float) -> Slices:
    return rods(places, bottom=-length, top=0.0, radius=radius, slices=ROD_SLICES)


@lru_cache(maxsize=64)
def _joined(*groups: tuple[Any, ...], keepers: tuple[SteelPlate, ...] = ()) -> Assembly:
    """The assembly of groups given by their makers and arguments; one geometry is coupled only once."""
    return Assembly(tuple(make(*arguments) for make, *arguments in groups), keepers)


def _bar_pieces(
    centre: tuple[float, ...], size: tuple[float, ...], cut: tuple[int, int, int], axes: tuple[int, ...]
) -> Cells:
    return block(centre, size, cut=cut, axes=axes)


def known_material(name: Any) -> Any:
    """The check of a field that names a row of the table "magnets"."""
    magnet_material(name)
    return name


def _opposite(value: Any) -> tuple[int, ...]:
    if not isinstance(value, (list, tuple)):
        raise InputError.of("", f"{value!r} must be a list of rod numbers, counted from 1")
    return tuple(whole_number("", v, 1, MOST_IN_A_ROW) for v in value)


@dataclass(frozen=True, kw_only=True)
class _Row(SinglePart):
    """A row of round poles, the pole that faces the strings, and the keeper if there is one."""

    count: int = whole(1, MOST_IN_A_ROW, default=6)
    diameter: Inherited[Quantity] = measured("meter", default="4.8 mm", above=0)
    length: Inherited[Quantity] = measured("meter", default="17 mm", above=0)
    pitch: Inherited[Quantity] = measured("meter", default="10.4 mm", above=0)
    magnet: str = choice("north", "south", default="north")
    keeper: Inherited[Keeper | None] = part(Keeper, default=None)
    material: str = checked(known_material, default="alnico 5")

    @property
    def substance(self) -> MagnetMaterial:
        return magnet_material(self.material)

    @property
    def axis(self) -> int:
        """The axis the magnet is magnetised along: 0, 1 or 2 for x, y or z."""
        return 2

    @property
    def sign(self) -> float:
        return 1.0 if self.magnet == "north" else -1.0

    @property
    def places(self) -> tuple[tuple[float, float], ...]:
        """Axis (x, y) of every pole in m."""
        n = self.count
        return tuple((float(x), 0.0) for x in (np.arange(n) - (n - 1) / 2) * self.pitch.m)

    def _poles(self) -> tuple[Any, ...]:
        return SteelRods, self.places, -self.length.m, 0.0, self.diameter.m / 2

    def _under(self, bottom: float) -> float:
        """Lowest z of a magnet with that bottom and the keeper beneath it, m."""
        return bottom - (CONTACT + self.keeper.thickness.m if self.keeper else 0.0)

    def _keeper_plate(self, bottom: float, **more: Any) -> tuple[SteelPlate, ...]:
        """The keeper beneath a magnet with that bottom."""
        return (self.keeper.plate(0.0, bottom - CONTACT, **more),) if self.keeper else ()

    def _contradictions(self) -> list[Fault]:
        if self.count > 1 and self.pitch.m <= self.diameter.m:
            return [Fault("pitch", "is not larger than the diameter; poles would overlap")]
        if self.keeper and self._stands_on_keeper:
            return self.keeper.too_small_for(self.places, self.diameter.m)
        return []

    @property
    def _stands_on_keeper(self) -> bool:
        """Whether the round poles themselves stand on the keeper."""
        return True


@dataclass(frozen=True, kw_only=True)
class Rods(_Row):
    """Magnet rods that are the poles themselves.

    Parameters
    ----------
    count, diameter, length, pitch
        Of the rods.
    magnet : {"north", "south"}
        The pole that faces the strings.
    material : str
        A name of the table "magnets".
    opposite : sequence of int
        Rods, counted from 1, whose other pole faces the strings.
    keeper : Keeper, optional
        A plate that the rods stand on.
    """

    opposite: Checked[tuple[int, ...], Sequence[int]] = checked(_opposite, default=())

    def _contradictions(self) -> list[Fault]:
        beyond = [i for i in self.opposite if i > self.count]
        told = [Fault("opposite", f"there is no rod {beyond[0]}; there are {self.count}")] if beyond else []
        return super()._contradictions() + told

    @property
    def extent(self) -> tuple[float, float]:
        """Lowest and highest z of the magnet, between which no jig block fits, in m."""
        return self._under(-self.length.m), 0.0

    def work(self, grade: Grade = "usual", temperature: float = ROOM) -> Work:
        """The rods cut into pieces, saturated as they stand."""
        signs = np.full(self.count, self.sign)
        signs[[i - 1 for i in self.opposite]] *= -1
        pieces = self.count * ROD_SLICES
        radius = self.diameter.m / 2
        keepers = self._keeper_plate(-self.length.m, feet=self.places, radius=radius)
        return Work(
            _joined((_rod_pieces, self.places, self.length.m, radius), keepers=keepers),
            self.substance.strength(grade, temperature),
            hard=np.ones(pieces, dtype=bool),
            signs=np.repeat(signs, ROD_SLICES),
            steel=np.zeros(pieces),
        )


@dataclass(frozen=True, kw_only=True)
class BarUnderPoles(_Row):
    """A bar magnet lying under steel poles, magnetised through its thickness.

    Parameters
    ----------
    count, diameter, length, pitch
        Of the steel poles.
    bar_length, bar_width, bar_thickness : Quantity or str
        Along the row, along the strings, and toward the strings.
    material : str
        Of the bar.
    loose : bool
        The bar alone, taken out from under its poles.
    keeper : Keeper, optional
        A plate that the bar lies on.
    """

    bar_length: Amount = measured("meter", default="60 mm", above=0)
    bar_width: Amount = measured("meter", default="12 mm", above=0)
    bar_thickness: Amount = measured("meter", default="5 mm", above=0)
    material: str = checked(known_material, default="hard ferrite")
    loose: bool = checked(true_or_false, default=False)

    @property
    def extent(self) -> tuple[float, float]:
        """Lowest and highest z between which no jig block fits, in m."""
        top = -self.length.m - CONTACT
        return self._under(top - self.bar_thickness.m), top if self.loose else 0.0

    @property
    def _stands_on_keeper(self) -> bool:
        return False

    def work(self, grade: Grade = "usual", temperature: float = ROOM) -> Work:
        """Bar and poles cut into pieces, the bar saturated as it lies."""
        top = -self.length.m - CONTACT
        size = (self.bar_length.m, self.bar_width.m, self.bar_thickness.m)
        bar = (_bar_pieces, (0.0, 0.0, top - size[2] / 2), size, BAR_CUT, (2,))
        edges = tuple(tuple((np.arange(BAR_CUT[i] + 1) / BAR_CUT[i] - 0.5) * size[i]) for i in (0, 1))
        keepers = self._keeper_plate(top - size[2], lines=edges)
        assembly = _joined(bar, *([] if self.loose else [self._poles()]), keepers=keepers)
        return _bar_and_steel(assembly, self.substance.strength(grade, temperature), self.sign)


def _bar_and_steel(assembly: Assembly, strength: Strength, sign: float) -> Work:
    """Work whose first group is the bar, saturated one way, and whose rest is soft steel."""
    magnet = np.arange(assembly.count) < assembly.groups[0].count
    steel = np.where(magnet, 0.0, charge_susceptibility(STEEL_PERMEABILITY))
    return Work(assembly, strength, hard=magnet, signs=sign * magnet, steel=steel)


@dataclass(frozen=True, kw_only=True)
class TwinCoil(_Row):
    """Two rows of steel poles with one bar between their feet, magnetised from row to row.

    `magnet` is the pole that the row at positive y turns to the strings; the other row shows the other.
    The poles answer the field symmetric about their own axes only (good to some 8 % at the strings, found
    with cells magnetised in every direction).

    Parameters
    ----------
    spacing : Quantity or str
        Between the two rows.
    bar_length, bar_thickness : Quantity or str
        Along the row and toward the strings; the bar fills the width between the rows, or between keepers.
    material : str
        Of the bar.
    keeper : Keeper, optional
        One strip under each row, which its poles stand on (or go through: `length` is what is above it).
        The bar lies between the strips.
    """

    spacing: Amount = measured("meter", default="18 mm", above=0)
    bar_length: Amount = measured("meter", default="60 mm", above=0)
    bar_thickness: Amount = measured("meter", default="3.2 mm", above=0)

    @property
    def places(self) -> tuple[tuple[float, float], ...]:
        half = self.spacing.m / 2
        row = super().places
        return tuple((x, y) for y in (half, -half) for x, _ in row)

    @property
    def axis(self) -> int:
        return 1

    @property
    def bar_width(self) -> float:
        beside = self.keeper.width if self.keeper else self.diameter
        return float(self.spacing.m - beside.m - 2 * CONTACT)

    @property
    def extent(self) -> tuple[float, float]:
        """Lowest and highest y of the poles or keepers, between which no jig block fits, in m."""
        half = (self.spacing.m + (self.keeper.width.m if self.keeper else self.diameter.m)) / 2
        return -half, half

    def work(self, grade: Grade = "usual", temperature: float = ROOM) -> Work:
        """Bar and both rows cut into pieces, the bar saturated as it lies."""
        below = self.keeper.thickness.m if self.keeper else 0.0
        centre = (0.0, 0.0, -self.length.m - below + self.bar_thickness.m / 2)
        size = (self.bar_length.m, self.bar_width, self.bar_thickness.m)
        bar = (_bar_pieces, centre, size, (8, 4, 1), (1,))
        strips = self._strips(self.keeper) if self.keeper else ()
        assembly = _joined(bar, keepers=strips) if strips else _joined(bar, self._poles())
        return _bar_and_steel(assembly, self.substance.strength(grade, temperature), self.sign)

    def _strips(self, keeper: Keeper) -> tuple[SteelPlate, ...]:
        """Both strips, each with its row of poles on it."""
        made, count = [], len(self.places) // 2
        for places in (self.places[:count], self.places[count:]):
            poles = SteelRods(places, -self.length.m, 0.0, self.diameter.m / 2, standing=True)
            made.append(keeper.plate(places[0][1], -self.length.m, poles=poles))
        return tuple(made)

    def _contradictions(self) -> list[Fault]:
        found = super()._contradictions()
        if self.bar_width <= 0:
            found.append(Fault("spacing", "leaves no room for the bar between the rows or their keepers"))
        return found


Magnets = Rods | BarUnderPoles | TwinCoil
