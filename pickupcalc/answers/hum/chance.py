"""How likely a position gets quiet enough, what stands in the way, and how far a source must be."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.answers.hum.left import relative_db_a
from pickupcalc.answers.tolerance import uncertain_inputs, varied
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.parts.hum_source import SmallTransformer, UniformField, WirePair
from pickupcalc.tables import table
from pickupcalc.units import quantity

if TYPE_CHECKING:
    from pint import Quantity

DRAWS = 20_000  # instruments imagined for a chance: good to 0.4 of 100
SEED = 1
NEAREST, FURTHEST = 0.05, 50.0  # m, between which a distance is sought


@dataclass(frozen=True)
class Chance:
    """How likely a position gets quiet enough, given how unlike windings are.

    Attributes
    ----------
    position : str
    reduction_db : float
        Below the loudest pickup alone, A-weighted.
    share : float
        Of instruments like this one that reach it.
    middle_db, worst_db : float
        Relative level that half, and 95 of 100, of them stay below.
    dominated_by : str
        What spoils it most.
    percentiles_db : tuple of float
        Levels that 1, 2 ... 99 of 100 of them stay below.
    """

    position: str
    reduction_db: float
    share: float
    middle_db: float
    worst_db: float
    dominated_by: str
    percentiles_db: tuple[float, ...]

    @property
    def odds(self) -> str:
        """The share in words: "37 of 100"."""
        if 0.005 <= self.share < 0.995:
            return f"{100 * self.share:.0f} of 100"
        return "nearly all" if self.share > 0.5 else "hardly any"

    def as_json(self) -> dict[str, Any]:
        return vars(self) | {"percentiles_db": list(self.percentiles_db)}

    def __str__(self) -> str:
        return (
            f"{self.position}: hum at least {self.reduction_db:.0f} dB below the loudest alone, as heard, "
            f"in {self.odds} such repairs (half stay below {self.middle_db:+.1f} dB); "
            f"least sure is {self.dominated_by}"
        )


def chance_of_quiet(
    instrument: Instrument,
    position: str,
    *,
    reduction_db: float | None = None,
    mismatch: float | None = None,
    spectrum: str = "mains wiring",
) -> Chance:
    """How likely a position hums less than its loudest pickup alone by `reduction_db`.

    Parameters
    ----------
    instrument : Instrument
    position : str
    reduction_db : float, optional
        20 if left out.
    mismatch : float, optional
        Spread of turns times area, as a fraction, two standard deviations; that
        of the table "uncertainty" if left out.
    spectrum : str

    Returns
    -------
    Chance
        From 20,000 imagined instruments, the same each time: good to 0.4 of 100.

    Raises
    ------
    InputError
        As `hum_left`.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> pc.chance_of_quiet(instrument, "both").share  # while one pair of leads is exchanged
    0.0
    """
    where = instrument.position(position)
    needed = table("hum")["usual"]["reduction_db"] if reduction_db is None else reduction_db
    inputs = [
        replace(i, fraction=mismatch) if i.key == "hum_sensitivity" and mismatch is not None else i
        for i in uncertain_inputs(instrument, where)
        if i.owner == "pickups"
    ]
    drawn = np.random.default_rng(SEED).standard_normal((len(inputs), DRAWS))
    factors = {i: np.maximum(1 + i.fraction / 2 * row, 0.01) for i, row in zip(inputs, drawn, strict=True)}
    levels = relative_db_a(varied(instrument, factors), where, UniformField(), spectrum)
    steps = {i: np.where(np.arange(len(inputs)) == k, 1 + i.fraction, 1.0) for k, i in enumerate(inputs)}
    moved = 10 ** (relative_db_a(varied(instrument, steps), where, UniformField(), spectrum) / 20)
    nominal = 10 ** (relative_db_a(instrument, where, UniformField(), spectrum) / 20)
    return Chance(
        position=position,
        reduction_db=float(needed),
        share=float(np.mean(levels <= -needed)),
        middle_db=float(np.median(levels)),
        worst_db=float(np.quantile(levels, 0.95)),
        dominated_by=inputs[int(np.argmax(np.abs(moved - nominal)))].label,
        percentiles_db=tuple(np.quantile(levels, np.arange(1, 100) / 100).tolist()),
    )


def limits(instrument: Instrument, position: str, *, spectrum: str = "mains wiring") -> dict[str, float]:
    """What keeps a position from being quieter, by what would be left without it.

    Returns
    -------
    dict of str to float
        "as it is", and the A-weighted level in dB if the pickups were alike in
        "turns x area", in "impedance" (resistance, inductance, capacitance,
        losses), or in both with only "own controls" unlike.
    """
    where = instrument.position(position)
    first = instrument.pickup(where.wiring.pickups()[0])
    impedance = ("resistance", "resistance_temperature", "inductance", "capacitance", "loss_resistance")
    alike = {
        "as it is": (),
        "turns x area": ("hum_sensitivity",),
        "impedance": impedance,
        "own controls": ("hum_sensitivity", *impedance),
    }
    found = {}
    for cause, keys in alike.items():
        made = tuple(replace(p, **{k: getattr(first, k) for k in keys}) for p in instrument.pickups)
        level = relative_db_a(replace(instrument, pickups=made), where, UniformField(), spectrum)
        found[cause] = float(level)
    return found


def distance_needed(
    instrument: Instrument,
    position: str,
    source: WirePair | SmallTransformer,
    *,
    reduction_db: float | None = None,
    spectrum: str = "mains wiring",
) -> Quantity | None:
    """From how far a source hums no more than wanted, moved straight away from the pickups.

    Near a source the field differs from pickup to pickup, so less of it cancels.

    Parameters
    ----------
    instrument : Instrument
    position : str
    source : WirePair or SmallTransformer
        Its place tells the direction.
    reduction_db : float, optional
        20 if left out.
    spectrum : str

    Returns
    -------
    Quantity or None
        Metres from the middle of the position's pickups, within 3 %; None where
        no distance up to 50 m is enough.

    Raises
    ------
    InputError
        For a source in the very middle of the pickups.
    """
    where = instrument.position(position)
    needed = table("hum")["usual"]["reduction_db"] if reduction_db is None else reduction_db
    places = [instrument.pickup(n).distance_from_bridge for n in where.wiring.pickups()]
    middle = np.array([np.mean([p.magnitude for p in places if p is not None] or [0.0]), 0.0, 0.0])
    away = np.asarray(source.place) - middle
    now = float(np.linalg.norm(away))
    if now == 0:
        raise InputError.of("place", "is the middle of the pickups, which gives no direction to move in")
    distances = np.geomspace(NEAREST, FURTHEST, 240)
    moved = (distances - now)[:, np.newaxis] * away / now
    loud = relative_db_a(instrument, where, source, spectrum, moved) > -needed
    if loud[-1]:
        return None
    last = int(np.max(np.flatnonzero(loud), initial=-1))
    return quantity(float(distances[last + 1]), "meter")
