"""What may be written for a quantity: a bounded number, then factors from a list. Nothing is evaluated."""

from __future__ import annotations

import functools
import math
import re
import unicodedata
from typing import Any

from pickupcalc.errors import InputError
from pickupcalc.units.registry import conversion, example, refuse, refuse_rotation, unit_named

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

_NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
_QUANTITY = re.compile(rf"({_NUMBER})(?:[eE]([+-]?[0-9]+))?\s*(.*)", re.DOTALL)
_LETTER_CODE = re.compile(r"(?P<whole>[0-9]*)(?P<letter>[A-Za-zμ])(?P<decimals>[0-9]*)")
# "6.2k", as most people write 6k2.
_LETTER_BEHIND = re.compile(r"(?P<whole>[0-9]*)\.(?P<decimals>[0-9]+)(?P<letter>[A-Za-zμ])")
_FACTOR = re.compile(r"([A-Za-zΩμ%]+)(?:\^|\*\*)?([+-]?[0-9])?")


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
        refuse("", f"a text of {len(text)} characters is not a quantity")
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
        refuse("", f"{text!r} is not a number with a unit, such as {example(1, unit)!r}")
    number, exponent, unit_text = found.groups()
    if exponent and abs(int(exponent)) > LARGEST_EXPONENT:
        refuse("", f"{text!r} is beyond anything on a bench (exponent above {LARGEST_EXPONENT})")
    value = float(f"{number}e{exponent or 0}")
    if not math.isfinite(value) or abs(value) > 10.0**LARGEST_EXPONENT:
        refuse("", f"{text!r} is beyond anything on a bench")
    if not unit_text:
        if unit == "dimensionless":
            return value
        refuse("", f"{text!r} has no unit; write {example(value, unit)!r}")
    written = _written_unit(unit_text, text)
    if unit == "hertz":
        refuse_rotation(dict(written._units.items()), text)
    scale, zero = conversion(written, unit, text)
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


def _letter_code(found: re.Match[str], text: str, unit: str) -> float:
    whole, letter, decimals = found.group("whole", "letter", "decimals")
    letters = _LETTER_CODES[unit]
    if letter not in letters:
        refuse("", f"{text!r}: the letter of a code for {unit} is one of {', '.join(letters)}")
    return float(f"{whole or 0}.{decimals or 0}e{letters[letter]}")


@functools.lru_cache(maxsize=1024)
def _written_unit(unit_text: str, text: str) -> Any:
    """The pint unit of "kohm", "pF/m", "MS/m", "m s^-1": listed factors, "/" before what divides."""
    if unit_text in ("degC", "°C"):
        return unit_named("degree_Celsius")
    product = unit_named("dimensionless")
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
            refuse("", f"{text!r}: {token!r} is not a unit known here{_unit_hint(token)}")
        product = product * unit_named(name) ** (sign * int(found[2] or 1))
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
