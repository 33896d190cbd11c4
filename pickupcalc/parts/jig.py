"""What a magnet is re-magnetised with: two blocks that face each other, or a horseshoe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from pickupcalc.errors import InputError
from pickupcalc.parts.fields import Amount, SinglePart, checked, measured
from pickupcalc.parts.magnet_material import Grade, MagnetMaterial, magnet_material
from pickupcalc.parts.magnets import Magnets, Rods, TwinCoil, known_material
from pickupcalc.physics.magnetism.assembly import Assembly
from pickupcalc.physics.magnetism.magnetising import Work
from pickupcalc.physics.magnetism.magnets import Array
from pickupcalc.physics.magnetism.pieces import Cells, block
from pickupcalc.units import engineering


@dataclass(frozen=True)
class Placed:
    """A jig set up around the work: its pieces with their magnetisation (pieces,) in A/m."""

    assembly: Assembly
    magnetisation: Array

    def on(self, work: Work, along: Sequence[float] = (0.0,)) -> Array:
        """Mean field along each piece's axis in A/m, shape (pieces,), with the jig moved along the row.

        Each piece gets the strongest it ever sees on the way, which is what stays in it.
        """
        fields = np.stack([work.assembly.along_axes(self._moved(x), self.magnetisation) for x in along])
        best: Array = np.take_along_axis(fields, np.abs(fields).argmax(axis=0)[None], axis=0)[0]
        return best

    def _moved(self, x: float) -> Assembly:
        shift = np.array([x, 0.0, 0.0])
        cells = [g for g in self.assembly.groups if isinstance(g, Cells)]
        return Assembly(tuple(Cells(g.centre + shift, g.size, g.axis) for g in cells))


@lru_cache(maxsize=256)
def _charged(blocks: tuple[tuple[Any, ...], ...], material: str, grade: Grade) -> Placed:
    """Blocks (centre, size, axis, sign, cut), each at its own working point beside the others."""
    groups = tuple(block(c, s, cut=cut, axes=(axis,)) for c, s, axis, _, cut in blocks)
    signs = np.concatenate([np.full(g.count, b[3]) for g, b in zip(groups, blocks, strict=True)])
    assembly = Assembly(groups)
    strength = magnet_material(material).strength(grade)
    work = Work(assembly, strength, np.ones(signs.size, dtype=bool), signs, np.zeros(signs.size))
    return Placed(assembly, work.as_it_lies().magnetisation)


@dataclass(frozen=True, kw_only=True)
class Blocks(SinglePart):
    """Two equal magnet blocks, unlike poles facing, the work between them.

    Parameters
    ----------
    length, width, depth : Quantity or str
        Of each block: along the row of poles, across it, and along the field.
    gap : Quantity or str
        From face to face. It cannot be smaller than the work.
    material : str
        A name of the table "magnets".
    """

    length: Amount = measured("meter", default="50 mm", above=0)
    width: Amount = measured("meter", default="25 mm", above=0)
    depth: Amount = measured("meter", default="25 mm", above=0)
    gap: Amount = measured("meter", default="20 mm", above=0)
    material: str = checked(known_material, default="neodymium N42")

    @property
    def substance(self) -> MagnetMaterial:
        return magnet_material(self.material)

    def smallest_gap(self, magnets: Magnets) -> float:
        """Where the blocks touch the work, m."""
        low, high = magnets.extent
        return high - low

    def around(self, magnets: Magnets, grade: Grade = "usual", gap: float | None = None) -> Placed:
        """The blocks on both sides of the work, along the row centred on it, turned so as to reverse it.

        Raises
        ------
        InputError
            If the work does not fit into the gap.
        """
        gap = self.gap.m if gap is None else gap
        smallest = self.smallest_gap(magnets)
        if gap < smallest - 1e-9:
            asked, least = engineering(gap, "m"), engineering(smallest, "m")
            raise InputError.of("gap", f"{asked} is less than the work between the blocks, {least}")
        size = np.array([self.length.m, self.width.m, self.width.m])
        size[magnets.axis] = self.depth.m
        middle = magnet_centre(magnets)
        middle[magnets.axis] = sum(magnets.extent) / 2
        step = np.zeros(3)
        step[magnets.axis] = (gap + self.depth.m) / 2
        # Cut along the field: each part has its own working point.
        cut = tuple(2 if i == magnets.axis else 1 for i in range(3))
        places = [(tuple(middle + s * step), tuple(size), magnets.axis, -magnets.sign, cut) for s in (1, -1)]
        return _charged(tuple(places), self.material, grade)


@dataclass(frozen=True, kw_only=True)
class Horseshoe(SinglePart):
    """Two magnet legs on a soft yoke; the work lies across the mouth, before the tips.

    The yoke is taken as perfect: it mirrors the legs, which then act as if twice as long.

    Parameters
    ----------
    length : Quantity or str
        Of the tips, along the row of poles.
    leg, mouth, height : Quantity or str
        Thickness of a leg and the space between the legs, both along the field, and length of a leg.
    gap : Quantity or str
        From the tips to the axis of the magnet.
    material : str
        Of the legs, a name of the table "magnets".
    """

    length: Amount = measured("meter", default="30 mm", above=0)
    leg: Amount = measured("meter", default="12 mm", above=0)
    mouth: Amount = measured("meter", default="18 mm", above=0)
    height: Amount = measured("meter", default="40 mm", above=0)
    gap: Amount = measured("meter", default="8 mm", above=0)
    material: str = checked(known_material, default="alnico 5")

    @property
    def substance(self) -> MagnetMaterial:
        return magnet_material(self.material)

    def smallest_gap(self, magnets: Magnets) -> float:
        """Where the tips touch the work, m."""
        keeper = magnets.keeper
        if isinstance(magnets, TwinCoil):
            return float(magnets.bar_thickness.m) / 2
        across = magnets.diameter if isinstance(magnets, Rods) else magnets.bar_width
        return max(float(across.m), float(keeper.width.m) if keeper else 0.0) / 2

    def around(self, magnets: Magnets, grade: Grade = "usual", gap: float | None = None) -> Placed:
        """The horseshoe before the magnet, turned so as to reverse it.

        Raises
        ------
        InputError
            If the tips would have to stand inside the work.
        """
        gap = self.gap.m if gap is None else gap
        smallest = self.smallest_gap(magnets)
        if gap < smallest - 1e-9:
            asked, least = engineering(gap, "m"), engineering(smallest, "m")
            raise InputError.of("gap", f"{asked} is less than half the work's thickness, {least}")
        across = 3 - magnets.axis  # the legs stand along z beside a field along y, and along y beside z
        size = np.empty(3)
        size[[0, magnets.axis, across]] = self.length.m, self.leg.m, 2 * self.height.m
        places = []
        for side in (1, -1):
            centre = magnet_centre(magnets)
            centre[magnets.axis] += side * (self.mouth.m + self.leg.m) / 2
            centre[across] -= gap + self.height.m
            # The field runs from a north tip to a south tip, past the work.
            cut = tuple(6 if i == across else 1 for i in range(3))
            places.append((tuple(centre), tuple(size), across, side * magnets.sign, cut))
        return _charged(tuple(places), self.material, grade)


Jig = Blocks | Horseshoe


def magnet_centre(magnets: Magnets) -> Array:
    """The middle of the magnet (not of its poles), m."""
    work = magnets.work()
    centres, volumes = work.assembly.centres[work.hard], work.assembly.volumes[work.hard]
    middle: Array = (centres * volumes[:, None]).sum(axis=0) / volumes.sum()
    return middle
