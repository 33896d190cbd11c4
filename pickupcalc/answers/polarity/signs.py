"""Signs from whatever was observed: compass, tap test, winding and lead, or the ear."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from pickupcalc.answers.polarity.changes import heard_of
from pickupcalc.answers.polarity.parities import Parities
from pickupcalc.errors import Fault, InputError
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.parts.pickup import Pickup

# Each pickup has three bits: magnet, winding, lead. A set bit stands for -1.
_MAGNET, _WINDING, _LEAD = 1, 2, 4
_HUM = _WINDING | _LEAD
_SIGNAL = _MAGNET | _HUM
_READINGS = (
    ("magnet", _MAGNET, "south"),
    ("tap", _SIGNAL, "negative"),
    ("winding", _WINDING, "clockwise"),
    ("hot", _LEAD, "start"),
)


@dataclass(frozen=True)
class Measurement:
    """Something a repairer can do to learn one more sign.

    Attributes
    ----------
    words : str
        What to do.
    settles : int
        How many of the relations still open (signal and hum of each pair) it
        would settle.
    """

    words: str
    settles: int


@dataclass(frozen=True)
class Signs:
    """What the observations of an instrument say together.

    Attributes
    ----------
    pickups : tuple of str
    clashes : tuple of tuple of str
        Each observations that cannot all be true, though without any one of them the rest can.
    """

    pickups: tuple[str, ...]
    clashes: tuple[tuple[str, ...], ...]
    _known: Parities[str]

    def magnet(self, name: str) -> int | None:
        """m: +1 with the north pole facing the strings, -1 with the south, None while unknown."""
        return self._sign(_MAGNET, name)

    def hum(self, name: str) -> int | None:
        """h: the sense in which the winding runs from the cold lead to the hot one."""
        return self._sign(_HUM, name)

    def signal(self, name: str) -> int | None:
        """s: which way the hot lead swings when steel is pulled off a pole."""
        return self._sign(_SIGNAL, name)

    def hum_between(self, first: str, second: str) -> int | None:
        """+1 where two pickups hum alike, -1 where opposed; may be known where neither sign is."""
        return self._sign(_HUM, first, second)

    def signal_between(self, first: str, second: str) -> int | None:
        """+1 where two pickups' signals are alike, -1 where opposed."""
        return self._sign(_SIGNAL, first, second)

    def unknown(self) -> list[str]:
        """What is still open, in words."""
        open_ = _open_relations(self._known, len(self.pickups))
        told = {_SIGNAL: "whether {} and {} are in phase", _HUM: "whether {} and {} hum alike"}
        return [told[kind].format(self.pickups[i], self.pickups[j]) for kind, i, j in open_]

    def next_measurement(self) -> Measurement | None:
        """The one measurement that would settle most; of two alike, the easier."""
        before = len(_open_relations(self._known, len(self.pickups)))
        if not before:
            return None
        best = None
        for bits, words in self._candidates():
            known = self._known.copy()
            known.add(bits, 0, words)
            settles = before - len(_open_relations(known, len(self.pickups)))
            if best is None or settles > best.settles:
                best = Measurement(words, settles)
        return best

    def as_json(self) -> dict[str, Any]:
        following = self.next_measurement()
        return {
            "pickups": [
                {"name": n, "magnet": self.magnet(n), "signal": self.signal(n), "hum": self.hum(n)}
                for n in self.pickups
            ],
            "clashes": [list(c) for c in self.clashes],
            "unknown": self.unknown(),
            "next_measurement": following.words if following else None,
        }

    def _sign(self, kind: int, *names: str) -> int | None:
        bits = 0
        for name in names:
            bits ^= kind << 3 * self.pickups.index(name)
        odd = self._known.value(bits)
        return None if odd is None else 1 - 2 * odd

    def _candidates(self) -> Iterator[tuple[int, str]]:
        """Measurements, the easiest first, as the sum each would fix and what to do."""
        for i, name in enumerate(self.pickups):
            yield _MAGNET << 3 * i, f"hold a compass over {name}'s poles"
            yield _SIGNAL << 3 * i, f"tap {name}'s poles with steel and see which way the meter swings"
        for (i, a), (j, b) in combinations(enumerate(self.pickups), 2):
            yield _SIGNAL << 3 * i ^ _SIGNAL << 3 * j, f"join {a} and {b} and hear whether they sound thin"
            yield _HUM << 3 * i ^ _HUM << 3 * j, f"join {a} and {b} and hear whether the hum goes"


def examine(instrument: Instrument) -> Signs:
    """Everything the observations say, contradictions included."""
    names = tuple(p.name for p in instrument.pickups)
    known: Parities[str] = Parities()
    clashes = []
    for bits, odd, words in _equations(instrument, names):
        if clash := known.add(bits, odd, words):
            clashes.append(clash)
    return Signs(names, tuple(clashes), known)


def signs(instrument: Instrument) -> Signs:
    """The signs of an instrument's pickups, as far as they are known.

    Raises
    ------
    InputError
        If observations contradict each other, naming those that clash.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> known = pc.signs(instrument)
    >>> known.signal_between("neck", "bridge"), known.hum_between("neck", "bridge")
    (-1, 1)
    """
    found = examine(instrument)
    if found.clashes:
        raise InputError(
            [Fault("observations", f"cannot all be true: {'; '.join(c)}") for c in found.clashes]
        )
    return found


def _equations(instrument: Instrument, names: tuple[str, ...]) -> Iterator[tuple[int, int, str]]:
    for i, pickup in enumerate(instrument.pickups):
        for key, bits, minus in _READINGS:
            if read := getattr(pickup, key):
                yield bits << 3 * i, int(read == minus), _reading_words(pickup, key)
    for o in instrument.observations:
        first, second = heard_of(o, instrument)
        turned = 0
        if o.position:
            set_ = instrument.position(o.position).wiring.signs()
            turned = int(set_[first] != set_[second])
        i, j = names.index(first), names.index(second)
        if o.sound:
            odd = int(o.sound == "thin") ^ turned
            yield _SIGNAL << 3 * i ^ _SIGNAL << 3 * j, odd, f"{first} and {second} together sound {o.sound}"
        if o.hum:
            odd = int(o.hum == "quiet") ^ turned
            heard = "are quiet" if o.hum == "quiet" else "hum"
            yield _HUM << 3 * i ^ _HUM << 3 * j, odd, f"{first} and {second} together {heard}"


def _reading_words(pickup: Pickup, key: str) -> str:
    words = {"magnet": "compass", "tap": "tap test", "winding": "winding", "hot": "hot lead"}
    return f"{pickup.name}'s {words[key]} ({getattr(pickup, key)})"


def _open_relations(known: Parities[str], count: int) -> list[tuple[int, int, int]]:
    return [
        (kind, i, j)
        for i, j in combinations(range(count), 2)
        for kind in (_SIGNAL, _HUM)
        if known.value(kind << 3 * i ^ kind << 3 * j) is None
    ]
