"""What a compass shows beside a pickup: needle by needle, at both ends of every pole, state by state."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.answers.magnet.reversal import above_zero
from pickupcalc.errors import InputError
from pickupcalc.parts.jig import Jig
from pickupcalc.parts.magnets import Magnets, Rods, TwinCoil
from pickupcalc.physics.magnetism.assembly import Assembly
from pickupcalc.physics.magnetism.magnetising import STEEL_SATURATION
from pickupcalc.physics.magnetism.pieces import rods
from pickupcalc.tables import table
from pickupcalc.units import Given, quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity

STATES = ("as it is", "after the jig", "wholly reversed", "magnet taken out")
EARTH = "20 uT"  # horizontal part in mid latitudes, 15 to 40 uT: from memory
SLUG_SLICES = 6
UNSURE = "unsure"
SURE = 3.0  # times the Earth's field, for a needle that points rather than swings


@dataclass(frozen=True)
class Needle:
    """A compass beside one end of one pole.

    Attributes
    ----------
    pole : int
        Counted from 1 along the row.
    end : {"top", "foot"}
        The end toward the strings, or the other one.
    angle : float
        Of the needle's north end, in degrees: 0 straight away from the pole, 180 straight at it, 90 along
        the row, where the Earth holds it when nothing else does.
    field : Quantity
        At the needle, without the Earth's, in T.
    shows : {"north", "south", "unsure"}
        The pole the needle tells of. A compass's north end is drawn to a south pole.
    """

    pole: int
    end: str
    angle: float
    field: Quantity
    shows: str

    def as_json(self) -> dict[str, Any]:
        return {
            "pole": self.pole,
            "end": self.end,
            "angle_deg": self.angle,
            "field_t": self.field.m,
            "shows": self.shows,
        }


def compass(
    magnets: Magnets,
    state: str = "as it is",
    *,
    jig: Jig | None = None,
    distance: Given = "20 mm",
    earth: Given = EARTH,
) -> tuple[Needle, ...]:
    """The needle at both ends of every pole.

    The pickup lies on its long side, so that the poles and the needle are in one level plane and the row
    of poles points to magnetic north.

    Parameters
    ----------
    magnets : Rods, BarUnderPoles or TwinCoil
    state : {"as it is", "after the jig", "wholly reversed", "magnet taken out"}
        "after the jig" needs `jig`. "magnet taken out" leaves the bare steel with what it keeps.
    distance : Quantity or str
        From the end of the pole (or the back of the bar) to the needle's pivot.
    earth : Quantity or str
        Horizontal part of the Earth's field.

    Raises
    ------
    InputError
        For an unknown state, a missing jig, a distance not above zero, or rods asked to be without
        their magnet.

    Notes
    -----
    Bare steel: each slug stays where its own demagnetising field meets its coercive field (table
    "pole_steel"), so it keeps some Hc/N of magnetisation. Good to a factor of two.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> pc.compass(pc.Rods(magnet="south"))[0].shows
    'south'
    """
    metres = above_zero(distance, "distance")
    around = to_si(earth, "tesla", "earth")
    assembly, magnetisation = magnet_state(magnets, state, jig)
    bottom = assembly.lowest
    places = [(i, end, x, y) for end in ("top", "foot") for i, (x, y) in enumerate(magnets.places, 1)]
    points = np.array([(x, y, metres if end == "top" else bottom - metres) for _, end, x, y in places])
    field = assembly.field(points, magnetisation)
    return tuple(_needle(pole, end, b, around) for (pole, end, _, _), b in zip(places, field, strict=True))


def _needle(pole: int, end: str, field: Any, earth: float) -> Needle:
    away = field[2] if end == "top" else -field[2]
    angle = float(np.degrees(np.arctan2(field[0] + earth, away)))
    shows = ("north" if away > 0 else "south") if abs(away) >= SURE * earth else UNSURE
    return Needle(pole, end, angle, quantity(float(np.hypot(field[0], field[2])), "tesla"), shows)


def magnet_state(magnets: Magnets, state: str, jig: Jig | None = None) -> tuple[Assembly, Any]:
    """The pieces and their magnetisation in A/m in one of STATES; see `compass`."""
    work = magnets.work()
    if state == "as it is":
        return work.assembly, work.as_it_lies().magnetisation
    if state == "wholly reversed":
        turned = replace(work, signs=np.where(work.hard, -magnets.sign, 0.0))
        return work.assembly, turned.as_it_lies().magnetisation
    if state == "after the jig":
        if jig is None:
            raise InputError.of("jig", "is needed to tell what it left behind")
        after = work.afterwards(work.in_the_jig(jig.around(magnets).on(work)))
        return work.assembly, after.magnetisation
    if state == "magnet taken out":
        return _bare_steel(magnets)
    raise InputError.of("state", f'"{state}" is not one of: {", ".join(STATES)}')


def _bare_steel(magnets: Magnets) -> tuple[Assembly, Any]:
    """The poles alone, each keeping what its coercive field can hold against its own poles."""
    if isinstance(magnets, Rods):
        raise InputError.of("state", "the rods are the magnet; there is no steel to leave behind")
    slugs = rods(
        magnets.places, bottom=-magnets.length.m, top=0.0, radius=magnets.diameter.m / 2, slices=SLUG_SLICES
    )
    bare = Assembly((slugs,))
    was = magnets.sign * (np.where(slugs.y < 0, -1.0, 1.0) if isinstance(magnets, TwinCoil) else 1.0)
    coercive = to_si(table("pole_steel")["coercivity"][1], "A/m")
    kept = np.linalg.solve(bare.coupling, -coercive * was * np.ones(slugs.count))
    return bare, np.clip(kept, -STEEL_SATURATION, STEEL_SATURATION)
