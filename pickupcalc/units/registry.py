"""pint's application registry, asked only for names of our own list."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING, Any, NoReturn

from pickupcalc.errors import Fault, InputError

if TYPE_CHECKING:
    from pint import Quantity

# A unit a person would write for each dimension, shown when it was left out.
_USUAL = {"ohm": "kohm", "farad": "nF", "henry": "H", "meter": "mm", "hertz": "Hz", "kelvin": "degC"}
ROTATIONS = {"radian", "degree", "turn", "revolution", "becquerel", "count", "revolutions_per_minute"}


@functools.cache
def registry() -> Any:
    """pint's application registry, looked up when first needed and never changed."""
    import pint

    return pint.get_application_registry()


@functools.cache
def unit_named(name: str) -> Any:
    """One of our own names as pint's unit."""
    return registry().Unit(name)


def quantity(magnitude: Any, unit: str) -> Quantity:
    """A quantity of an SI magnitude: the way out of the SI core."""
    return registry().Quantity(magnitude, unit_named(unit))


@functools.lru_cache(maxsize=1024)
def conversion(units: Any, unit: str, text: str = "") -> tuple[float, float]:
    """Scale and zero (of degrees Celsius) from pint units to `unit`."""
    try:
        zero, one = (registry().Quantity(x, units).m_as(unit) for x in (0.0, 1.0))
    except Exception as error:  # pint has several kinds for what is one refusal here
        shown = text or str(units)
        told = f"{shown!r} is not in a unit of {unit}; write it like {example(1, unit)!r}"
        raise InputError.of("", told) from error
    return one - zero, zero


def refuse(key: str, message: str) -> NoReturn:
    raise InputError(Fault(key, message))


def example(value: float, unit: str) -> str:
    return f"{value:g} {_USUAL.get(unit, unit)}"


def refuse_rotation(unit_items: dict[str, Any], text: str) -> None:
    """pint takes rad/s for Hz, 2 pi too large; a frequency is cycles per second here."""
    if ROTATIONS & unit_items.keys():
        refuse("", f"{text!r} is not a frequency in Hz; divide an angular frequency by 2 pi first")
