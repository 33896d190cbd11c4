"""The planner, beside trying every set of changes in plain Python."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations, product

from pickupcalc.answers.polarity.planner import plan
from pickupcalc.instrument.instrument import About, Instrument, Position
from pickupcalc.parts.pickup import Pickup
from tests.benchmarks.frame import Figure, Peer, best, growth, timed

BOTH = ["in phase", "hum-cancelling"]
COILS = (4, 5, 6, 7, 8)


def figures() -> Iterator[Figure]:
    grows = growth("sets of changes", [4**coils for coils in COILS], _plans_of)
    for coils, every_pair in ((3, True), (8, False), (8, True)):
        made = _wishes(coils, every_pair=every_pair)
        which = "of every pair" if every_pair else "side by side"
        yield timed(
            f"all plans for {coils} coils, wishes {which}",
            lambda made=made: plan(made),
            limit=0.1,
            peer=Peer("a loop over all signs", best(lambda made=made: _in_plain_python(made), 1)),
            growth=grows if coils == COILS[-1] and every_pair else None,
        )


def _plans_of(sets: int) -> Callable[[], object]:
    coils = (sets.bit_length() - 1) // 2  # each coil may be turned in two ways
    made = _wishes(coils, every_pair=True)
    return lambda: plan(made)


def _wishes(coils: int, *, every_pair: bool) -> Instrument:
    names = [f"p{i}" for i in range(coils)]
    pickups = [
        Pickup(name=n, resistance="6 kohm", inductance="2 H", magnet="south", tap="positive") for n in names
    ]
    pairs = combinations(names, 2) if every_pair else zip(names[::2], names[1::2], strict=False)
    positions = [Position(name=f"{a} with {b}", wiring={"parallel": [a, b]}, wanted=BOTH) for a, b in pairs]
    return Instrument(About(name="bench"), tuple(pickups), positions=tuple(positions))


def _in_plain_python(made: Instrument) -> int:
    """The same question by a loop over all signs: how many wishes can be met at most."""
    names = [p.name for p in made.pickups]
    pairs = [tuple(names.index(n) for n in p.wiring.pickups()) for p in made.positions]
    most = 0
    for signal in product((0, 1), repeat=len(names)):
        for hum in product((0, 1), repeat=len(names)):
            met = sum((signal[i] == signal[j]) + (hum[i] != hum[j]) for i, j in pairs)
            most = max(most, met)
    return most
