"""Linear equations over GF(2): which sums of unknown bits are known to be even or odd.

Every sign here is a bit, a product of signs is a sum of bits, and every
observation fixes one such sum.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, field
from typing import Generic, TypeVar

Label = TypeVar("Label", bound=Hashable)


@dataclass
class Parities(Generic[Label]):
    """A growing system of equations, each "the sum of these bits is 0 (or 1)".

    A sum is an integer whose set bits are the unknowns in it. Each equation
    carries a label, so that a contradiction can name those it came from.
    """

    _rows: dict[int, tuple[int, int, int]] = field(default_factory=dict)  # leading bit: sum, value, sources
    _labels: list[Label] = field(default_factory=list)

    def add(self, bits: int, value: int, label: Label) -> tuple[Label, ...]:
        """Add an equation.

        Returns
        -------
        tuple
            Empty if it fits. Otherwise the labels of equations that contradict
            each other with it, none to spare, its own last; it is then left out.
        """
        self._labels.append(label)
        left, odd, sources = self._reduced(bits, value, 1 << (len(self._labels) - 1))
        if left:
            self._rows[left.bit_length()] = left, odd, sources
            return ()
        return tuple(dict.fromkeys(self._named(sources))) if odd else ()

    def value(self, bits: int) -> int | None:
        """0 or 1 where the equations fix this sum, None where they leave it open."""
        left, odd, _ = self._reduced(bits, 0, 0)
        return None if left else odd

    def copy(self) -> Parities[Label]:
        return Parities(dict(self._rows), list(self._labels))

    def _reduced(self, bits: int, value: int, sources: int) -> tuple[int, int, int]:
        # From the top bit down: a row only ever brings in bits below its own leading one.
        left = bits
        kept = 0
        while left:
            row = self._rows.get(left.bit_length())
            if row is None:
                top = 1 << (left.bit_length() - 1)
                kept |= top
                left ^= top
                continue
            left, value, sources = left ^ row[0], value ^ row[1], sources ^ row[2]
        return kept, value, sources

    def _named(self, sources: int) -> Iterator[Label]:
        return (label for i, label in enumerate(self._labels) if sources >> i & 1)
