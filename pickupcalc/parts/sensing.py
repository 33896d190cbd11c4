"""A pickup's poles as the strings see them, and how a string is plucked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pickupcalc.parts.fields import MaybeAmount, SinglePart, measured, number
from pickupcalc.physics.sound.sensor import Pole

# 8,000 turns make some 2.5 H in a common single coil, and inductance goes with the square.
# Common practice, no source; wide and narrow bobbins lie 20 % to either side.
TURNS, HENRIES = 8000.0, 2.5


@dataclass(frozen=True, kw_only=True)
class Sensing(SinglePart):
    """Pole, coil and distance. Usual values, alike for all pickups, stand in for what is left out.

    They count beside the pickup's `sensitivity`, which is then what is left when distance,
    field and turns have been told.

    Parameters
    ----------
    distance : Quantity or str, optional
        From the pole's face to the middle of the string.
    face_field : Quantity or str, optional
        Flux density at the middle of a pole's face.
    pole_diameter, pole_length : Quantity or str, optional
    permeability : float, optional
        Of the pole, relative.
    offset : Quantity or str, optional
        How far the string runs beside the pole's middle.
    turns : float, optional
        Where it is left out, those of the coil's geometry, or else estimated from the inductance.
    coil_radius, coil_height, coil_depth : Quantity or str, optional
        The winding as a thin solenoid, its top that far below the pole's face.
    """

    distance: MaybeAmount = measured("meter", default=None, above=0)
    face_field: MaybeAmount = measured("tesla", default=None, above=0)
    pole_diameter: MaybeAmount = measured("meter", default=None, above=0)
    pole_length: MaybeAmount = measured("meter", default=None, above=0)
    permeability: Any = number(default=None, at_least=1)
    offset: MaybeAmount = measured("meter", default=None, at_least=0)
    turns: Any = number(default=None, at_least=1)
    coil_radius: MaybeAmount = measured("meter", default=None, above=0)
    coil_height: MaybeAmount = measured("meter", default=None, above=0)
    coil_depth: MaybeAmount = measured("meter", default=None, at_least=0)

    def pole(self, turns: float) -> Pole:
        """The same in SI numbers, with these turns where none were told here."""
        si = {
            key: float(self.known(key).magnitude)
            for key in ("face_field", "coil_radius", "coil_height", "coil_depth", "distance", "offset")
        }
        return Pole(
            radius=float(self.known("pole_diameter").magnitude) / 2,
            length=float(self.known("pole_length").magnitude),
            permeability=float(self.known("permeability")),
            turns=self.turns or turns,
            **si,
        )


def usual_turns(inductance: float) -> float:
    """Turns of a common coil of that inductance in henry, within some 20 %."""
    return TURNS * (inductance / HENRIES) ** 0.5


@dataclass(frozen=True, kw_only=True)
class Pluck(SinglePart):
    """Where and how a string is pulled aside and let go.

    Parameters
    ----------
    distance_from_bridge : Quantity or str, optional
        A sixth of the scale, or the nearest place clear of the pickups, where it is left out.
    height : Quantity or str, optional
        How far the string is pulled aside.
    width : Quantity or str, optional
        Of finger or plectrum along the string.
    angle : Quantity or str, optional
        0 deg is straight away from the body, 90 deg along it.
    """

    distance_from_bridge: MaybeAmount = measured("meter", default=None, above=0)
    height: MaybeAmount = measured("meter", default=None, above=0)
    width: MaybeAmount = measured("meter", default=None, at_least=0)
    angle: MaybeAmount = measured("radian", default=None)
