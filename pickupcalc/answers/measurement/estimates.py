"""A figure that was worked out from readings, with how sure it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pickupcalc.physics.measuring.estimate import Estimate
from pickupcalc.units import engineering, quantity

if TYPE_CHECKING:
    from pint import Quantity

LEAST_TOLD = 0.3  # below this share of its spread taken away, a figure counts as assumed
TIED = 0.9  # correlation above which two figures are not told apart

SYMBOLS = {"ohm": "Ω", "henry": "H", "farad": "F", "hertz": "Hz"}


@dataclass(frozen=True)
class Figure:
    """A value and its spread.

    Attributes
    ----------
    value : Quantity
    fraction : float
        Two standard deviations (about 95 of 100 cases), relative.
    measured : bool
        False where the readings said little and an expected value stands in.
    """

    value: Quantity
    fraction: float
    measured: bool = True

    def __str__(self) -> str:
        unit = str(self.value.units)
        shown = engineering(self.value.m, SYMBOLS.get(unit, unit))
        return f"{shown} ±{percent(self.fraction)}" + ("" if self.measured else " (assumed)")

    def as_json(self) -> dict[str, Any]:
        return {"value": float(self.value.m), "fraction": self.fraction, "measured": self.measured}


def percent(fraction: float) -> str:
    """A relative spread as a person says it."""
    figure = 100 * fraction
    return f"{figure:.0f} %" if figure >= 9.5 else f"{figure:.2g} %"


def figures(estimate: Estimate, units: Sequence[str], given: Sequence[bool]) -> list[Figure]:
    """The values of an estimate with their units; `given` marks those that were readings themselves."""
    rows = zip(estimate.values, estimate.deviation, estimate.told, units, given, strict=True)
    return [
        Figure(quantity(float(v), unit), 2 * float(d), bool(was_given or told > LEAST_TOLD))
        for v, d, told, unit, was_given in rows
    ]


def tied_pairs(estimate: Estimate, names: Sequence[str]) -> list[tuple[str, str]]:
    """Pairs of which the readings tell only a combination."""
    rho, told = abs(estimate.correlation), estimate.told
    return [
        (names[i], names[j])
        for i in range(len(names))
        for j in range(i + 1, len(names))
        if rho[i, j] > TIED and min(told[i], told[j]) < 1 - (1 - LEAST_TOLD) * 0.5
    ]
