"""Which cautions belong to which work on a magnet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from pickupcalc.parts.jig import Jig
from pickupcalc.parts.magnets import Magnets, Rods
from pickupcalc.tables import table
from pickupcalc.units import quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity

STRONG = ("neodymium", "samarium-cobalt")
FARTHEST = 2.0  # m, of the search for the distance at which a jig is harmless to implants


@dataclass(frozen=True)
class Caution:
    """One caution, in words for the bench, and where it comes from."""

    kind: str
    text: str
    source: str


def caution(kind: str, more: str = "") -> Caution:
    """A caution of the table "magnet_cautions"; `more` is added to its text."""
    row = table("magnet_cautions")[kind]
    return Caution(kind, f"{row['text']}{' ' + more if more else ''}", row["source"])


def cautions_for(
    magnets: Magnets, jig: Jig, *, implants_beyond: Quantity, by_jig: bool
) -> tuple[Caution, ...]:
    """The cautions for reversing a magnet with a jig and, where that fails, by turning it over."""
    found = [caution("implants", f"This jig: stay {100 * implants_beyond.m:.0f} cm away.")]
    strong = jig.substance.family in STRONG
    if strong:
        found.append(caution("pinching"))
    if strong or magnets.substance.family != "alnico":
        found.append(caution("splinters"))
    if not by_jig and not isinstance(magnets, Rods):
        found += [caution("heat"), caution("solvents"), caution("blades")]
    return tuple(found)


def cautions_by_kind(magnet_kind: str | None) -> tuple[Caution, ...]:
    """The cautions for reversing a magnet known only by its name on the bench, as a job file gives it.

    Parameters
    ----------
    magnet_kind : str or None
        Such as "alnico rods" or "bar under steel poles"; None where nobody has looked.
    """
    kind = (magnet_kind or "").lower()
    kinds = ["implants", "pinching", "splinters"]
    if "rod" not in kind:
        kinds += ["heat", "solvents", "blades"]
    return tuple(caution(k) for k in kinds)


def harmless_distance(jig: Jig, magnets: Magnets) -> Quantity:
    """How far from the jig's middle its field has fallen to the limit for implants, in any direction."""
    limit = to_si(table("magnet_cautions")["implants"]["limit"], "tesla")
    placed = jig.around(magnets, "hard")
    middle = placed.assembly.centres.mean(axis=0)
    distances = np.geomspace(0.05, FARTHEST, 120)
    points = middle + distances[:, None, None] * np.concatenate([np.eye(3), -np.eye(3)])
    strongest = np.linalg.norm(placed.assembly.field(points, placed.magnetisation), axis=-1).max(axis=1)
    over = np.nonzero(strongest > limit)[0]
    return quantity(float(distances[min(over[-1] + 1, distances.size - 1)]) if over.size else 0.0, "meter")
