"""What a keeper does: the field at the strings, the magnet's working point, and the load on its own steel."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.answers.magnet.reversal import above_poles, above_zero
from pickupcalc.errors import InputError
from pickupcalc.parts.magnets import Magnets
from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.magnetism.magnetising import State, Work
from pickupcalc.tables import table
from pickupcalc.units import Given, quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity


@dataclass(frozen=True)
class KeeperEffect:
    """A magnet with its keeper beside the same without.

    Attributes
    ----------
    height : Quantity
        Of the strings above the poles.
    strings_with, strings_without : Quantity, shape (poles,)
        B along the pole axis there in T, north positive.
    magnet_with, magnet_without : Quantity
        Mean B in the magnet along its magnetisation, T.
    kept : float
        Of the moment of the softest magnet of the name, magnetised on its keeper, when the keeper has
        been off once and is back.
    steel : Quantity
        The largest mean B through a section of the keeper or of a pole on it, T.
    too_dense : bool
        Whether that is more than soft steel carries at a high permeability; the model then tells too much.
    """

    height: Quantity
    strings_with: Quantity
    strings_without: Quantity
    magnet_with: Quantity
    magnet_without: Quantity
    kept: float
    steel: Quantity
    too_dense: bool

    def as_json(self) -> dict[str, Any]:
        return {
            "height_m": self.height.m,
            "strings_with_t": self.strings_with.m.tolist(),
            "strings_without_t": self.strings_without.m.tolist(),
            "magnet_with_t": self.magnet_with.m,
            "magnet_without_t": self.magnet_without.m,
            "kept": self.kept,
            "steel_t": self.steel.m,
            "too_dense": self.too_dense,
        }


def keeper_effect(magnets: Magnets, *, height: Given = "4 mm") -> KeeperEffect:
    """What the keeper of a pickup's magnet does.

    Parameters
    ----------
    magnets : Rods, BarUnderPoles or TwinCoil
        With a keeper. A twin coil without one has its bar between the feet of the poles.
    height : Quantity or str
        Of the strings above the poles.

    Raises
    ------
    InputError
        If there is no keeper, or the height is not above zero.

    Notes
    -----
    Model and its range: `physics.magnetism.steel_plates`. What is lost without the keeper is what turns over
    in the magnet's own, then stronger, demagnetising field.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> plate = pc.Keeper(width="16 mm", thickness="2 mm")
    >>> found = pc.keeper_effect(pc.Rods(keeper=plate))
    >>> [round(1e3 * b.m[0]) for b in (found.strings_without, found.strings_with)]  # mT, 4 mm above rod 1
    [35, 44]
    """
    if magnets.keeper is None:
        raise InputError.of("keeper", "is missing; there is nothing to compare")
    metres = above_zero(height)
    both = [m.work() for m in (magnets, replace(magnets, keeper=None))]
    states = [work.as_it_lies() for work in both]
    strings = [above_poles(magnets, w, s, metres) for w, s in zip(both, states, strict=True)]
    inside = [quantity(_mean_b(w, s), "tesla") for w, s in zip(both, states, strict=True)]
    steel = _densest(both[0], states[0])
    return KeeperEffect(
        height=quantity(metres, "meter"),
        strings_with=strings[0],
        strings_without=strings[1],
        magnet_with=inside[0],
        magnet_without=inside[1],
        kept=_kept(magnets),
        steel=quantity(steel, "tesla"),
        too_dense=steel > to_si(table("pole_steel")["dense"], "tesla"),
    )


def _mean_b(work: Work, state: State) -> float:
    hard = work.hard
    volumes = work.assembly.volumes[hard]
    along = ((state.field + state.magnetisation) * work.signs)[hard]
    return float(MU_0 * (along @ volumes) / volumes.sum())


def _densest(work: Work, state: State) -> float:
    charges = work.assembly.charges(state.magnetisation)
    plates = work.assembly.answering
    each = np.split(charges, np.cumsum([p.count for p in plates])[:-1])
    return max(plate.densest(charge) for plate, charge in zip(plates, each, strict=True))


def _kept(magnets: Magnets) -> float:
    """Share of the softest magnet's moment left when the keeper has been off and is back."""
    on, off = (m.work("soft") for m in (magnets, replace(magnets, keeper=None)))
    turned = np.zeros(on.assembly.count)
    turned[on.hard] = off.strength.turned(off.as_it_lies().against[off.hard])
    weights = (on.assembly.volumes * on.signs)[on.hard]
    before, after = on.as_it_lies(), on.weakened(turned)
    return float(weights @ after.magnetisation[on.hard] / (weights @ before.magnetisation[on.hard]))
