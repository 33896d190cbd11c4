"""Magnet materials by name, with the range in which an unmarked piece may lie."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from pickupcalc.errors import InputError, quoted
from pickupcalc.physics.magnetism.magnetising import Strength
from pickupcalc.tables import table
from pickupcalc.units import to_si

ROOM = 293.15  # K, at which data sheets give their values

Grade = Literal["soft", "usual", "hard"]
_PLACE = {"soft": 0, "usual": 1, "hard": 2}


@dataclass(frozen=True)
class MagnetMaterial:
    """One row of the table "magnets", in SI numbers; ranges are (low, usual, high).

    Attributes
    ----------
    remanence : tuple of float
        Br in T at 20 degC.
    coercivity, intrinsic_coercivity, saturating : tuple of float
        HcB, HcJ and the inner field that saturates, in A/m.
    energy_product : tuple of float
        (BH)max in J/m^3.
    recoil, knee : float
        See `pickupcalc.physics.magnetism.magnetising.Strength`.
    remanence_drift : float
        Of Br per K.
    coercivity_drift : tuple of float
        Of HcJ per K, least and most.
    curie, highest : float
        Curie and highest working temperature, K.
    """

    name: str
    family: str
    remanence: tuple[float, ...]
    coercivity: tuple[float, ...]
    intrinsic_coercivity: tuple[float, ...]
    energy_product: tuple[float, ...]
    saturating: tuple[float, ...]
    recoil: float
    knee: float
    remanence_drift: float
    coercivity_drift: tuple[float, ...]
    curie: float
    highest: float
    source: str

    def strength(self, grade: Grade = "usual", temperature: float = ROOM) -> Strength:
        """The switching model of a piece from the soft, usual or hard end of the range.

        Parameters
        ----------
        grade : {"soft", "usual", "hard"}
            "hard" is the most stubborn: highest HcJ and saturating field, highest Br too, because a
            strong magnet works against its own reversal. "soft" is the easiest to turn or to weaken.
        temperature : float
            In K. Above 20 degC the soft piece gets the most unfavourable drift of HcJ. Straight
            lines, good between about -20 and +100 degC.
        """
        i = _PLACE[grade]
        warm = temperature - ROOM
        drifts = sorted(self.coercivity_drift, key=lambda drift: drift * warm)
        drift = {"soft": drifts[0], "hard": drifts[-1], "usual": sum(drifts) / 2}[grade]
        scale = max(1 + drift * warm, 0.01)
        return Strength(
            remanence=self.remanence[i] * max(1 + self.remanence_drift * warm, 0.01),
            coercivity=self.intrinsic_coercivity[i] * scale,
            saturating=self.saturating[i] * scale,
            knee=self.knee,
            recoil=self.recoil,
        )


@cache
def magnet_material(name: str) -> MagnetMaterial:
    """A material of the table "magnets" by its name.

    Raises
    ------
    InputError
        For a name the table does not have.
    """
    rows = table("magnets")
    if name not in rows:
        raise InputError.of("", f'"{name}" is not a magnet material known here; known are {quoted(rows)}')
    row: dict[str, Any] = rows[name]
    units = {"remanence": "tesla", "energy_product": "J/m^3"}
    ranges = {
        key: tuple(to_si(v, units.get(key, "A/m")) for v in row[key])
        for key in ("remanence", "coercivity", "intrinsic_coercivity", "energy_product", "saturating")
    }
    return MagnetMaterial(
        name=name,
        family=row["family"],
        **ranges,
        recoil=row["recoil"],
        knee=row["knee"],
        remanence_drift=row["remanence_drift"],
        coercivity_drift=tuple(row["coercivity_drift"]),
        curie=to_si(row["curie"], "kelvin"),
        highest=to_si(row["highest"], "kelvin"),
        source=row["source"],
    )
