"""The least repair: which magnets to reverse and which leads to swap."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.polarity.changes import Change, changed, choices, efforts, housings, in_words
from pickupcalc.answers.polarity.outcomes import Outcomes
from pickupcalc.answers.polarity.proof import Prover, Want
from pickupcalc.answers.polarity.signs import Signs, signs
from pickupcalc.errors import Fault, InputError
from pickupcalc.instrument.instrument import Instrument

MOST_CHOICES = 20  # a million sets of changes: ten coils with both changes allowed
FEW = 300  # sets that are quicker compared each with each
MOST_PLANS = 1000  # listed; a plan beyond the first few is never the one chosen

Array = NDArray[Any]


@dataclass(frozen=True)
class Unmet:
    """A wish that a plan leaves open, and why nothing allowed can meet it beside the others."""

    position: str
    wanted: str
    why: str

    def as_json(self) -> dict[str, str]:
        return {"position": self.position, "wanted": self.wanted, "why": self.why}


@dataclass(frozen=True)
class Effect:
    """What a plan does to a position of which nothing was wanted."""

    position: str
    before: str
    after: str

    def as_json(self) -> dict[str, str]:
        return {"position": self.position, "before": self.before, "after": self.after}


@dataclass(frozen=True)
class Plan:
    """A smallest set of changes, and what it achieves.

    Attributes
    ----------
    changes : tuple of Change
        Empty where everything is met as it is.
    met : tuple of str
        Positions that have all that was wanted of them.
    unmet : tuple of Unmet
    effort : float
        Minutes at the bench, by construction; see the table "effort".
    also : tuple of Effect
        Other positions it changes.
    """

    changes: tuple[Change, ...]
    met: tuple[str, ...]
    unmet: tuple[Unmet, ...]
    effort: float
    also: tuple[Effect, ...] = ()

    def __str__(self) -> str:
        return in_words(self.changes)

    def apply(self, instrument: Instrument) -> Instrument:
        """The instrument after this plan."""
        return changed(instrument, self.changes)

    def as_json(self) -> dict[str, Any]:
        return {
            "changes": [c.as_json() for c in self.changes],
            "met": list(self.met),
            "unmet": [u.as_json() for u in self.unmet],
            "effort": self.effort,
            "also": [e.as_json() for e in self.also],
        }


@dataclass(frozen=True)
class Plans:
    """All smallest sets of changes, the least effort first.

    Attributes
    ----------
    plans : tuple of Plan
        They meet everything wanted; where that is impossible, each leaves the
        fewest wishes open.
    wanted : int
        How many wishes the positions have together.
    left_out : int
        How many more plans there are beyond the thousand listed.
    """

    plans: tuple[Plan, ...]
    wanted: int
    left_out: int = 0

    @property
    def best(self) -> Plan:
        return self.plans[0]

    def as_json(self) -> dict[str, Any]:
        return {"plans": [p.as_json() for p in self.plans]}


def plan(instrument: Instrument) -> Plans:
    """All minimal sets of changes that give the positions what is wanted of them.

    A set is minimal if nothing can be left out of it without losing something
    or working longer. Every set of changes is tried, so the answer is exact.
    "Out of phase" asks that not all pickups of a position be in phase, and
    "not hum-cancelling" that something of the hum be left.

    Parameters
    ----------
    instrument : Instrument

    Returns
    -------
    Plans

    Raises
    ------
    InputError
        If too little was observed of a pickup in a position of which something
        is wanted, if observations contradict each other, or if more than
        twenty single changes are to be weighed.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> pc.plan(instrument).best.changes
    (Change(pickup='bridge', change='swap leads'),)
    """
    known = signs(instrument)
    wants = [Want(p, w) for p in instrument.positions for w in dict.fromkeys(p.wanted)]
    _refuse_unknown(known, wants)
    named = {n for w in wants for n in w.pickups}
    concerned = [p.name for g in housings(instrument) if named & {q.name for q in g} for p in g]
    offered = choices(instrument, concerned)
    if len(offered) > MOST_CHOICES:
        raise InputError.of(
            "allowed", f"leaves {len(offered)} changes to weigh; at most {MOST_CHOICES} are weighed exactly"
        )
    table = Outcomes(instrument, known, offered)
    met = np.array([table.meets(w) for w in wants], dtype=bool).reshape(len(wants), table.size)
    minutes = efforts(instrument, offered)
    best = _minimal(met, minutes, len(offered))
    sizes = np.array([int(mask).bit_count() for mask in best])
    order = best[np.lexsort((best, table.negative(concerned)[best], sizes, minutes[best]))]
    prover = Prover(instrument, known, offered, wants)
    plans = [
        _plan(table, int(mask), wants, met[:, mask], float(minutes[mask]), prover)
        for mask in order[:MOST_PLANS]
    ]
    return Plans(tuple(plans), len(wants), max(0, order.size - MOST_PLANS))


def _refuse_unknown(known: Signs, wants: list[Want]) -> None:
    faults = {}
    for want in wants:
        first = want.pickups[0]
        between = known.signal_between if want.about_phase else known.hum_between
        for name in want.pickups[1:]:
            if between(first, name) is None:
                subject = "signal" if want.about_phase else "hum"
                faults[first, name, subject] = Fault(
                    f"position {want.position.name!r}, wanted",
                    f"how {first} and {name} meet in {subject} was neither measured nor described",
                )
    if faults:
        *others, (key, told) = faults.values()
        following = known.next_measurement()
        advice = f"; to do next: {following.words}" if following else ""
        raise InputError([*others, Fault(key, f"{told}{advice}")])


def _minimal(met: Array, minutes: Array, bits: int) -> Array:
    """Indices of the sets that meet most, without those a subset equals at no more effort."""
    count = met.sum(axis=0, dtype=np.uint16)
    most = np.flatnonzero(count == count.max(initial=0))
    patterns = np.packbits(met[:, most], axis=0) if len(met) else np.zeros((1, most.size), dtype=np.uint8)
    _, pattern = np.unique(patterns, axis=1, return_inverse=True)
    kept = []
    for which in range(int(pattern.max(initial=0)) + 1):
        masks = most[pattern.ravel() == which]
        below = _cheapest_subset(masks, minutes[masks], bits)
        kept.append(masks[below > minutes[masks]])
    return np.concatenate(kept)


def _cheapest_subset(masks: Array, minutes: Array, bits: int) -> Array:
    """The least effort among the proper subsets of each set that are in the list too."""
    if masks.size <= FEW:
        inside = (masks[:, np.newaxis] & masks == masks) & (masks[:, np.newaxis] != masks)
        return np.asarray(np.where(inside, minutes, np.inf).min(axis=1, initial=np.inf))
    own, below = np.full((2, 1 << bits), np.inf)
    own[masks] = minutes
    for bit in range(bits):
        # Pair each set with the same one less a choice: the least effort of any subset spreads upwards.
        o, b = own.reshape(-1, 2, 1 << bit), below.reshape(-1, 2, 1 << bit)
        b[:, 1] = np.minimum(b[:, 1], np.minimum(b[:, 0], o[:, 0]))
    return np.asarray(below[masks])


def _plan(table: Outcomes, mask: int, wants: list[Want], met: Array, minutes: float, prover: Prover) -> Plan:
    done = [w for w, ok in zip(wants, met, strict=True) if ok]
    left = [w for w, ok in zip(wants, met, strict=True) if not ok]
    lacking = {w.position.name for w in left}
    unasked = [p for p in table.instrument.positions if not p.wanted]
    effects = (Effect(p.name, table.words(p, 0), table.words(p, mask)) for p in unasked)
    return Plan(
        changes=tuple(c for i, o in enumerate(table.offered) if mask >> i & 1 for c in o.changes),
        met=tuple(dict.fromkeys(w.position.name for w in done if w.position.name not in lacking)),
        unmet=tuple(Unmet(w.position.name, w.wanted, prover.why(w, tuple(done))) for w in left),
        effort=minutes,
        also=tuple(e for e in effects if e.before != e.after),
    )
