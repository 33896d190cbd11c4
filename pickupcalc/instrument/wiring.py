"""How the selector joins pickups in one position: a tree of series, parallel and reversed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from pickupcalc.errors import Fault, InputError
from pickupcalc.limits import NESTED, PICKUPS, at_most
from pickupcalc.parts.fields import LONGEST_NAME, MaybeAmount, Part, measured

FORMS = (
    'a pickup\'s name, or one of: parallel = [..], series = [..], reversed = item, {item = .., part = ".."}'
)


class Wiring:
    """Base of the tree's nodes. Each has two ends, hot and cold."""

    items: tuple[Wiring, ...]

    def pickups(self) -> list[str]:
        """Names in the order written."""
        return [name for item in self.items for name in item.pickups()]

    def signs(self, outer: int = 1) -> dict[str, int]:
        """+1 or -1 for each pickup: which way round it stands at the position's output."""
        return {name: sign for item in self.items for name, sign in item.signs(outer).items()}

    def shares(self) -> dict[str, Fraction]:
        """Share of each pickup's EMF in the unloaded output, signed, if all were alike.

        Exact, so that what cancels in structure cancels to zero.
        """
        return self._source()[0]

    def _source(self) -> tuple[dict[str, Fraction], Fraction]:
        """EMF shares and inner impedance (a pickup's is 1) of the item as a source."""
        raise NotImplementedError


@dataclass(frozen=True)
class Leaf(Wiring):
    """One pickup."""

    pickup: str
    items = ()

    def pickups(self) -> list[str]:
        return [self.pickup]

    def signs(self, outer: int = 1) -> dict[str, int]:
        return {self.pickup: outer}

    def _source(self) -> tuple[dict[str, Fraction], Fraction]:
        return {self.pickup: Fraction(1)}, Fraction(1)

    def __str__(self) -> str:
        return self.pickup


@dataclass(frozen=True)
class Series(Wiring):
    """Items one after the other, the first at the hot end."""

    items: tuple[Wiring, ...]

    def _source(self) -> tuple[dict[str, Fraction], Fraction]:
        parts = [item._source() for item in self.items]
        emf = {name: share for shares, _ in parts for name, share in shares.items()}
        return emf, sum((z for _, z in parts), Fraction(0))

    def __str__(self) -> str:
        return f"({' + '.join(map(str, self.items))})"


@dataclass(frozen=True)
class Parallel(Wiring):
    """Items side by side."""

    items: tuple[Wiring, ...]

    def _source(self) -> tuple[dict[str, Fraction], Fraction]:
        parts = [item._source() for item in self.items]
        z = 1 / sum((1 / z for _, z in parts), Fraction(0))
        return {name: share * z / own for shares, own in parts for name, share in shares.items()}, z

    def __str__(self) -> str:
        return f"({' | '.join(map(str, self.items))})"


@dataclass(frozen=True)
class Reversed(Wiring):
    """An item with its two ends exchanged."""

    item: Wiring

    @property
    def items(self) -> tuple[Wiring, ...]:  # type: ignore[override]
        return (self.item,)

    def signs(self, outer: int = 1) -> dict[str, int]:
        return self.item.signs(-outer)

    def _source(self) -> tuple[dict[str, Fraction], Fraction]:
        shares, z = self.item._source()
        return {name: -share for name, share in shares.items()}, z

    def __str__(self) -> str:
        return f"-{self.item}"


@dataclass(frozen=True, kw_only=True)
class Added(Part):
    """Parts wired to an item: those across it first, then those in series with both."""

    series_resistor: MaybeAmount = measured("ohm", default=None, at_least=0)
    series_capacitor: MaybeAmount = measured("farad", default=None, above=0)
    parallel_resistor: MaybeAmount = measured("ohm", default=None, above=0)
    parallel_capacitor: MaybeAmount = measured("farad", default=None, at_least=0)


@dataclass(frozen=True)
class WithParts(Wiring):
    """An item with resistors and capacitors at it."""

    item: Wiring
    added: Added

    @property
    def items(self) -> tuple[Wiring, ...]:  # type: ignore[override]
        return (self.item,)

    def _source(self) -> tuple[dict[str, Fraction], Fraction]:
        return self.item._source()

    def __str__(self) -> str:
        return f"{self.item}*"


def read_wiring(given: Any) -> Wiring:
    """The tree that a job file's `wiring` stands for, or one that is made already.

    Raises
    ------
    InputError
        For anything but the forms of the job file, a pickup named twice, more
        than 32 items, or nesting beyond 32 levels.
    """
    wiring = given if isinstance(given, Wiring) else _read(given, 0)
    twice = sorted(name for name, count in Counter(_leaves(wiring)).items() if count > 1)
    if twice:
        raise InputError.of("", f"names {', '.join(twice)} twice; a pickup has one place in a position")
    return wiring


def _leaves(wiring: Wiring) -> list[str]:
    """The pickups of a tree, or a refusal; without recursion, for it may be of any size and depth."""
    names: list[str] = []
    left = [(wiring, 0)]
    while left:
        item, depth = left.pop()
        _refuse_deep(depth)
        at_most("", item.items, PICKUPS, "items")
        names += [item.pickup] if isinstance(item, Leaf) else []
        at_most("", names, PICKUPS, "pickups")
        left += [(inner, depth + 1) for inner in item.items]
    return names


def _refuse_deep(depth: int) -> None:
    if depth > NESTED:
        raise InputError.of("", f"is nested deeper than {NESTED} levels")


def _read(given: Any, depth: int) -> Wiring:
    _refuse_deep(depth)
    if isinstance(given, str) and given.strip():
        return Leaf(str(given))
    if isinstance(given, Mapping):
        if set(given) == {"reversed"}:
            return Reversed(_read(given["reversed"], depth + 1))
        for key, kind in (("parallel", Parallel), ("series", Series)):
            if set(given) == {key}:
                return kind(tuple(_listed(given[key], key, depth)))
        if "item" in given and set(given) - {"item"} <= set(Added.keys()):
            return WithParts(
                _read(given["item"], depth + 1), Added.of({k: v for k, v in given.items() if k != "item"})
            )
    raise InputError.of("", f"{str(given)[:LONGEST_NAME]!r} is not {FORMS}")


def _listed(given: Any, key: str, depth: int) -> Iterator[Wiring]:
    if not isinstance(given, list) or not given:
        raise InputError(Fault(key, f"{given!r} must be a list with at least one item"))
    at_most(key, given, PICKUPS, "items")
    for item in given:
        yield _read(item, depth + 1)
