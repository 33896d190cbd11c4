"""The field around a pickup's magnet on a plane through its poles, for a picture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from pickupcalc.answers.magnet.compass import magnet_state
from pickupcalc.parts.jig import Jig
from pickupcalc.parts.magnets import Magnets, TwinCoil
from pickupcalc.physics.magnetism.assembly import Assembly
from pickupcalc.physics.magnetism.pieces import Cells, Slices
from pickupcalc.physics.magnetism.steel_plates import SteelPlate
from pickupcalc.physics.magnetism.steel_rods import SteelRods
from pickupcalc.units import quantity

if TYPE_CHECKING:
    from pint import Quantity

POINTS = 100
AROUND = 0.014  # m of air shown around the magnet
STRINGS = 0.012  # m shown above the poles


@dataclass(frozen=True)
class Outline:
    """One body cut by the plane: left, bottom, width and height in m, and what it is."""

    box: tuple[float, float, float, float]
    kind: str


@dataclass(frozen=True)
class FieldMap:
    """B on a plane.

    Attributes
    ----------
    across, up : Quantity, shape (n,)
        Along the row of poles (of a twin coil: from row to row), and toward the strings, m.
    b_across, b_up : Quantity, shape (n, n)
        B in the plane in T; the first index goes up.
    outlines : tuple of Outline
    place : str
        What `across` runs along, in words.
    """

    across: Quantity
    up: Quantity
    b_across: Quantity
    b_up: Quantity
    outlines: tuple[Outline, ...]
    place: str


def field_map(
    magnets: Magnets, state: str = "as it is", *, jig: Jig | None = None, points: int = POINTS
) -> FieldMap:
    """The field of a pickup's magnet by itself, in one of the states of `compass`.

    The plane holds the axes of a row of poles; of a twin coil, the axes of one pole of each row. It is
    sampled at `points` places each way.
    """
    assembly, magnetisation = magnet_state(magnets, state, jig)
    twin = isinstance(magnets, TwinCoil)
    side = 1 if twin else 0
    fixed = magnets.places[len(magnets.places) // 4][0] if twin else 0.0
    outlines = _outlines(assembly, side, fixed)
    left = min(o.box[0] for o in outlines) - AROUND
    right = max(o.box[0] + o.box[2] for o in outlines) + AROUND
    across = np.linspace(left, right, points)
    up = np.linspace(min(o.box[1] for o in outlines) - AROUND, STRINGS, points)
    plane = np.empty((points, points, 3))
    plane[..., side] = across[None, :]
    plane[..., 1 - side] = fixed
    plane[..., 2] = up[:, None]
    b = assembly.field(plane, magnetisation)
    return FieldMap(
        quantity(across, "meter"),
        quantity(up, "meter"),
        quantity(b[..., side], "tesla"),
        quantity(b[..., 2], "tesla"),
        outlines,
        "from row to row" if twin else "along the row",
    )


def _outlines(assembly: Assembly, side: int, fixed: float) -> tuple[Outline, ...]:
    found = []
    for group in (*assembly.groups, *assembly.answering):
        if isinstance(group, Slices):
            places = np.stack([group.x, group.y], axis=-1)
            cut = np.abs(places[:, 1 - side] - fixed) < group.radius
            for middle in np.unique(places[cut, side]):
                rod = cut & (places[:, side] == middle)
                radius, bottom, top = group.radius[rod][0], group.bottom[rod].min(), group.top[rod].max()
                found.append(Outline((middle - radius, bottom, 2 * radius, top - bottom), "rod"))
        elif isinstance(group, SteelRods):
            found += _of_poles(group, side, fixed)
        elif isinstance(group, SteelPlate):
            centre, size = group.centre, group.size
            if abs(centre[1 - side] - fixed) < size[1 - side] / 2:
                box = (centre[side] - size[side] / 2, group.lowest, size[side], size[2])
                found.append(Outline(box, "steel"))
            found += _of_poles(group.poles, side, fixed) if group.poles else []
        elif isinstance(group, Cells):
            low = (group.centre - group.size / 2).min(axis=0)
            high = (group.centre + group.size / 2).max(axis=0)
            found.append(Outline((low[side], low[2], high[side] - low[side], high[2] - low[2]), "bar"))
    return tuple(found)


def _of_poles(poles: SteelRods, side: int, fixed: float) -> list[Outline]:
    tall = poles.top - poles.bottom
    return [
        Outline((place[side] - poles.radius, poles.bottom, 2 * poles.radius, tall), "steel")
        for place in poles.places
        if abs(place[1 - side] - fixed) < poles.radius
    ]
