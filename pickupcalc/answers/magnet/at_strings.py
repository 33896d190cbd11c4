"""What a magnet means at the strings: the field there, and how hard it pulls and drags their pitch."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.answers.magnet.reversal import above_zero
from pickupcalc.errors import InputError
from pickupcalc.parts.magnets import Magnets
from pickupcalc.parts.strings import String
from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.magnetism.attraction import string_pull
from pickupcalc.units import Given, amplitude_db, quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity

STEEL_DENSITY = 7850.0  # kg/m^3, from memory
WRAP_DENSITY = 8200.0  # kg/m^3, between nickel-plated steel and nickel, from memory
HEARD = 2.0  # cents; smaller shifts are hard to hear, from memory


@dataclass(frozen=True)
class AtString:
    """One string above its pole.

    Attributes
    ----------
    field : Quantity
        B along the pole's axis at the string, T, north positive.
    force : Quantity
        Pull toward the pole, N.
    growth : Quantity
        How the pull grows as the string comes nearer, N/m.
    tension : Quantity
        Of the string, N.
    drag : float
        Shift of the fundamental in cents, downward negative.
    drag_uncertainty : float
        Two standard deviations, in cents.
    dominated_by : str
    """

    field: Quantity
    force: Quantity
    growth: Quantity
    tension: Quantity
    drag: float
    drag_uncertainty: float
    dominated_by: str = "the steel and true magnetic diameter of the string"

    def as_json(self) -> dict[str, Any]:
        return {
            "field_t": self.field.m,
            "force_n": self.force.m,
            "growth_n_per_m": self.growth.m,
            "tension_n": self.tension.m,
            "drag_cents": self.drag,
            "drag_uncertainty_cents": self.drag_uncertainty,
            "dominated_by": self.dominated_by,
        }


def at_string(
    magnets: Magnets,
    string: String,
    *,
    pole: int = 1,
    height: Given = "3 mm",
    scale_length: Given = "648 mm",
    from_bridge: Given = "150 mm",
) -> AtString:
    """Field, pull and dragged pitch of an open string above a pole.

    Parameters
    ----------
    magnets : Rods, BarUnderPoles or TwinCoil
    string : String
        With its gauge; of a wound string the core's diameter too.
    pole : int
        Counted from 1.
    height : Quantity or str
        From the pole's top to the string's axis.
    scale_length, from_bridge : Quantity or str
        Open length of the string, and where along it the pole stands.

    Raises
    ------
    InputError
        If the gauge is missing, or the pole stands outside of the string.

    Notes
    -----
    The pull grows on approach like a spring of negative stiffness k. At distance x on a string of length
    l under tension T it shifts the fundamental by -k l sin^2(pi x/l)/(pi^2 T) (first-order
    perturbation, up to some 30 cents; for movement toward the pole). Force model:
    `physics.magnetism.attraction`. A wound string counts as its steel core; steel wraps add up to
    half as much again.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> low = pc.String(note="E2", gauge="1.2 mm", core="0.5 mm")
    >>> f"{pc.at_string(pc.Rods(), low, height='3 mm').drag:.0f} cents"
    '-9 cents'
    """
    metres = above_zero(height)
    length, place = to_si(scale_length, "meter", "scale_length"), to_si(from_bridge, "meter", "from_bridge")
    if not 0 < place < length:
        raise InputError.of("from_bridge", f"{from_bridge} is not on a string of {scale_length}")
    if not 1 <= pole <= len(magnets.places):
        raise InputError.of("pole", f"{pole} is not one of 1 to {len(magnets.places)}")
    if string.gauge is None:
        raise InputError.of("gauge", "is missing; the pull depends on the string's diameter")
    work = magnets.work()
    magnetisation = work.as_it_lies().magnetisation
    steel = float((string.core or string.gauge).m)
    x, y = magnets.places[pole - 1]
    pull = string_pull(
        lambda points: work.assembly.b_over_mu0(points, magnetisation),
        x=x, y=y, height=metres, diameter=steel,
    )  # fmt: skip
    tension = 4 * length**2 * float(string.frequency.m) ** 2 * mass_per_length(string)
    shift = -pull.growth * length * np.sin(np.pi * place / length) ** 2 / (np.pi**2 * tension)
    drag = float(1200 / np.log(2) * np.log1p(max(shift, -0.9)))
    return AtString(
        field=quantity(float(MU_0 * pull.applied[2]), "tesla"),
        force=quantity(pull.force, "newton"),
        growth=quantity(pull.growth, "N/m"),
        tension=quantity(tension, "newton"),
        drag=drag,
        drag_uncertainty=abs(drag) * (0.3 if string.core is None else 0.5),
    )


def mass_per_length(string: String) -> float:
    """kg/m of a plain string, or of a steel core with round wire wrapped on it (it fills pi/4)."""
    gauge = float(string.gauge.m) if string.gauge is not None else 0.0
    core = float(string.core.m) if string.core is not None else gauge
    wrap = (np.pi / 4) ** 2 * (gauge**2 - core**2)
    return float(np.pi / 4 * core**2 * STEEL_DENSITY + wrap * WRAP_DENSITY)


def output_change_db(before: Quantity, after: Quantity) -> Any:
    """How much louder (to first order) a pickup gets when the field at its strings changes.

    The string's own magnetisation, which makes the signal, follows the field while it is weak.

    Parameters
    ----------
    before, after : Quantity, shape (...)
        B at the strings, both in the same unit.

    Returns
    -------
    float or ndarray, shape (...)
        dB.
    """
    return amplitude_db(after.m / before.m)
