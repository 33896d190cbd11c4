"""How warm may it get: what the magnet loses, what comes back, and where wax, glue and plastic give way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.answers.magnet.cautions import Caution, caution
from pickupcalc.errors import InputError, quoted
from pickupcalc.parts.magnet_material import ROOM, Grade
from pickupcalc.parts.magnets import Magnets
from pickupcalc.tables import table
from pickupcalc.units import Given, quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity

TOLERATED = 0.03  # of the magnet's moment, lost for good: below what a meter at the strings shows
MARGIN = 8.0  # K, kept from every limit: thermometer, hot spots and makers' mixtures
COLDEST, HOTTEST = 233.15, 473.15  # K, of the straight-line drifts


@dataclass(frozen=True)
class Limit:
    """One thing that gives way, and where: begins and is done by, in K."""

    name: str
    kind: str
    begins: float
    done: float
    source: str


@dataclass(frozen=True)
class Warming:
    """What warming to a temperature does.

    Attributes
    ----------
    temperature : Quantity
    reversible_loss, lasting_loss : float
        Of the magnet's moment while warm (comes back on cooling), and for good. The lasting one is for
        the softest magnet of the name; it can be had back only by magnetising again.
    magnet_limit : Quantity
        Where the lasting loss reaches 3 %, or the makers' highest temperature if that comes first.
    curie : Quantity
        Where nothing is left.
    limits : tuple of Limit
        What was asked about, and the magnet, lowest first.
    window : tuple of Quantity or None
        From where the glue gives way to where the first other thing would, with 8 K kept from each;
        None where there is no such window, or no glue was named.
    verdict : str
    cautions : tuple of Caution
    """

    temperature: Quantity
    reversible_loss: float
    lasting_loss: float
    magnet_limit: Quantity
    curie: Quantity
    limits: tuple[Limit, ...]
    window: tuple[Quantity, Quantity] | None
    verdict: str
    cautions: tuple[Caution, ...]

    def as_json(self) -> dict[str, Any]:
        return {
            "temperature_k": self.temperature.m,
            "reversible_loss": self.reversible_loss,
            "lasting_loss": self.lasting_loss,
            "magnet_limit_k": self.magnet_limit.m,
            "curie_k": self.curie.m,
            "limits": [vars(limit) for limit in self.limits],
            "window_k": None if self.window is None else [w.m for w in self.window],
            "verdict": self.verdict,
            "cautions": [c.text for c in self.cautions],
        }


def softenings(kind: str) -> tuple[str, ...]:
    """The names the table "softening" has of one kind: "wax", "glue" or "bobbin"."""
    return tuple(name for name, row in table("softening").items() if row["kind"] == kind)


def warming(
    magnets: Magnets,
    temperature: Given,
    *,
    glue: str | None = None,
    wax: str | None = None,
    bobbin: str | None = None,
) -> Warming:
    """What warming a pickup to a temperature does to its magnet and to what holds it.

    Parameters
    ----------
    magnets : Rods, BarUnderPoles or TwinCoil
    temperature : Quantity or str
        Of the part itself, -40 to 200 degC: what a thermometer on it reads.
    glue, wax, bobbin : str, optional
        Names of the table "softening": the glue to be loosened, the wax in the winding, the plastic.

    Raises
    ------
    InputError
        For unknown names and temperatures outside the range.

    Notes
    -----
    Br and HcJ drift along straight lines (table "magnets"). Lasting loss: the regions whose strength, at
    that temperature, falls below the magnet's own demagnetising field turn over and stay turned; the
    working point is solved piece by piece with poles and neighbours in place.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> pc.warming(pc.Rods(), "80 degC").verdict
    'harms neither magnet nor what holds it'
    """
    kelvin = to_si(temperature, "kelvin", "temperature")
    if not COLDEST - 1e-6 <= kelvin <= HOTTEST + 1e-6:
        raise InputError.of("temperature", f"{temperature} is outside of -40 degC to 200 degC")
    things = [_limit(name, kind) for kind, name in (("glue", glue), ("wax", wax), ("bobbin", bobbin)) if name]
    substance = magnets.substance
    limit = _magnet_limit(magnets)
    own = Limit(substance.name, "magnet", limit, substance.curie, substance.source)
    window = _window(things, own) if glue else None
    lasting = lasting_loss(magnets, kelvin)
    return Warming(
        temperature=quantity(kelvin, "kelvin"),
        reversible_loss=-substance.remanence_drift * (kelvin - ROOM),
        lasting_loss=lasting,
        magnet_limit=quantity(limit, "kelvin"),
        curie=quantity(substance.curie, "kelvin"),
        limits=tuple(sorted([*things, own], key=lambda one: one.begins)),
        window=window,
        verdict=_verdict(kelvin, things, lasting, limit),
        cautions=tuple(caution(k) for k in ("heat", "solvents", "blades")),
    )


def lasting_loss(magnets: Magnets, kelvin: float, grade: Grade = "soft") -> float:
    """Part of the magnet's moment that does not come back after a stay at this temperature."""
    there = magnets.work(grade, kelvin)
    turned = there.strength.turned(there.as_it_lies().against)
    here = magnets.work(grade)
    before, after = here.as_it_lies(), here.weakened(np.where(here.hard, turned, 0.0))
    weights = (here.assembly.volumes * here.signs)[here.hard]
    return float(
        max(0.0, 1 - weights @ after.magnetisation[here.hard] / (weights @ before.magnetisation[here.hard]))
    )


def _magnet_limit(magnets: Magnets) -> float:
    low, high = ROOM, min(magnets.substance.highest, HOTTEST)
    if lasting_loss(magnets, high) <= TOLERATED:
        return float(min(magnets.substance.highest, HOTTEST))
    while high - low > 0.5:
        middle = (low + high) / 2
        low, high = (middle, high) if lasting_loss(magnets, middle) <= TOLERATED else (low, middle)
    return low


def _limit(name: str, kind: str) -> Limit:
    row = table("softening").get(name)
    if row is None or row["kind"] != kind:
        raise InputError.of(kind, f'"{name}" is not known here; known are {quoted(softenings(kind))}')
    begins, done = (to_si(v, "kelvin") for v in row["range"])
    return Limit(name, kind, begins, done, row["source"])


def _window(things: list[Limit], own: Limit) -> tuple[Quantity, Quantity] | None:
    glue = next(t for t in things if t.kind == "glue")
    least = glue.begins + MARGIN
    most = min(t.begins for t in (*things, own) if t is not glue) - MARGIN
    return (quantity(least, "kelvin"), quantity(most, "kelvin")) if most > least else None


def _verdict(kelvin: float, things: list[Limit], lasting: float, limit: float) -> str:
    soft = [t.name for t in things if kelvin >= t.begins]
    if lasting > TOLERATED or kelvin > limit:
        return "too warm for the magnet" if kelvin > ROOM else "too cold for the magnet"
    if any(t.kind == "bobbin" and kelvin >= t.begins for t in things):
        return "too warm for the bobbin"
    if soft:
        return f"the magnet stays; {' and '.join(soft)} gives way"
    return "harms neither magnet nor what holds it"
