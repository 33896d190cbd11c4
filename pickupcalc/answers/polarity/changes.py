"""What may be changed, what it costs by construction, and an instrument with it changed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from operator import or_
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.instrument.instrument import Instrument
from pickupcalc.instrument.observation import Observation
from pickupcalc.parts.pickup import Pickup
from pickupcalc.tables import table

SWAP, REVERSE = "swap leads", "reverse magnet"
_OTHER = {
    "north": "south", "south": "north", "positive": "negative", "negative": "positive",
    "start": "finish", "finish": "start", "full": "thin", "thin": "full", "quiet": "hums", "hums": "quiet",
}  # fmt: skip


@dataclass(frozen=True)
class Change:
    """One thing done to one pickup: its leads swapped or its magnet reversed."""

    pickup: str
    change: str

    def __str__(self) -> str:
        return in_words([self])

    def as_json(self) -> dict[str, str]:
        return {"pickup": self.pickup, "change": self.change}


@dataclass(frozen=True)
class Choice:
    """Changes that can only be made together, one bit of a plan: a magnet shared turns over for all."""

    changes: tuple[Change, ...]

    @property
    def kind(self) -> str:
        return self.changes[0].change

    @property
    def pickups(self) -> tuple[str, ...]:
        return tuple(c.pickup for c in self.changes)


def in_words(changes: Iterable[Change]) -> str:
    """ "reverse middle's magnet and swap its leads"."""
    told: list[str] = []
    before = ""
    for c in changes:
        whose = "its" if c.pickup == before else f"{c.pickup}'s"
        told.append(f"swap {whose} leads" if c.change == SWAP else f"reverse {whose} magnet")
        before = c.pickup
    return listed(told) if told else "change nothing"


def listed(parts: list[str]) -> str:
    """ "a, b and c"."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def is_bar(pickup: Pickup) -> bool:
    """Whether the magnet is a bar or a block under the poles, to judge by its `magnet_kind`."""
    return any(word in (pickup.magnet_kind or "").lower() for word in ("bar", "block"))


def magnet_method(pickup: Pickup) -> str:
    """How its magnet is reversed: "bar", "rods", "fixed_rods" or "unknown"."""
    kind = (pickup.magnet_kind or "").lower()
    if is_bar(pickup):
        return "bar"
    if any(word in kind for word in ("ferrite", "ceramic", "rare", "neodymium", "samarium")):
        return "fixed_rods"
    return "rods" if "rod" in kind or "alnico" in kind else "unknown"


def housings(instrument: Instrument) -> list[tuple[Pickup, ...]]:
    """Pickups as they sit in the instrument: twin coils together, others alone."""
    groups: dict[str, list[Pickup]] = {}
    for p in instrument.pickups:
        groups.setdefault(f"housing {p.housing}" if p.housing else f"alone {p.name}", []).append(p)
    return [tuple(g) for g in groups.values()]


def choices(instrument: Instrument, of: Iterable[str]) -> list[Choice]:
    """All changes that may be made to these pickups."""
    wanted = set(of)
    found = []
    for group in housings(instrument):
        together = [group] if len(group) > 1 and all(map(is_bar, group)) else [(p,) for p in group]
        for magnet in together:
            if wanted.intersection(p.name for p in magnet) and all(REVERSE in p.allowed for p in magnet):
                found.append(Choice(tuple(Change(p.name, REVERSE) for p in magnet)))
        concerned = [p for p in group if p.name in wanted]
        found += [Choice((Change(p.name, SWAP),)) for p in concerned if SWAP in p.allowed]
    return found


def efforts(instrument: Instrument, offered: list[Choice]) -> NDArray[Any]:
    """Minutes for every set of choices, shape (2**len(offered),); bit i of the index is choice i."""
    masks = np.arange(1 << len(offered))
    total = np.zeros(masks.size)
    by_name = {p.name: p for p in instrument.pickups}
    for i, choice in enumerate(offered):
        if choice.kind == REVERSE:
            minutes = table("effort")["reverse_magnet"][magnet_method(by_name[choice.pickups[0]])]
            total += minutes * (masks >> i & 1)
    for group in housings(instrument):
        bits = [
            1 << i for p in group for i, c in enumerate(offered) if c.kind == SWAP and c.pickups == (p.name,)
        ]
        total += _swap_minutes(group, bits, masks)
    return total


def _swap_minutes(group: tuple[Pickup, ...], bits: list[int], masks: NDArray[Any]) -> NDArray[Any]:
    minutes = table("effort")["swap_leads"]
    tied = max((table("effort")["lead_tied_to"][p.lead_tied_to] for p in group if p.lead_tied_to), default=0)
    swapped = sum(((masks & b) != 0 for b in bits), np.zeros(masks.size, dtype=int))
    if len(group) == 1:
        return swapped * (minutes["free"] + tied)
    # All coils of a twin-coil pickup at once: the whole pickup is wired the other way round outside.
    whole = (masks & reduce(or_, bits, 0) == reduce(or_, bits, 0)) & (len(bits) == len(group))
    return np.where(whole, minutes["free"] + tied, swapped * minutes["inside_housing"])


def changed(instrument: Instrument, changes: Iterable[Change]) -> Instrument:
    """The instrument after the changes, with what compass, tap test and ear would then tell."""
    made = list(changes)
    kinds = {p.name: [c.change for c in made if c.pickup == p.name] for p in instrument.pickups}
    pickups = tuple(replace(p, **readings_after(p, kinds[p.name])) for p in instrument.pickups)
    observations = tuple(_heard_after(o, kinds, instrument) for o in instrument.observations)
    return replace(instrument, pickups=pickups, observations=observations)


def readings_after(pickup: Pickup, kinds: list[str]) -> dict[str, Any]:
    """The readings of a pickup that changes turn over, by key."""
    turned = {"magnet": kinds.count(REVERSE), "hot": kinds.count(SWAP), "tap": len(kinds)}
    read = {key: getattr(pickup, key) for key, times in turned.items() if times % 2}
    return {key: _OTHER[value] for key, value in read.items() if value}


def heard_of(observed: Observation, instrument: Instrument) -> Sequence[str]:
    """The two pickups that an observation is of."""
    return observed.pickups or instrument.position(observed.position or "").wiring.pickups()


def _heard_after(observed: Observation, kinds: dict[str, list[str]], instrument: Instrument) -> Observation:
    made = [kind for name in heard_of(observed, instrument) for kind in kinds[name]]
    turned = {"sound": len(made), "hum": made.count(SWAP)}
    heard = {key: getattr(observed, key) for key, times in turned.items() if times % 2}
    after: dict[str, Any] = {key: _OTHER[value] for key, value in heard.items() if value}
    return replace(observed, **after)
