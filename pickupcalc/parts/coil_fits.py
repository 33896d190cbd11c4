"""Whether a winding fits its bobbin, and poles, plates and bar fit round it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.errors import Fault
from pickupcalc.physics.winding.wire import CLOSEST
from pickupcalc.units import millimetres as mm

if TYPE_CHECKING:
    from pickupcalc.parts.coil import Coil

MOST_TURNS = 200_000
LARGEST = 0.5  # m; no bobbin is larger
FULLEST = np.pi / 4 / CLOSEST  # share of a plane that round wires can fill


def misfits(coil: Coil) -> list[Fault]:
    """What of a coil's geometry contradicts itself; the winding is looked at when the sizes make sense."""
    faults = _of_sizes(coil)
    if not faults:
        faults = _of_winding(coil) + _of_poles(coil) + _of_plates(coil)
    return faults


def _of_sizes(coil: Coil) -> list[Fault]:
    faults = []
    if coil.shape == "round" and coil.straight.m > 0:
        faults.append(Fault("straight", f'{mm(coil.straight.m)} contradicts shape = "round"'))
    for key, value in _sizes(coil):
        if value is not None and value.m > LARGEST:
            faults.append(Fault(key, f"{mm(value.m)} is larger than any bobbin ({mm(LARGEST)})"))
    given = [k for k in ("turns", "build", "resistance", "packing") if getattr(coil, k) is not None]
    if len(given) < 2:
        faults.append(Fault("turns", "give two of turns, build and resistance; the third follows"))
    elif len(given) > 2:
        told = f"{', '.join(given)} are all given; two of them fix the third, so leave one out"
        faults.append(Fault(given[-1], told))
    return faults


def _sizes(coil: Coil) -> Iterator[tuple[str, Any]]:
    """Every length that must be that of something in an instrument, by its key."""
    yield from ((key, getattr(coil, key)) for key in ("straight", "inner_radius", "height", "build"))
    for i, plate in enumerate(coil.plates, 1):
        sides = ("length", "width", "diameter")
        yield from ((f"plates, {i}, {key}", getattr(plate, key)) for key in sides)
    if coil.bar is not None:
        yield from ((f"bar, {key}", getattr(coil.bar, key)) for key in ("length", "width", "thickness"))


def _of_winding(coil: Coil) -> list[Fault]:
    try:
        turns, build = coil.wound
    except ValueError as error:
        return [Fault("resistance", str(error))]
    if turns > MOST_TURNS:
        return [
            Fault("turns", f"{turns:.0f} follow from the rest; more than {MOST_TURNS} is no pickup's coil")
        ]
    copper = turns * np.pi / 4 * coil.wire.bare**2
    window = build * coil.height.m
    if copper > FULLEST * window:
        told = f"{turns:.0f} turns of {coil.wire.told()} do not fit into {mm(build)} x {mm(coil.height.m)}"
        share = f"bare copper alone is {copper / window:.0%} of it; round wire fills {FULLEST:.0%}"
        return [Fault("build", f"{told}: {share}")]
    return []


def _of_poles(coil: Coil) -> list[Fault]:
    if coil.poles is None:
        return []
    radius, hole = coil.poles.diameter.m / 2, coil.inner_radius.m
    end = coil.poles.step * (coil.poles.count - 1) / 2
    past = max(0.0, end - coil.straight.m / 2)
    if radius > hole * (1 + 1e-9):
        told = f"poles of {mm(2 * radius)} do not fit into a coil {mm(2 * hole)} wide inside"
        return [Fault("poles, diameter", told)]
    if past + radius > hole * (1 + 1e-9):
        told = f"the outer poles stand {mm(end)} from the middle and would cut into the winding's end"
        return [Fault("poles, pitch", f"{told}, {mm(coil.straight.m / 2 + hole)} away")]
    if coil.poles.bottom > coil.height.m / 2 or coil.poles.top < -coil.height.m / 2:
        return [Fault("poles, offset", f"{mm(coil.poles.offset.m)} puts the poles outside of the coil")]
    return []


def _of_plates(coil: Coil) -> list[Fault]:
    faults = []
    half = coil.height.m / 2
    for i, plate in enumerate(coil.plates, 1):
        low, high = plate.span
        if low < half and high > -half:
            told = f"the plate from {mm(low)} to {mm(high)} cuts through the winding"
            faults.append(Fault(f"plates, {i}, height_above_centre", f"{told} ({mm(-half)} to {mm(half)})"))
        if (
            coil.poles
            and plate.material.permeability > 1.5
            and low < coil.poles.top
            and high > coil.poles.bottom
        ):
            told = "a magnetic plate pierced by the poles is not computed; end the poles at the plate"
            faults.append(Fault(f"plates, {i}, height_above_centre", told))
    if coil.bar is not None:
        if coil.poles is None:
            faults.append(Fault("bar", "is a magnet under the poles; there are no poles"))
        elif coil.bar_top > -half and coil.bar.width.m > 2 * coil.inner_radius.m:
            told = f"the poles end {mm(-coil.poles.bottom)} below the coil's middle, so the bar under them"
            faults.append(Fault("bar, below", f"{told} cuts into the winding, {mm(half)} below the middle"))
    return faults
