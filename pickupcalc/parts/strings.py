"""Strings: what note each one is tuned to, and what is known of its wire."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from math import pi, sqrt
from typing import TYPE_CHECKING, Any

from pickupcalc.errors import Fault, InputError
from pickupcalc.parts.fields import MaybeAmount, SinglePart, checked, measured, one_of
from pickupcalc.physics.sound.strings import Wire, rigidity
from pickupcalc.tables import table
from pickupcalc.units import quantity, single, to_si

if TYPE_CHECKING:
    from pint import Quantity

_STEPS = {"C": -9, "D": -7, "E": -5, "F": -4, "G": -2, "A": 0, "B": 2}
_NOTE = re.compile(r"([A-G])(#|b|♯|♭)?(-?[0-9])")
PLAIN = "plain"
# A round wrap wound turn to turn fills pi/4 of the ring it lies in, and so weighs less than a tube.
WRAP_FILL = pi / 4


def pitch(given: Any) -> Quantity:
    """Frequency of a scientific pitch name (A4 = 440 Hz, ISO 16), or of "41.2 Hz"."""
    if isinstance(given, str) and (found := _NOTE.fullmatch(given.strip())):
        letter, accidental, octave = found.groups()
        steps = _STEPS[letter] + {"#": 1, "♯": 1, "b": -1, "♭": -1}.get(accidental, 0)
        return quantity(440.0 * 2.0 ** (int(octave) - 4 + steps / 12), "hertz")
    try:
        hertz = single(given, "hertz")
    except InputError as error:
        raise InputError.of("", f'{error.faults[0].message}; a string is a note such as "E2"') from None
    if not hertz > 0:
        raise InputError.of("", f"{given} must be above 0 Hz")
    return quantity(hertz, "hertz")


def _note(given: Any) -> Any:
    pitch(given)
    return given


def _wrap(given: Any) -> str:
    return one_of(given, (PLAIN, *table("strings")["wraps"]))


@dataclass(frozen=True, kw_only=True)
class String(SinglePart):
    """One string of the instrument.

    Parameters
    ----------
    note : str or Quantity
        Scientific pitch name or frequency.
    gauge, core : Quantity or str, optional
        Outer and core diameter; a plain string has no core of its own.
    wrap : str, optional
        "plain", or what a wound string is wrapped with: "nickel-plated steel",
        "nickel", "stainless steel", "bronze".
    """

    note: Any = checked(_note)
    gauge: MaybeAmount = measured("meter", default=None, above=0)
    core: MaybeAmount = measured("meter", default=None, above=0)
    wrap: str | None = checked(_wrap, default=None)

    @classmethod
    def of(cls, given: Any) -> String:
        return super().of(given) if isinstance(given, Mapping) else cls(note=given)

    def _contradictions(self) -> list[Fault]:
        if self.wrap == PLAIN and self.core is not None:
            return [Fault("core", "a plain string has none; leave it out, or name its wrap")]
        if self.gauge is not None and self.core is not None and not self.core < self.gauge:
            return [Fault("core", f"{self.core:~} must be below the gauge, {self.gauge:~}")]
        return []

    @property
    def frequency(self) -> Quantity:
        return pitch(self.note)

    @property
    def label(self) -> str:
        return self.note if isinstance(self.note, str) else f"{self.frequency.m:.4g} Hz"

    def assumed_wire(self) -> bool:
        """Whether the gauge is one that usual tension asks for, and nobody measured."""
        return self.gauge is None

    def wire(self, scale_length: float) -> Wire:
        """Diameter, mass, stiffness and steel; usual values stand in for what was not measured.

        Parameters
        ----------
        scale_length : float
            Metres. A gauge nobody measured is the one that takes the usual
            tension on this scale at the string's pitch.
        """
        usual, steel = table("strings")["usual"], table("strings")["steel"]
        bass = scale_length >= to_si(usual["bass_scale"], "meter")
        density = to_si(steel["density"], "kilogram/meter**3")
        tension = to_si(usual["bass_tension" if bass else "guitar_tension"], "newton")
        mass = tension / (2 * scale_length * self.frequency.m) ** 2
        thickest = to_si(usual["thickest_plain"], "meter")
        diameter = self.gauge.m if self.gauge is not None else sqrt(4 * mass / (pi * density))
        if self.wrap == PLAIN or (self.wrap is None and self.core is None and diameter <= thickest):
            return _round_wire(diameter, diameter, density, 0.0, 0.0)
        wrap = table("strings")["wraps"][self.wrap or usual["wrap"]]
        wrap_density = to_si(wrap["density"], "kilogram/meter**3")
        ratio = usual["bass_core" if bass else "guitar_core"]
        if self.gauge is None:
            filled = ratio**2 * density + (1 - ratio**2) * WRAP_FILL * wrap_density
            diameter = sqrt(4 * mass / (pi * filled))
        core = self.core.m if self.core is not None else ratio * diameter
        if core >= diameter:
            raise InputError.of(
                "core", f"{core * 1e3:.2f} mm leaves no room for a wrap; give the gauge as well"
            )
        return _round_wire(diameter, core, density, wrap_density, wrap["magnetic"])


def _round_wire(diameter: float, core: float, steel: float, wrap: float, magnetic: float) -> Wire:
    ring = WRAP_FILL * pi / 4 * (diameter**2 - core**2)
    area = pi / 4 * core**2
    modulus = to_si(table("strings")["steel"]["modulus"], "pascal")
    return Wire(
        diameter=diameter,
        mass=steel * area + wrap * ring,
        rigidity=float(rigidity(core, modulus)),
        magnetic_area=area + magnetic * ring,
    )
