"""Why a wish cannot be met, in plain words: an odd ring, a lone pickup, a change that is forbidden."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from pickupcalc.answers.polarity.changes import REVERSE, SWAP, Choice, listed
from pickupcalc.answers.polarity.parities import Parities
from pickupcalc.answers.polarity.signs import Signs
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.limits import COMBINATIONS

_NUMBERS = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven"}


@dataclass(frozen=True)
class Want:
    """One property wanted of one position."""

    position: Position
    wanted: str

    @property
    def pickups(self) -> list[str]:
        return self.position.wiring.pickups()

    @property
    def about_phase(self) -> bool:
        return self.wanted in ("in phase", "out of phase")

    def __str__(self) -> str:
        return f'"{self.position.name}" {self.wanted}'


@dataclass(frozen=True)
class _Link:
    """One step of an argument: two pickups that must be alike or opposed for a wish."""

    want: Want
    first: str
    second: str


class Prover:
    """Explains wishes against the other wishes and against what may be changed."""

    def __init__(
        self, instrument: Instrument, known: Signs, offered: list[Choice], wants: list[Want]
    ) -> None:
        self.known = known
        self.names = [p.name for p in instrument.pickups]
        self.offered = {(c.kind, name) for c in offered for name in c.pickups}
        self.sharing = [pair for c in offered if c.kind == REVERSE for pair in pairwise(c.pickups)]
        self._wants = tuple(wants)  # kept alive: they are told apart by their identity
        self._links = {id(w): self._links_of(w) for w in wants}
        self._lone = {id(w): _alone(w) for w in wants}
        self._systems: dict[tuple[int, ...], Parities[_Link | str]] = {}
        self._told: dict[tuple[int, tuple[int, ...]], str] = {}

    def why(self, want: Want, met: tuple[Want, ...]) -> str:
        """Why a wish cannot be met beside those that are."""
        key = id(want), tuple(map(id, met))
        if key not in self._told:
            self._told[key] = self._lone[id(want)] or self._linear(want, met) or self._tried(want)
        return self._told[key]

    def _linear(self, want: Want, met: tuple[Want, ...]) -> str:
        """A contradiction, nothing in it to spare, among pairs, wishes met and changes forbidden."""
        for bits, odd, link in self._links[id(want)]:
            if clash := self._system(met).copy().add(bits, odd, link):
                return _clash_words(clash)
        return ""

    def _system(self, met: tuple[Want, ...]) -> Parities[_Link | str]:
        """What is settled by the rules and by the wishes that are met."""
        key = tuple(map(id, met))
        if key not in self._systems:
            system: Parities[_Link | str] = Parities()
            for bits, words in self._rules():
                system.add(bits, 0, words)
            for bits, odd, link in (entry for w in met for entry in self._links[id(w)]):
                system.add(bits, odd, link)
            self._systems[key] = system
        return self._systems[key]

    def _rules(self) -> list[tuple[int, str]]:
        rules = []
        for i, name in enumerate(self.names):
            if (SWAP, name) not in self.offered:
                rules.append((1 << 2 * i, f"{name}'s leads may not be swapped"))
            if (REVERSE, name) not in self.offered:
                rules.append((2 << 2 * i, f"{name}'s magnet may not be reversed"))
        for first, second in self.sharing:
            i, j = self.names.index(first), self.names.index(second)
            rules.append((2 << 2 * i ^ 2 << 2 * j, f"{first} and {second} share one magnet"))
        return rules

    def _links_of(self, want: Want) -> list[tuple[int, int, _Link]]:
        """The wish as sums of changes; empty where it is no matter of pairs."""
        placed = want.position.wiring.signs()
        first, *others = placed
        pair = len(others) == 1
        if not (want.wanted == "in phase" or pair):
            return []
        if not want.about_phase and len(set(map(abs, want.position.wiring.shares().values()))) > 1:
            return []
        between = self.known.signal_between if want.about_phase else self.known.hum_between
        kind = 3 if want.about_phase else 1
        opposed = want.wanted in ("out of phase", "hum-cancelling")
        found = []
        for name in others:
            i, j = self.names.index(first), self.names.index(name)
            now = (between(first, name) or 1) * placed[first] * placed[name]
            odd = int(now < 0) ^ int(opposed)
            found.append((kind << 2 * i ^ kind << 2 * j, odd, _Link(want, first, name)))
        return found

    def _tried(self, want: Want) -> str:
        return f"all changes allowed were tried in every combination: none makes {want} beside what is met"


def _alone(want: Want) -> str:
    """A wish that this wiring cannot meet with any signs at all."""
    if len(want.pickups) == 1:
        if want.about_phase:
            return "one pickup alone has no other to be in or out of phase with"
        return "one pickup alone has no other whose hum could cancel its own"
    if want.wanted != "hum-cancelling":
        return ""
    shares = [abs(s) for s in want.position.wiring.shares().values()]
    least = _least_sum(shares)
    if not least:
        return ""
    told = ", ".join(map(str, shares))
    odd = "an odd number of alike shares never cancels; " if len(set(shares)) == 1 else ""
    return (
        f"whatever their signs, hum shares of {told} at the output cannot add up to nothing: "
        f"{odd}at least {least} of one pickup's hum is left"
    )


def _least_sum(shares: list[Fraction]) -> Fraction | None:
    """Smallest size of the sum over all signs; None where too many different sums would have to be tried."""
    sums = {Fraction(0)}
    for share in shares:
        sums = {abs(x + sign * share) for x in sums for sign in (1, -1)}
        if len(sums) > COMBINATIONS:
            return None
    return min(sums)


def _clash_words(clash: tuple[_Link | str, ...]) -> str:
    links = [c for c in clash if isinstance(c, _Link)]
    rules = [c for c in clash if isinstance(c, str)]
    because = f", because {listed(rules)}" if rules else ""
    wishes = list(dict.fromkeys(link.want for link in links))
    if len(wishes) == 1:
        return f"{wishes[0]} is out of reach{because or ' with this wiring'}"
    if all(map(_plainly_opposed, links)) and len(links) % 2 and not rules:
        return _ring_words(links)
    where = {link.want.position.name for link in links}
    if len(where) == 1:
        both = listed([w.wanted for w in wishes])
        return f"this position cannot be {both} at once{because}"
    together = listed([str(w) for w in wishes])
    return f"these cannot all be had: {together}{because}; without any one of these the rest would fit"


def _plainly_opposed(link: _Link) -> bool:
    """Whether a wish asks two pickups as such to hum opposite ways, neither turned round by the selector."""
    placed = link.want.position.wiring.signs()
    return link.want.wanted == "hum-cancelling" and placed[link.first] == placed[link.second]


def _ring_words(links: list[_Link]) -> str:
    ring = _around([(link.first, link.second) for link in links])
    pairs = listed([f"{a} with {b}" for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)])
    n = len(ring)
    words = _NUMBERS.get(n, str(n))
    return (
        f"{pairs} would each have to hum opposite ways. Round this ring of {words} the hum turns over "
        f"{words} times, an odd number, and {ring[0]} would have to be opposite to itself. "
        f"So at most {_NUMBERS.get(n - 1, n - 1)} of these {words} pairs can cancel hum, "
        "whatever is swapped or reversed"
    )


def _around(pairs: list[tuple[str, str]]) -> list[str]:
    """The pickups of a ring of pairs in the order met going round."""
    left = list(pairs)
    ring = list(left.pop(0))
    while left:
        step = next(p for p in left if ring[-1] in p)
        left.remove(step)
        ring.append(step[0] if step[1] == ring[-1] else step[1])
    return ring[:-1]
