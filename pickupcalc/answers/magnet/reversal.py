"""Can this magnet be reversed with this jig, and if not, what to do instead.

The weakest place decides: the piece of magnet that the jig reaches least is left as it was, or turned
in part, and then works against the rest.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.answers.magnet.cautions import Caution, cautions_for, harmless_distance
from pickupcalc.errors import InputError
from pickupcalc.parts.jig import Blocks, Jig
from pickupcalc.parts.magnet_material import Grade
from pickupcalc.parts.magnets import BarUnderPoles, Magnets, Rods
from pickupcalc.physics.magnetism.magnetising import State, Work
from pickupcalc.units import Given, quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity

FULLY = 0.95  # of the strength the saturated magnet would have; ears and meters miss 5 %
UNTOUCHED = -0.95
WIDEST_GAP = 0.1  # m, of the search for the gap that would do

# The jig that helps each grade of the work: a weak jig on a stubborn magnet is the worst case.
_JIG_GRADE: dict[Grade, Grade] = {"soft": "hard", "usual": "usual", "hard": "soft"}


@dataclass(frozen=True)
class Reversal:
    """What a jig does to a magnet.

    Attributes
    ----------
    verdict : {"fully", "partly", "not at all"}
        For the whole range of what an unmarked magnet of this name may be.
    reversed_strength : Quantity, shape (poles,)
        1: as strong as a fresh magnet, the other way round; -1: as it was; 0: no use either way.
    weakest : tuple of float
        The same at the weakest place, for the most stubborn, the usual and the softest magnet.
    jig_field, needed : Quantity
        The jig's own field there, along the magnet, and what would just do fully, in A/m.
    along, jig_along : Quantity, shape (pieces,)
        Places along the weakest rod (of a bar: along the row) in m, and the jig's field there in A/m.
    margin : float
        How many times the field that would just do fully, for the most stubborn magnet.
    gap_for_fully : Quantity or None
        The widest gap at which the verdict is "fully"; None if not even touching does it.
    strings_before, strings_after : Quantity, shape (poles,)
        B along the pole axis at `height` above each pole in T, signed: north is positive.
    height : Quantity
    where : str
        The weakest place in words.
    instead : tuple of str
        What else can be done, best first.
    implants_beyond : Quantity
        Distance from the jig at which its field has fallen to what implants bear.
    cautions : tuple of Caution
    dominated_by : str
        What the verdict is least sure of.
    """

    verdict: str
    reversed_strength: Quantity
    weakest: tuple[float, float, float]
    jig_field: Quantity
    needed: Quantity
    along: Quantity
    jig_along: Quantity
    margin: float
    gap_for_fully: Quantity | None
    strings_before: Quantity
    strings_after: Quantity
    height: Quantity
    where: str
    instead: tuple[str, ...]
    implants_beyond: Quantity
    cautions: tuple[Caution, ...]
    dominated_by: str

    def as_json(self) -> dict[str, Any]:
        gap = self.gap_for_fully
        return {
            "verdict": self.verdict,
            "reversed_strength": self.reversed_strength.m.tolist(),
            "weakest": list(self.weakest),
            "jig_field_a_per_m": self.jig_field.m,
            "needed_a_per_m": self.needed.m,
            "along_m": self.along.m.tolist(),
            "jig_along_a_per_m": self.jig_along.m.tolist(),
            "margin": self.margin,
            "gap_for_fully_m": None if gap is None else gap.m,
            "strings_before_t": self.strings_before.m.tolist(),
            "strings_after_t": self.strings_after.m.tolist(),
            "height_m": self.height.m,
            "where": self.where,
            "instead": list(self.instead),
            "implants_beyond_m": self.implants_beyond.m,
            "cautions": [c.text for c in self.cautions],
            "dominated_by": self.dominated_by,
        }

    def _repr_html_(self) -> str:
        told = f"weakest at {self.where}: {100 * self.weakest[1]:.0f} % of full strength, other way round"
        cautions = "".join(f"<li>{c.text}</li>" for c in self.cautions)
        return f"<p><strong>{self.verdict}</strong>, {told}; margin {self.margin:.1f}</p><ul>{cautions}</ul>"


def reversal(magnets: Magnets, jig: Jig, *, height: Given = "4 mm", moved_along: bool = False) -> Reversal:
    """The verdict on reversing a pickup's magnet with a jig.

    Parameters
    ----------
    magnets : Rods, BarUnderPoles or TwinCoil
    jig : Blocks or Horseshoe
        Set up centred on the magnet, turned against it.
    height : Quantity or str
        Of the strings above the poles.
    moved_along : bool
        The jig is drawn along the row, stopping at every pole.

    Raises
    ------
    InputError
        If the work does not fit the jig, or a height is not above zero.

    Notes
    -----
    Model and its doubt: see `pickupcalc.physics.magnetism.magnetising`. Steel poles count as magnetised
    along their axes only and with a fixed permeability; that makes the fields at the strings good
    to some 10 %. A keeper counts as unsaturated, which a strong jig may undo.
    """
    metres = above_zero(height)
    stops = tuple(sorted({x for x, _ in magnets.places})) if moved_along else (0.0,)
    tries = {grade: _attempt(magnets, grade) for grade in _JIG_GRADE}
    applied = {g: jig.around(magnets, _JIG_GRADE[g]).on(t.work, stops) for g, t in tries.items()}
    usual, worst = tries["usual"], tries["hard"]
    after = usual.after(applied["usual"])
    ratio = usual.ratio(after)
    place = int(np.argmin(ratio))
    field = np.abs(applied["usual"])[usual.work.hard]
    line, field_along = _profile(magnets, usual.work, field, place)
    margin = _margin(worst, applied["hard"])
    weakest = (worst.weakest(applied["hard"]), float(ratio.min()), tries["soft"].weakest(applied["soft"]))
    verdict = verdict_of(weakest[0], float(ratio.max()))
    touching = quantity(jig.smallest_gap(magnets), "meter")
    gap = _gap_for_fully(magnets, replace(jig, gap=touching), stops)
    beyond = harmless_distance(jig, magnets)
    return Reversal(
        verdict=verdict,
        reversed_strength=quantity(usual.by_pole(magnets, after), "dimensionless"),
        weakest=weakest,
        jig_field=quantity(float(field[place]), "A/m"),
        needed=quantity(float(field[place]) / margin, "A/m"),
        along=quantity(line, "meter"),
        jig_along=quantity(field_along, "A/m"),
        margin=margin,
        gap_for_fully=None if gap is None else quantity(gap, "meter"),
        strings_before=above_poles(magnets, usual.work, usual.before, metres),
        strings_after=above_poles(magnets, usual.work, after, metres),
        height=quantity(metres, "meter"),
        where=_where(magnets, usual.work.assembly.centres[usual.work.hard][place]),
        instead=_instead(magnets, verdict, gap, jig),
        implants_beyond=beyond,
        cautions=cautions_for(magnets, jig, implants_beyond=beyond, by_jig=verdict == "fully"),
        dominated_by="the coercivity of an unmarked magnet of this kind",
    )


def verdict_of(weakest: float, strongest: float) -> str:
    """The word for what became of a magnet's weakest and its most turned place."""
    if weakest >= FULLY:
        return "fully"
    return "not at all" if strongest <= UNTOUCHED else "partly"


def above_zero(given: Given, key: str = "height") -> float:
    """A height above the poles, or another length, in m; refused by `key` unless it is above zero."""
    metres = to_si(given, "meter", key)
    if not metres > 0:
        raise InputError.of(key, f"{given} must be above 0 mm")
    return float(metres)


@dataclass(frozen=True)
class _Try:
    """One grade of magnet before a jig, and what a wholly turned one would be."""

    work: Work
    before: State
    best: State

    def after(self, applied: Any) -> State:
        return self.work.afterwards(self.work.in_the_jig(applied))

    def ratio(self, state: State) -> Any:
        """Of every magnet piece: what it is over what a wholly turned one would be."""
        hard = self.work.hard
        return state.magnetisation[hard] / self.best.magnetisation[hard]

    def weakest(self, applied: Any) -> float:
        return float(self.ratio(self.after(applied)).min())

    def by_pole(self, magnets: Magnets, state: State) -> Any:
        """The magnet's moment near each pole, over that of a wholly turned one."""
        hard = self.work.hard
        volumes = self.work.assembly.volumes[hard]
        x = self.work.assembly.centres[hard, 0]
        poles = np.array([p[0] for p in magnets.places])
        near = np.abs(x[:, None] - poles[None, :])
        own = near <= near.min(axis=1, keepdims=True) + 1e-9
        got, best = (volumes * s.magnetisation[hard] for s in (state, self.best))
        total = own.T @ best
        return np.divide(own.T @ got, total, out=np.zeros(poles.size), where=total != 0)


@lru_cache(maxsize=64)
def _attempt(magnets: Magnets, grade: Grade) -> _Try:
    work = magnets.work(grade)
    wanted = replace(work, signs=np.where(work.hard, -magnets.sign, 0.0))
    return _Try(work, work.as_it_lies(), wanted.as_it_lies())


def _margin(worst: _Try, applied: Any) -> float:
    """The jig's field over the field of the same shape that would just do fully."""
    low, high = 0.05, 20.0
    for _ in range(12):
        middle = float(np.sqrt(low * high))
        low, high = (low, middle) if worst.weakest(middle * applied) >= FULLY else (middle, high)
    return 1 / float(np.sqrt(low * high))


@lru_cache(maxsize=64)
def _gap_for_fully(magnets: Magnets, jig: Jig, stops: tuple[float, ...]) -> float | None:
    """The widest gap that does fully, for the most stubborn magnet and the weakest jig, whatever its gap."""
    worst = _attempt(magnets, "hard")

    def enough(gap: float) -> bool:
        return worst.weakest(jig.around(magnets, _JIG_GRADE["hard"], gap).on(worst.work, stops)) >= FULLY

    low, high = jig.smallest_gap(magnets), WIDEST_GAP
    if low >= high or not enough(low):
        return None
    while high - low > 2e-4:
        middle = (low + high) / 2
        low, high = (middle, high) if enough(middle) else (low, middle)
    return low


def above_poles(magnets: Magnets, work: Work, state: State, metres: float) -> Quantity:
    """B along the axis of every pole at this height above it, T, shape (poles,)."""
    points = np.array([(x, y, metres) for x, y in magnets.places])
    return quantity(work.assembly.field(points, state.magnetisation)[:, 2], "tesla")


def _profile(magnets: Magnets, work: Work, field: Any, place: int) -> tuple[Any, Any]:
    """Along the weakest rod, or along a bar at its weakest depth: places and the jig's field there."""
    centres = work.assembly.centres[work.hard]
    axis = magnets.axis if isinstance(magnets, Rods) else 0
    line = np.all(np.isclose(np.delete(centres - centres[place], axis, axis=1), 0), axis=1)
    return centres[line, axis], field[line]


def _where(magnets: Magnets, centre: Any) -> str:
    poles = np.array([p[0] for p in magnets.places])
    number = int(np.argmin(np.abs(poles - centre[0]))) + 1
    low, high = magnets.extent
    if not isinstance(magnets, Rods):
        return f"the bar under pole {number}"
    third = (centre[2] - low) / (high - low)
    level = "its lower end" if third < 1 / 3 else "its top" if third > 2 / 3 else "its middle"
    return f"rod {number}, {level}"


def _instead(magnets: Magnets, verdict: str, gap: float | None, jig: Jig) -> tuple[str, ...]:
    told = []
    if gap is not None and verdict != "fully":
        name = "blocks" if isinstance(jig, Blocks) else "tips"
        told.append(f"Bring the {name} closer: a gap of {1e3 * gap:.1f} mm would do fully.")
    elif verdict != "fully" and isinstance(magnets, Rods):
        told.append("Draw a longer or stronger pair of blocks along the row, stopping at every rod.")
    if isinstance(magnets, BarUnderPoles):
        told.append("Turn the bar over: loosen its glue, lay it back with the other face to the poles.")
    elif not isinstance(magnets, Rods):
        told.append("Take the bar out and put it back end for end across the rows.")
    elif verdict != "fully":
        told.append(
            "Leave the rods where they are when the wire is wound straight onto them; pushing them out "
            "tears the winding (common practice, no source)."
        )
    told.append("Leave this magnet and reverse the other pickup's instead.")
    return tuple(told)
