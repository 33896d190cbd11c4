"""Equations over GF(2) against trying every assignment."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from pickupcalc.answers.polarity.parities import Parities

BITS = 5
EQUATIONS = st.lists(st.tuples(st.integers(0, 2**BITS - 1), st.integers(0, 1)), max_size=9)


def parity(bits: int, values: int) -> int:
    return (bits & values).bit_count() % 2


def solutions(equations: list[tuple[int, int]]) -> list[int]:
    return [v for v in range(2**BITS) if all(parity(b, v) == odd for b, odd in equations)]


@given(EQUATIONS)
def test_against_every_assignment(equations):
    system: Parities[int] = Parities()
    kept = []
    for i, (bits, odd) in enumerate(equations):
        clash = system.add(bits, odd, i)
        if clash:
            named = [equations[k] for k in clash]
            assert clash[-1] == i
            assert not solutions(named)
            for left_out in named:
                assert solutions([e for e in named if e is not left_out])
        else:
            kept.append((bits, odd))
    assert solutions(kept)
    for bits in range(2**BITS):
        found = {parity(bits, v) for v in solutions(kept)}
        assert system.value(bits) == (found.pop() if len(found) == 1 else None)


def test_a_copy_is_its_own():
    first: Parities[str] = Parities()
    first.add(0b11, 1, "one")
    second = first.copy()
    second.add(0b01, 0, "two")
    assert first.value(0b01) is None
    assert [second.value(b) for b in (0b01, 0b10)] == [0, 1]


def test_every_case_of_two():
    for odd, known in product((0, 1), repeat=2):
        system: Parities[str] = Parities()
        system.add(0b11, odd, "sum")
        system.add(0b01, known, "first")
        assert system.value(0b10) == odd ^ known
