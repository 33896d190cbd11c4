"""Winding wire by gauge or diameter, with its film."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.errors import Fault
from pickupcalc.parts.fields import MaybeAmount, SinglePart, choice, measured, number
from pickupcalc.physics.winding import wire as si
from pickupcalc.tables import rows
from pickupcalc.units import millimetres, quantity

if TYPE_CHECKING:
    from pint import Quantity

GRADES = ("single", "heavy", "triple")
GRADE_COLUMN = "grade(1=single,2=heavy,3=triple)"
BY_GRADE = dict(zip("123", GRADES, strict=True))


@cache
def film_table(standard: str) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """Sizes as they are sold (gauge, or bare millimetres) and nominal overall over bare diameter, by film.

    `standard` is "NEMA MW 1000 C" or "IEC 60317"; where that states limits only, their middle is taken.
    """
    found: dict[str, list[tuple[float, float]]] = {name: [] for name in GRADES}
    for r in rows("magnet_wire"):
        if r["standard"] != standard:
            continue
        size = float(r["size"].split()[0])
        bare = si.awg_diameter(size) if standard.startswith("NEMA") else size * 1e-3
        limits = [float(r[key]) for key in ("od_min_um", "od_max_um") if r[key]]
        overall = float(r["od_nom_um"]) if r["od_nom_um"] else sum(limits) / len(limits)
        found[BY_GRADE[r[GRADE_COLUMN]]].append((size, overall * 1e-6 / bare))
    return {name: tuple(np.array(sorted(pairs)).T) for name, pairs in found.items()}


@dataclass(frozen=True, kw_only=True)
class Wire(SinglePart):
    """Enamelled copper wire.

    Parameters
    ----------
    awg : float, optional
        American wire gauge, 30 to 50; halves are made too. The bare diameter follows ASTM B258.
    diameter : Quantity or str, optional
        Bare diameter, instead of the gauge.
    overall : Quantity or str, optional
        Diameter with film; from the tables of NEMA MW 1000 (gauges) or IEC 60317 (metric) if left out.
    coating : {"single", "heavy", "triple"}
        Film build, grade 1 to 3 in IEC words.
    stretch : float or str
        How much the winding tension has drawn the wire, such as "1 %".
    """

    awg: Any = number(default=None, at_least=30, at_most=50)
    diameter: MaybeAmount = measured("meter", default=None, above=0)
    overall: MaybeAmount = measured("meter", default=None, above=0)
    coating: str = choice(*GRADES, default="single")
    stretch: Any = number(default=0.0, at_least=0.0, at_most=0.2)

    def _contradictions(self) -> list[Fault]:
        if (self.awg is None) == (self.diameter is None):
            return [Fault("", 'needs one of awg = 42 or diameter = "0.063 mm"')]
        if not 10e-6 <= self.bare <= 1e-3:
            return [Fault("diameter", f"{millimetres(self.bare)} is outside of 0.01 to 1 mm")]
        if self.overall is not None and self.overall.m < self.bare:
            overall, bare = millimetres(self.overall.m), millimetres(self.bare)
            return [Fault("overall", f"{overall} is less than the bare {bare}")]
        return []

    @property
    def bare(self) -> float:
        """Bare diameter in metres."""
        return float(self.diameter.m) if self.diameter is not None else float(si.awg_diameter(self.awg))

    @property
    def over_film(self) -> float:
        """Diameter with film in metres: given, or nominal from the tables.

        Beyond the tables' sizes it keeps the last one's ratio, some 6 % off at 1 mm (from memory).
        """
        if self.overall is not None:
            return float(self.overall.m)
        by_gauge = self.awg is not None
        sizes, ratios = film_table("NEMA MW 1000 C" if by_gauge else "IEC 60317")[self.coating]
        size = float(self.awg) if by_gauge else self.bare * 1e3
        return self.bare * float(np.interp(size, sizes, ratios))

    def resistance_per_metre(self, temperature: float = 20.0) -> Quantity:
        """Resistance per metre as wound, at a temperature in degC."""
        return quantity(si.resistance_per_metre(self.bare, temperature, self.stretch), "ohm/meter")

    @property
    def mass_per_metre(self) -> float:
        """Copper's mass in kg per metre as wound; the film adds some 5 to 15 % to a spool's weight."""
        return si.COPPER_DENSITY * np.pi / 4 * self.bare**2 / (1 + self.stretch)

    def told(self) -> str:
        """As on a spool's label."""
        size = f"{self.awg:g} AWG" if self.awg is not None else f"{self.bare * 1e3:.3f} mm"
        return f"{size}, {self.over_film * 1e3:.3f} mm with film"
