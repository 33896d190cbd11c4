"""Two coils side by side in one can: how much flux they share."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from pickupcalc.errors import Fault
from pickupcalc.parts.coil import Coil
from pickupcalc.parts.pickup import Pickup
from pickupcalc.physics.winding.geometry import Rods, Winding
from pickupcalc.units import millimetres


def twin_faults(first: Pickup, second: Pickup, key: str) -> list[Fault]:
    """Why the coupling of two coils cannot be computed from their geometry, if it cannot."""
    faults = [
        Fault(key, f"needs the geometry of {p.name!r} ([pickup.coil]), or mutual_inductance")
        for p in (first, second)
        if p.coil is None
    ]
    if faults:
        return faults
    reach = sum(_half_width(p.coil) for p in (first, second) if p.coil)
    if first.spacing is not None and first.spacing.m < reach:
        told = f"{millimetres(first.spacing.m)} is less than the {millimetres(reach)} that both windings need"
        return [Fault(key.replace("coupled_to", "spacing"), told)]
    return []


def mutual_inductance(first: Pickup, second: Pickup) -> Any:
    """Size of the mutual inductance in H: as measured, or from both geometries and the spacing.

    The poles of both coils count, plates and bar do not. Where an inductance was measured, the computed value
    follows it by the root of measured over computed.
    """
    if first.mutual_inductance is not None:
        return first.mutual_inductance.m
    assert first.coil is not None and second.coil is not None and first.spacing is not None
    size = _between(
        first.coil.geometry,
        second.coil.geometry,
        first.coil.rods(),
        second.coil.rods(),
        float(first.spacing.m),
    )
    scales = [p.inductance.m / p.coil.low_frequency_inductance for p in (first, second) if p.coil]
    return size * (scales[0] * scales[1]) ** 0.5


@lru_cache(maxsize=32)
def _between(
    first: Winding, second: Winding, first_rods: Rods | None, second_rods: Rods | None, spacing: float
) -> float:
    from pickupcalc.physics.winding.field_problem import twin_mutual  # most jobs never need it

    return abs(twin_mutual(first, second, (first_rods, second_rods), spacing))


def _half_width(coil: Coil) -> float:
    return coil.geometry.inner_radius + coil.geometry.build
