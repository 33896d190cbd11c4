"""The soft steel keeper of a pickup's magnet: a plate beneath it, or the strip that steel poles stand on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pickupcalc.errors import Fault
from pickupcalc.parts.fields import Amount, SinglePart, measured
from pickupcalc.physics.magnetism.steel_plates import STEP, SteelPlate

CONTACT = 5e-5  # m, of glue and roughness between a magnet and the steel on it: common practice, no source
STEEL_PERMEABILITY = 150.0  # of pole steel in weak fields: from memory, 100 to 250
MOST_STEPS = 12  # rectangles along a keeper that is larger than any pickup
LEAST_OVERHANG = 1.1  # width of a keeper over the diameter of what stands on it


@dataclass(frozen=True, kw_only=True)
class Keeper(SinglePart):
    """A rectangular plate or strip of soft steel.

    Magnets lie on it with a little glue between, steel poles stand on it or go through it as one body. It
    is taken as far from saturation; `answers.magnet.keeper` tells the field in the steel.

    Parameters
    ----------
    length, width, thickness : Quantity or str
        Along the row of poles, along the strings, and toward the strings.
    """

    length: Amount = measured("meter", default="64 mm", above=0)
    width: Amount = measured("meter", default="6 mm", above=0)
    thickness: Amount = measured("meter", default="3.2 mm", above=0)

    @property
    def size(self) -> tuple[float, float, float]:
        """In m along x, y and z."""
        return float(self.length.m), float(self.width.m), float(self.thickness.m)

    def plate(self, y: float, top: float, **on_it: Any) -> SteelPlate:
        """The keeper with its middle over y and its upper face at z = top, in m, and what stands on it."""
        size = self.size
        step = max(STEP, max(size) / MOST_STEPS)
        return SteelPlate((0.0, y, top - size[2] / 2), size, STEEL_PERMEABILITY, step=step, **on_it)

    def too_small_for(self, places: Sequence[tuple[float, float]], diameter: float) -> list[Fault]:
        """Faults where a row of round magnets or poles would stand over the keeper's edge."""
        along = max(x for x, _ in places) - min(x for x, _ in places)
        faults = []
        for name, apart in (("length", along), ("width", 0.0)):
            least = apart + LEAST_OVERHANG * diameter
            if getattr(self, name).m < least - 1e-9:
                faults.append(Fault(f"keeper, {name}", f"must be at least {1e3 * least:.1f} mm here"))
        return faults
