"""The kinds of fields a part has: one declaration gives a key's unit, range and check.

A part is a frozen dataclass. Each of its fields declares what is accepted, and
creating the part checks all of them, so that a job file, a notebook and a
script meet the same rules and the same messages.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, Protocol, Self, TypeAlias, TypeVar, dataclass_transform

import numpy as np

from pickupcalc import limits
from pickupcalc.errors import Fault, InputError, quoted
from pickupcalc.tables import table
from pickupcalc.units import LARGEST_EXPONENT, Given, quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity

Held = TypeVar("Held", covariant=True)
Taken = TypeVar("Taken", contravariant=True)
T = TypeVar("T")


class Checked(Protocol[Held, Taken]):
    """For type checkers, the type of a field that takes more than it holds: text, and a quantity is read."""

    def __get__(self, part: object, kind: type | None = None) -> Held: ...
    def __set__(self, part: object, value: Taken) -> None: ...


Amount: TypeAlias = "Checked[Quantity[Any], Given]"
MaybeAmount: TypeAlias = "Checked[Quantity[Any] | None, Given | None]"
Words: TypeAlias = Checked[tuple[str, ...], list[str] | tuple[str, ...]]
MaybeWords: TypeAlias = Checked[tuple[str, ...] | None, list[str] | tuple[str, ...] | None]
# A part of its own, or its table; some are known by name or by their one value, and some come in numbers.
Inner: TypeAlias = Checked[T, T | Mapping[str, Any]]
InnerOrName: TypeAlias = Checked[T, T | Mapping[str, Any] | str]
Several: TypeAlias = Checked[tuple[T, ...], Sequence[T | Mapping[str, Any]]]
SeveralOrValues: TypeAlias = "Checked[tuple[T, ...], Sequence[T | Mapping[str, Any] | Given]]"
# mypy reads an inherited frozen field as what it takes, so for those that is left open.
Inherited: TypeAlias = Checked[T, Any]

MISSING = dataclasses.MISSING
LONGEST_NAME = 80  # characters
LARGEST = 10.0**LARGEST_EXPONENT  # nothing on a bench is as large, or as small as one over it
LARGEST_WHOLE = 2**53  # beyond it an array of whole numbers might hold Python's own


def checked(check: Callable[[Any], Any], *, default: Any = MISSING) -> Any:
    """A field with a check of its own: it returns what to store, or raises InputError."""
    return dataclasses.field(default=default, metadata={"check": check})


def measured(
    unit: str, *, default: Any = MISSING, above: float | None = None, at_least: float | None = None
) -> Any:
    """A quantity, given as text with a unit or as a pint quantity; stored in the coherent SI unit.

    It may hold an array of shape (sets,), where many variants are solved at once.
    """

    def check(value: Any) -> Any:
        magnitude = to_si(value, unit)
        _one_per_set(magnitude)
        if above is not None and not np.all(magnitude > above):
            raise InputError.of("", f"{_shown(value)} must be above {above:g} {unit}")
        if at_least is not None and not np.all(magnitude >= at_least):
            raise InputError.of("", f"{_shown(value)} must be at least {at_least:g} {unit}")
        return quantity(magnitude, unit)

    return checked(check, default=default)


def number(*, default: Any = MISSING, at_least: float = -LARGEST, at_most: float = LARGEST) -> Any:
    """A plain number, or an array of shape (sets,)."""

    def check(value: Any) -> Any:
        magnitude = value if _is_number(value) else to_si(value, "dimensionless")
        if isinstance(magnitude, int) and abs(magnitude) > LARGEST_WHOLE:
            magnitude = float(magnitude)
        _one_per_set(magnitude)
        if not np.all((magnitude >= at_least) & (magnitude <= at_most)):
            raise InputError.of("", f"{value!r} must be a number from {at_least:g} to {at_most:g}")
        return magnitude

    return checked(check, default=default)


def whole(least: int, most: int, *, default: Any = MISSING) -> Any:
    """A whole number."""
    return checked(lambda value: limits.whole("", value, least, most), default=default)


def choice(*options: str, default: Any = MISSING) -> Any:
    """One word out of a few."""

    def check(value: Any) -> Any:
        return one_of(value, options)

    return checked(check, default=default)


def choices(*options: str, default: tuple[str, ...]) -> Any:
    """Several words out of a few."""

    def check(value: Any) -> Any:
        if not isinstance(value, (list, tuple)):
            raise InputError.of("", f"{_shown(value)} must be a list of: {quoted(options)}")
        return tuple(one_of(v, options) for v in value)

    return checked(check, default=default)


def text(*, default: Any = MISSING) -> Any:
    """A name, free but short and on one line."""
    return checked(check_name, default=default)


def day(*, default: Any = MISSING) -> Any:
    """A date, as TOML has it or as text such as 2026-03-31."""

    def check(given: Any) -> date:
        if isinstance(given, date):
            return date(given.year, given.month, given.day)
        try:
            return date.fromisoformat(given)
        except (TypeError, ValueError):
            raise InputError.of("", f"{_shown(given)} is not a date such as 2026-03-31") from None

    return checked(check, default=default)


def names(*, default: Any = MISSING) -> Any:
    """A list of names."""

    def check(value: Any) -> Any:
        if not isinstance(value, (list, tuple)) or not value:
            raise InputError.of("", f"{_shown(value)} must be a list of names")
        return tuple(check_name(v) for v in value)

    return checked(check, default=default)


def part(kind: type, *, default: Any = MISSING) -> Any:
    """A part of its own, given as such or as a table of its keys."""

    def check(value: Any) -> Any:
        return value if isinstance(value, kind) else kind.of(value)  # type: ignore[attr-defined]

    return checked(check, default=default)


def several(kind: type, most: int, example: str, *, default: Any = MISSING, each: str = "") -> Any:
    """A list of parts; a fault tells which one by its number, `each` before it."""

    def check(value: Any) -> tuple[Any, ...]:
        if not isinstance(value, (list, tuple)) or len(value) > most:
            raise InputError.of("", f"{_shown(value)} must be a list of at most {most}, such as {example}")
        made, faults = [], []
        for i, given in enumerate(value, 1):
            try:
                made.append(given if isinstance(given, kind) else kind.of(given))  # type: ignore[attr-defined]
            except InputError as error:
                faults += error.under(f"{each}{i}")
        if faults:
            raise InputError(faults)
        return tuple(made)

    return checked(check, default=default)


def one_of(value: Any, options: tuple[str, ...]) -> str:
    if not isinstance(value, str) or value not in options:
        raise InputError.of("", f"{_shown(value)} is not one of: {quoted(options)}")
    return value


def true_or_false(value: Any) -> bool:
    """A word for either is refused: "false" would be true."""
    if not isinstance(value, bool):
        raise InputError.of("", f"{_shown(value)} must be true or false")
    return value


def check_name(value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise InputError.of("", f"{_shown(value)} must be a text that is not empty")
    if len(value) > LONGEST_NAME or not value.isprintable():
        raise InputError.of("", f"{_shown(value)} must be one line of at most {LONGEST_NAME} characters")
    return value


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) <= LARGEST


def _one_per_set(magnitude: Any) -> None:
    if np.ndim(magnitude) > 1:
        raise InputError.of("", f"has {np.ndim(magnitude)} axes; accepted are one value or one per set")
    limits.at_most("", np.size(magnitude), limits.SETS, "sets")


def _shown(value: Any) -> str:
    shown = f'"{value}"' if isinstance(value, str) else f"{value}"
    return shown if len(shown) <= LONGEST_NAME else f"{shown[:LONGEST_NAME]}..."


@dataclass_transform(
    frozen_default=True,
    kw_only_default=True,
    field_specifiers=(checked, measured, number, whole, choice, choices, text, day, names, part, several),
)
class Part:
    """Base of all parts: checks every field when it is made, all faults in one error."""

    def __post_init__(self) -> None:
        faults: list[Fault] = []
        for f in dataclasses.fields(self):  # type: ignore[arg-type]
            value = getattr(self, f.name)
            if value is None and f.default is None:
                continue
            try:
                object.__setattr__(self, f.name, self.check(f.name, value))
            except InputError as error:
                faults += error.under(f.name)
        if not faults:
            faults = list(self._contradictions())
        if faults:
            raise InputError(faults)

    def _contradictions(self) -> list[Fault]:
        """Faults that no single field shows."""
        return []

    @classmethod
    def of(cls, table: Any) -> Self:
        """Make the part from a table of a job file."""
        if not isinstance(table, Mapping):
            raise InputError.of("", f"{_shown(table)} must be a table with the keys {quoted(cls.keys())}")
        known = cls.keys()
        missing = [
            Fault(f.name, "is missing")
            for f in dataclasses.fields(cls)  # type: ignore[arg-type]
            if f.default is MISSING and f.name not in table
        ]
        try:
            return cls(**{k: v for k, v in table.items() if k in known} | {m.key: None for m in missing})
        except InputError as error:
            told = {m.key for m in missing}
            raise InputError(missing + [f for f in error.faults if f.key not in told]) from None

    @classmethod
    def keys(cls) -> tuple[str, ...]:
        return tuple(f.name for f in dataclasses.fields(cls))  # type: ignore[arg-type]

    def known(self, key: str) -> Any:
        """The value given, or the usual one from the tables where none was."""
        value = getattr(self, key)
        return self.check(key, self._usual()[key]) if value is None else value

    def assumed(self) -> tuple[str, ...]:
        """The keys for which a usual value stands in."""
        return tuple(key for key in self._usual() if getattr(self, key) is None)

    @classmethod
    def _usual(cls) -> dict[str, Any]:
        return table("usual").get(cls.__name__.lower(), {})

    @classmethod
    def check(cls, key: str, value: Any) -> Any:
        """What a key would store for a value; InputError if it takes no such value."""
        found = next(f for f in dataclasses.fields(cls) if f.name == key)  # type: ignore[arg-type]
        return found.metadata["check"](value)


class SinglePart(Part):
    """Base of parts that are computed one at a time: no value of theirs may be an array of sets."""

    @classmethod
    def check(cls, key: str, value: Any) -> Any:
        found = super().check(key, value)
        if isinstance(getattr(found, "magnitude", found), np.ndarray):
            raise InputError.of("", "has several values; one is taken")
        return found
