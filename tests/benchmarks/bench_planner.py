"""How long the planner takes, against trying every set of changes in plain Python.

Run: python tests/benchmarks/bench_planner.py
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations, product
from time import perf_counter

from pickupcalc.answers.polarity.changes import Change
from pickupcalc.answers.polarity.planner import plan
from pickupcalc.instrument.instrument import About, Instrument, Position
from pickupcalc.parts.pickup import Pickup

BOTH = ["in phase", "hum-cancelling"]


def instrument(coils: int, *, every_pair: bool) -> Instrument:
    names = [f"p{i}" for i in range(coils)]
    pickups = [
        Pickup(name=n, resistance="6 kohm", inductance="2 H", magnet="south", tap="positive") for n in names
    ]
    pairs = combinations(names, 2) if every_pair else zip(names[::2], names[1::2], strict=True)
    positions = [Position(name=f"{a} with {b}", wiring={"parallel": [a, b]}, wanted=BOTH) for a, b in pairs]
    return Instrument(About(name="bench"), tuple(pickups), positions=tuple(positions))


def in_plain_python(made: Instrument) -> int:
    """The same question by a loop over all signs: how many wishes can be met at most."""
    names = [p.name for p in made.pickups]
    pairs = [tuple(names.index(n) for n in p.wiring.pickups()) for p in made.positions]
    best = 0
    for signal in product((0, 1), repeat=len(names)):
        for hum in product((0, 1), repeat=len(names)):
            met = sum((signal[i] == signal[j]) + (hum[i] != hum[j]) for i, j in pairs)
            best = max(best, met)
    return best


def best_of(times: int, work: Callable[[], object]) -> float:
    found = []
    for _ in range(times):
        start = perf_counter()
        work()
        found.append(perf_counter() - start)
    return min(found)


def main() -> None:
    for coils, every_pair in ((3, True), (8, False), (8, True)):
        made = instrument(coils, every_pair=every_pair)
        ours = best_of(5, lambda made=made: plan(made))
        plain = best_of(1, lambda made=made: in_plain_python(made))
        found = plan(made)
        assert isinstance(found.best.changes[0], Change)
        which = "every pair" if every_pair else "pairs side by side"
        print(
            f"{coils} coils, {which}: {ours * 1e3:.1f} ms, {len(found.plans)} plans; "
            f"a plain loop over all signs {plain * 1e3:.0f} ms, {plain / ours:.1f} times as long"
        )


if __name__ == "__main__":
    main()
