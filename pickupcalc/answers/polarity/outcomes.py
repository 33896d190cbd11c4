"""What every set of changes makes of every position, all sets at once."""

from __future__ import annotations

from math import lcm
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.polarity.changes import SWAP, Choice
from pickupcalc.answers.polarity.proof import Want
from pickupcalc.answers.polarity.signs import Signs
from pickupcalc.instrument.instrument import Instrument, Position

Array = NDArray[Any]
# Verdicts in the order of their codes; `phase` and `hum` of this package use the same words.
PHASES = ("single", "in phase", "out of phase", "mixed", "unknown")
HUMS = ("single", "cancelling", "partly", "not cancelling", "unknown")


class Outcomes:
    """What every set of changes makes of every position. Bit i of a set's index is choice i."""

    def __init__(self, instrument: Instrument, known: Signs, offered: list[Choice]) -> None:
        self.instrument, self.known, self.offered = instrument, known, offered
        self.size = 1 << len(offered)
        masks = np.arange(self.size)
        nothing = np.zeros(self.size, dtype=np.int8)
        self.swapped: dict[str, Array] = {p.name: nothing for p in instrument.pickups}
        self.turned: dict[str, Array] = dict(self.swapped)
        for i, choice in enumerate(offered):
            bit = (masks >> i & 1).astype(np.int8)
            for name in choice.pickups:
                self.turned[name] = self.turned[name] ^ bit
                if choice.kind == SWAP:
                    self.swapped[name] = self.swapped[name] ^ bit
        self._phases: dict[str, Array] = {}
        self._hums: dict[str, Array] = {}

    def phases(self, position: Position) -> Array:
        """Codes into PHASES, shape (sets,)."""
        if position.name not in self._phases:
            self._phases[position.name] = self._phase(position)
        return self._phases[position.name]

    def hums(self, position: Position) -> Array:
        """Codes into HUMS, shape (sets,)."""
        if position.name not in self._hums:
            self._hums[position.name] = self._hum(position)
        return self._hums[position.name]

    def _phase(self, position: Position) -> Array:
        placed = position.wiring.signs()
        first, *others = placed
        if not others:
            return self._all(PHASES.index("single"))
        opposed = self._all(0)
        for name in others:
            sign = self.known.signal_between(first, name)
            if sign is None:
                return self._all(PHASES.index("unknown"))
            apart = int(sign * placed[name] * placed[first] < 0)
            opposed |= self.turned[first] ^ self.turned[name] ^ np.int8(apart)
        apart_code = PHASES.index("mixed" if len(others) > 1 else "out of phase")
        return PHASES.index("in phase") + opposed * np.int8(apart_code - PHASES.index("in phase"))

    def _hum(self, position: Position) -> Array:
        shares = position.wiring.shares()
        first, *others = shares
        if not others:
            return self._all(HUMS.index("single"))
        whole = lcm(*(s.denominator for s in shares.values()))
        most = sum(abs(int(s * whole)) for s in shares.values())
        size = np.int32 if most < 2**29 else np.int64
        total: Array = np.zeros(self.size, dtype=size)
        for name, share in shares.items():
            sign = self.known.hum_between(first, name)
            if sign is None:
                return self._all(HUMS.index("unknown"))
            weight = size(int(share * whole) * sign)
            total += weight
            total -= 2 * weight * self.swapped[name]
        codes = np.full(self.size, HUMS.index("partly"), dtype=np.int8)
        codes[total == 0] = HUMS.index("cancelling")
        codes[(total == most) | (total == -most)] = HUMS.index("not cancelling")
        return codes

    def _all(self, code: int) -> Array:
        return np.full(self.size, code, dtype=np.int8)

    def meets(self, want: Want) -> Array:
        """Which sets of changes give a position what is wanted of it."""
        if want.about_phase:
            code = self.phases(want.position)
            return code == 1 if want.wanted == "in phase" else (code == 2) | (code == 3)
        cancelling = self.hums(want.position) == HUMS.index("cancelling")
        return cancelling if want.wanted == "hum-cancelling" else ~cancelling

    def negative(self, names: list[str]) -> Array:
        """How many of these pickups tap negative: of two plans alike, the one that leaves fewer is better."""
        taps = [(self.known.signal(n) or 1, self.turned[n]) for n in names]
        return sum((turned ^ int(s < 0) for s, turned in taps), np.zeros(self.size, dtype=np.int8))

    def words(self, position: Position, mask: int) -> str:
        phase, hum = PHASES[self.phases(position)[mask]], HUMS[self.hums(position)[mask]]
        hums = {"cancelling": "hum cancels", "partly": "hum cancels in part", "not cancelling": "hum adds"}
        return f"{phase}, {hums.get(hum, hum)}"
