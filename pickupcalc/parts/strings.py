"""Strings: what note each one is tuned to, and what is known of its wire."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pickupcalc.errors import InputError
from pickupcalc.parts.fields import Part, checked, measured
from pickupcalc.units import quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity

_STEPS = {"C": -9, "D": -7, "E": -5, "F": -4, "G": -2, "A": 0, "B": 2}
_NOTE = re.compile(r"([A-G])(#|b|♯|♭)?(-?[0-9])")


def pitch(given: Any) -> Quantity:
    """Frequency of a scientific pitch name (A4 = 440 Hz, ISO 16), or of "41.2 Hz"."""
    if isinstance(given, str) and (found := _NOTE.fullmatch(given.strip())):
        letter, accidental, octave = found.groups()
        steps = _STEPS[letter] + {"#": 1, "♯": 1, "b": -1, "♭": -1}.get(accidental, 0)
        return quantity(440.0 * 2.0 ** (int(octave) - 4 + steps / 12), "hertz")
    try:
        hertz = to_si(given, "hertz")
    except InputError as error:
        raise InputError.of("", f'{error.faults[0].message}; a string is a note such as "E2"') from None
    if not hertz > 0:
        raise InputError.of("", f"{given} must be above 0 Hz")
    return quantity(hertz, "hertz")


def _note(given: Any) -> Any:
    pitch(given)
    return given


@dataclass(frozen=True, kw_only=True)
class String(Part):
    """One string of the instrument.

    Parameters
    ----------
    note : str or Quantity
        Scientific pitch name or frequency.
    gauge, core : Quantity or str, optional
        Outer and core diameter; a plain string has no core of its own.
    """

    note: Any = checked(_note)
    gauge: Quantity | None = measured("meter", default=None, above=0)
    core: Quantity | None = measured("meter", default=None, above=0)

    @classmethod
    def of(cls, given: Any) -> String:
        return super().of(given) if isinstance(given, Mapping) else cls(note=given)

    @property
    def frequency(self) -> Quantity:
        return pitch(self.note)
