"""Units at the public edge: text and quantities in, SI numbers inside, quantities out.

The registry is pint's application registry, so a quantity made by anyone's own
``import pint`` fits here. Text is never handed to pint: our grammar is a bounded
number, then factors from the list below, so "500k" cannot become a Boltzmann
constant and "2,5 H" cannot become 25 H: it is 2.5 H, as many people write it.
"""

from __future__ import annotations

import functools
import inspect
import math
import re
import unicodedata
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, NoReturn, TypeAlias

import numpy as np

from pickupcalc.errors import Fault, InputError
from pickupcalc.limits import VALUES, at_most

if TYPE_CHECKING:
    from pint import Quantity
    from pint.facets.plain import PlainQuantity

# What a quantity may be given as. pint's arithmetic gives plain quantities.
Given: TypeAlias = "PlainQuantity[Any] | str"
Frequencies: TypeAlias = "PlainQuantity[Any] | Sequence[Given] | None"

LONGEST_TEXT = 60  # characters; the longest sensible quantity is far shorter
LARGEST_EXPONENT = 30  # nothing on a bench is 1e30 of anything

# What may be written, and pint's name for it.
_SYMBOLS = {
    "ohm": "ohm", "Ohm": "ohm", "ohms": "ohm", "Ω": "ohm", "R": "ohm",
    "H": "henry", "F": "farad", "V": "volt", "A": "ampere", "W": "watt", "S": "siemens",
    "Hz": "hertz", "s": "second", "min": "minute", "T": "tesla", "Wb": "weber",
    "m": "meter", "in": "inch", "inch": "inch", "thou": "thou", "ft": "foot",
    "g": "gram", "N": "newton", "Pa": "pascal", "J": "joule",
    "K": "kelvin", "deg": "degree", "%": "percent",
}  # fmt: skip
_PREFIXES = {
    "f": "femto", "p": "pico", "n": "nano", "u": "micro", "μ": "micro", "m": "milli",
    "c": "centi", "k": "kilo", "M": "mega", "G": "giga",
}  # fmt: skip
_UNPREFIXED = {"in", "inch", "thou", "ft", "min", "deg", "%", "R"}

# IEC 60062 puts the multiplier's letter where the decimal point would stand.
# H in the same place is common practice for inductors, no source.
# The numbers are powers of ten.
_LETTER_CODES = {
    "ohm": {"L": -3, "R": 0, "K": 3, "k": 3, "M": 6, "G": 9},
    "farad": {"p": -12, "n": -9, "u": -6, "μ": -6, "m": -3, "F": 0},
    "henry": {"u": -6, "μ": -6, "m": -3, "H": 0},
}

# A unit a person would write for each dimension, shown when it was left out.
_USUAL = {"ohm": "kohm", "farad": "nF", "henry": "H", "meter": "mm", "hertz": "Hz", "kelvin": "degC"}

_NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
_QUANTITY = re.compile(rf"({_NUMBER})(?:[eE]([+-]?[0-9]+))?\s*(.*)", re.DOTALL)
_LETTER_CODE = re.compile(r"(?P<whole>[0-9]*)(?P<letter>[A-Za-zμ])(?P<decimals>[0-9]*)")
# "6.2k", as most people write 6k2.
_LETTER_BEHIND = re.compile(r"(?P<whole>[0-9]*)\.(?P<decimals>[0-9]+)(?P<letter>[A-Za-zμ])")
_FACTOR = re.compile(r"([A-Za-zΩμ%]+)(?:\^|\*\*)?([+-]?[0-9])?")
_ROTATIONS = {"radian", "degree", "turn", "revolution", "becquerel", "count", "revolutions_per_minute"}


@functools.cache
def registry() -> Any:
    """pint's application registry, looked up when first needed and never changed."""
    import pint

    return pint.get_application_registry()


@functools.cache
def _unit(name: str) -> Any:
    return registry().Unit(name)


def quantity(magnitude: Any, unit: str) -> Quantity:
    """A quantity of an SI magnitude: the way out of the SI core."""
    return registry().Quantity(magnitude, _unit(unit))


@functools.lru_cache(maxsize=4096)
def parse(text: str, unit: str) -> float:
    """The SI number that a text such as "6.1 kohm", "4k7" or "22n" stands for.

    Parameters
    ----------
    text : str
        A number and a unit, at most 60 characters. IEC 60062 letter codes are
        read where `unit` is ohm, farad or henry.
    unit : str
        pint's name of the unit wanted, which also fixes the dimension.

    Returns
    -------
    float
        The magnitude in `unit`.

    Raises
    ------
    InputError
        If the text is not exactly that. Nothing is ever evaluated.

    Examples
    --------
    >>> parse("6.1 kohm", "ohm"), parse("4k7", "ohm")
    (6100.0, 4700.0)
    """
    if len(text) > LONGEST_TEXT:
        _refuse("", f"a text of {len(text)} characters is not a quantity")
    # NFKC makes one of the Ohm sign and the Greek capital, of both micro signs, of superscripts.
    clean = unicodedata.normalize("NFKC", text).strip()
    found = _LETTER_CODE.fullmatch(clean)
    if found and len(clean) > 1 and unit in _LETTER_CODES:
        return _letter_code(found, text, unit)
    clean = _with_decimal_point(clean, text)
    found = _LETTER_BEHIND.fullmatch(clean)
    if found and found["letter"] in _LETTER_CODES.get(unit, ()):
        return _letter_code(found, text, unit)
    found = _QUANTITY.fullmatch(clean)
    if not found:
        _refuse("", f"{text!r} is not a number with a unit, such as {_example(1, unit)!r}")
    number, exponent, unit_text = found.groups()
    if exponent and abs(int(exponent)) > LARGEST_EXPONENT:
        _refuse("", f"{text!r} is beyond anything on a bench (exponent above {LARGEST_EXPONENT})")
    value = float(f"{number}e{exponent or 0}")
    if not math.isfinite(value) or abs(value) > 10.0**LARGEST_EXPONENT:
        _refuse("", f"{text!r} is beyond anything on a bench")
    if not unit_text:
        if unit == "dimensionless":
            return value
        _refuse("", f"{text!r} has no unit; write {_example(value, unit)!r}")
    written = _written_unit(unit_text, text)
    if unit == "hertz":
        _refuse_rotation(dict(written._units.items()), text)
    scale, zero = _conversion(written, unit, text)
    return value * scale + zero


def _with_decimal_point(clean: str, text: str) -> str:
    """A decimal comma made a point, where it cannot be one that groups thousands."""
    if "," not in clean:
        return clean
    found = re.match(r"[+-]?([0-9]+),([0-9]+)(?![0-9.,])", clean)
    if clean.count(",") == 1 and found and (len(found[2]) != 3 or found[1].lstrip("0") == ""):
        return clean.replace(",", ".")
    point, whole = clean.replace(",", "."), clean.replace(",", "")
    raise InputError.of("", f"{text!r} can be read in two ways; write {point!r} or {whole!r}")


@functools.lru_cache(maxsize=1024)
def _conversion(units: Any, unit: str, text: str = "") -> tuple[float, float]:
    """Scale and zero (of degrees Celsius) from pint units to `unit`."""
    try:
        zero, one = (registry().Quantity(x, units).m_as(unit) for x in (0.0, 1.0))
    except Exception as error:  # pint has several kinds for what is one refusal here
        shown = text or str(units)
        example = _example(1, unit)
        raise InputError.of("", f"{shown!r} is not in a unit of {unit}; write it like {example!r}") from error
    return one - zero, zero


def _letter_code(found: re.Match[str], text: str, unit: str) -> float:
    whole, letter, decimals = found.group("whole", "letter", "decimals")
    letters = _LETTER_CODES[unit]
    if letter not in letters:
        _refuse("", f"{text!r}: the letter of a code for {unit} is one of {', '.join(letters)}")
    return float(f"{whole or 0}.{decimals or 0}e{letters[letter]}")


@functools.lru_cache(maxsize=1024)
def _written_unit(unit_text: str, text: str) -> Any:
    """The pint unit of "kohm", "pF/m", "MS/m", "m s^-1": listed factors, "/" before what divides."""
    if unit_text in ("degC", "°C"):
        return _unit("degree_Celsius")
    product = _unit("dimensionless")
    sign = 1
    for token in re.findall(r"/|[^\s/*·]+(?:\*\*[0-9])?|[*·]", unit_text):
        if token in "*·":
            continue
        if token == "/":
            sign = -1
            continue
        found = _FACTOR.fullmatch(token)
        name = _unit_name(found[1]) if found else None
        if not found or name is None:
            _refuse("", f"{text!r}: {token!r} is not a unit known here{_unit_hint(token)}")
        product = product * _unit(name) ** (sign * int(found[2] or 1))
    return product


def _unit_name(symbol: str) -> str | None:
    if symbol in _SYMBOLS:
        return _SYMBOLS[symbol]
    prefix, rest = symbol[:1], symbol[1:]
    if prefix in _PREFIXES and rest in _SYMBOLS and rest not in _UNPREFIXED:
        return _PREFIXES[prefix] + _SYMBOLS[rest]
    return None


def _unit_hint(token: str) -> str:
    if token in ("mil", "mils"):
        return "; a thousandth of an inch is written thou"
    if token in ("turn", "turns"):
        return "; turns are a plain number"
    if token in ("gauss", "G", "Gs"):
        return "; 1 gauss is written 0.1 mT"
    if token in _PREFIXES:
        return f"; it needs a unit behind it, or to stand right behind its number ('250{token}')"
    for likely in (token.lower(), token[:1].lower() + token[1:], token.capitalize()):
        if _unit_name(likely):
            return f"; did you mean {likely}?"
    return ""


def _refuse(key: str, message: str) -> NoReturn:
    raise InputError(Fault(key, message))


def _example(value: float, unit: str) -> str:
    return f"{value:g} {_USUAL.get(unit, unit)}"


def _refuse_rotation(unit_items: dict[str, Any], text: str) -> None:
    """pint takes rad/s for Hz, 2 pi too large; a frequency is cycles per second here."""
    if _ROTATIONS & unit_items.keys():
        _refuse("", f"{text!r} is not a frequency in Hz; divide an angular frequency by 2 pi first")


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


def _to_si(value: Any, unit: str) -> Any:
    if isinstance(value, str):
        return parse(value, unit)
    if hasattr(value, "_units"):
        magnitude = _magnitude(value, unit)
    elif unit == "dimensionless" and _is_real(value):
        magnitude = value
    elif _is_real(value):
        shown = f'write "{_example(value, unit)}"' if np.ndim(value) == 0 else f"give it a unit of {unit}"
        _refuse("", f"{value!r} has no unit; {shown}")
    else:
        _refuse("", f"{_short(value)} is not a quantity, such as {_example(1, unit)!r}")
    if isinstance(magnitude, float):
        finite = math.isfinite(magnitude)
    else:
        at_most("", np.size(magnitude), VALUES, "values")
        magnitude = np.asarray(magnitude, dtype=float)
        finite = bool(np.all(np.isfinite(magnitude)))
        magnitude = magnitude if magnitude.ndim else float(magnitude)
    if not finite:
        _refuse("", f"{_short(value)} is not finite")
    return magnitude


def _is_real(value: Any) -> bool:
    if isinstance(value, int):  # Python's may be larger than any float
        return not isinstance(value, bool) and abs(value) <= 10**LARGEST_EXPONENT
    return isinstance(value, (float, np.integer, np.floating)) or (
        isinstance(value, np.ndarray) and value.dtype.kind in "iuf"
    )


def _magnitude(value: Any, unit: str) -> Any:
    if value._units == _unit(unit)._units:
        return value._magnitude
    items = dict(value._units.items())
    if unit == "hertz":
        _refuse_rotation(items, _short(value))
    if unit == "dimensionless" and _ROTATIONS & items.keys():
        _refuse("", f"{_short(value)} is an angle; turns are a plain number")
    scale, zero = _conversion(value.units, unit)
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
            if len(args) > len(names):
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


def turns(value: Any, key: str = "turns") -> float:
    """A number of turns: plain, never an angle (pint would make 5000 turns 31416)."""
    return to_si(value, "dimensionless", key)


def amplitude_db(ratio: Any) -> Any:
    """Decibels of a ratio of amplitudes, 20 log10.

    Examples
    --------
    >>> float(round(amplitude_db(0.5), 2))
    -6.02
    """
    with np.errstate(divide="ignore"):
        return 20.0 * np.log10(np.abs(ratio))


def power_db(ratio: Any) -> Any:
    """Decibels of a ratio of powers, 10 log10."""
    with np.errstate(divide="ignore"):
        return 10.0 * np.log10(np.abs(ratio))


def engineering(value: Any, symbol: str, digits: int = 3) -> str:
    """An SI number as a person writes it: 4120 and "Hz" give "4.12 kHz".

    Examples
    --------
    >>> engineering(4120, "Hz"), engineering(22e-9, "F")
    ('4.12 kHz', '22.0 nF')
    """
    value = float(value)
    if value == 0 or not math.isfinite(value):
        return f"{value:g} {symbol}"
    value = float(f"{value:.{digits - 1}e}")  # so that 999.9 becomes 1.00 k, not 1000
    step = min(9, max(-15, 3 * math.floor(math.log10(abs(value)) / 3)))
    prefix = {-15: "f", -12: "p", -9: "n", -6: "µ", -3: "m", 0: "", 3: "k", 6: "M", 9: "G"}[step]
    scaled = value / 10.0**step
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(scaled)) + 1e-9))
    return f"{scaled:.{decimals}f} {prefix}{symbol}"
