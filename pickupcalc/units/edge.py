"""Quantities and text become SI numbers once, on the way in; results are wrapped once, on the way out."""

from __future__ import annotations

import functools
import inspect
import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from pickupcalc.errors import Fault, InputError
from pickupcalc.limits import VALUES, at_most
from pickupcalc.units.registry import (
    ROTATIONS,
    conversion,
    example,
    quantity,
    refuse,
    refuse_rotation,
    unit_named,
)
from pickupcalc.units.text import LARGEST_EXPONENT, LONGEST_TEXT, parse

if TYPE_CHECKING:
    from pint.facets.plain import PlainQuantity

# What a quantity may be given as. pint's arithmetic gives plain quantities.
Given: TypeAlias = "PlainQuantity[Any] | str"
Frequencies: TypeAlias = "PlainQuantity[Any] | Sequence[Given] | None"


def to_si(value: Any, unit: str, key: str = "") -> Any:
    """The SI magnitude of a text or a quantity; a bare number is refused.

    Parameters
    ----------
    value : str or Quantity
        What was given; a quantity may hold an array of any shape.
    unit : str
        pint's name of the coherent SI unit wanted, or "dimensionless", where
        plain numbers are what is meant.
    key : str
        What the value is, for the message.

    Returns
    -------
    float or ndarray of float

    Raises
    ------
    InputError
        For bare numbers where a unit matters, another dimension, or a value
        that is not finite.
    """
    try:
        return _to_si(value, unit)
    except InputError as error:
        raise InputError([Fault(key, fault.message) for fault in error.faults]) from None


def single(value: Any, unit: str, key: str = "") -> float:
    """`to_si` for what must be one value; an array is refused."""
    found = to_si(value, unit, key)
    if np.ndim(found):
        raise InputError.of(key, f"has {np.size(found)} values; one is taken")
    return float(found)


def _to_si(value: Any, unit: str) -> Any:
    if isinstance(value, str):
        return parse(value, unit)
    if hasattr(value, "_units"):
        magnitude = _magnitude(value, unit)
    elif unit == "dimensionless" and _is_real(value):
        magnitude = value
    elif _is_real(value):
        shown = f'write "{example(value, unit)}"' if np.ndim(value) == 0 else f"give it a unit of {unit}"
        refuse("", f"{value!r} has no unit; {shown}")
    else:
        refuse("", f"{_short(value)} is not a quantity, such as {example(1, unit)!r}")
    if isinstance(magnitude, float):
        finite = math.isfinite(magnitude)
    else:
        at_most("", np.size(magnitude), VALUES, "values")
        magnitude = np.asarray(magnitude, dtype=float)
        finite = bool(np.all(np.isfinite(magnitude)))
        magnitude = magnitude if magnitude.ndim else float(magnitude)
    if not finite:
        refuse("", f"{_short(value)} is not finite")
    return magnitude


def _is_real(value: Any) -> bool:
    if isinstance(value, int):  # Python's may be larger than any float
        return not isinstance(value, bool) and abs(value) <= 10**LARGEST_EXPONENT
    return isinstance(value, (float, np.integer, np.floating)) or (
        isinstance(value, np.ndarray) and value.dtype.kind in "iuf"
    )


def _magnitude(value: Any, unit: str) -> Any:
    if value._units == unit_named(unit)._units:
        return value._magnitude
    items = dict(value._units.items())
    if unit == "hertz":
        refuse_rotation(items, _short(value))
    if unit == "dimensionless" and ROTATIONS & items.keys():
        refuse("", f"{_short(value)} is an angle; turns are a plain number")
    scale, zero = conversion(value.units, unit)
    return value._magnitude * scale + zero


def _short(value: Any) -> str:
    text = str(value) if hasattr(value, "_units") else repr(value)
    return text if len(text) <= LONGEST_TEXT else text[:LONGEST_TEXT] + "..."


def with_units(returns: str | None = None, **units: str) -> Callable[[Callable[..., Any]], Any]:
    """Give a function written in SI numbers an edge that speaks quantities.

    The arguments named in `units` are stripped to SI once, the result is
    wrapped once; the function itself stays reachable as ``.si`` for solvers and
    sweeps. All bad arguments are named in one error. ``None`` passes through.
    """

    def decorate(function: Callable[..., Any]) -> Any:
        names = list(inspect.signature(function).parameters)

        @functools.wraps(function)
        def edge(*args: Any, **kwargs: Any) -> Any:
            given = dict(zip(names, args, strict=False)) | kwargs if args else kwargs
            if len(given) < len(args) + len(kwargs):  # one too many, or one given twice
                return function(*args, **kwargs)  # raises Python's own TypeError
            faults: list[Fault] = []
            for name, unit in units.items():
                value = given.get(name)
                if value is None:
                    continue
                try:
                    given[name] = _to_si(value, unit)
                except InputError as error:
                    faults += [Fault(name, fault.message) for fault in error.faults]
            if faults:
                raise InputError(faults)
            result = function(**given)
            return result if returns is None or result is None else quantity(result, returns)

        edge.si = function  # type: ignore[attr-defined]
        return edge

    return decorate


def frequencies(
    given: Frequencies, default: tuple[float, float, int], most: int, highest: float = math.inf
) -> Any:
    """Frequencies in Hz from a list of texts or a quantity, ascending or not.

    Parameters
    ----------
    given : Quantity, sequence of str or None
    default : (float, float, int)
        From, to and how many on a logarithmic scale, where none are given.
    most, highest : int, float
        How many are taken, and up to which.

    Returns
    -------
    ndarray, shape (frequencies,)

    Raises
    ------
    InputError
    """
    if given is None:
        return np.geomspace(*default)
    if isinstance(given, (list, tuple)):
        given = [to_si(f, "hertz", "frequencies") for f in given]
    else:
        given = to_si(given, "hertz", "frequencies")
    hertz = np.atleast_1d(np.asarray(given, dtype=float))
    inside = hertz.ndim == 1 and 0 < hertz.size <= most and np.all((hertz > 0) & (hertz <= highest))
    if not inside:
        limit = "" if math.isinf(highest) else f" and at most {highest / 1e3:g} kHz"
        raise InputError.of("frequencies", f"must be 1 to {most} values, all above 0 Hz{limit}")
    return hertz
