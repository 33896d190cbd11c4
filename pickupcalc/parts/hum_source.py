"""What makes an instrument hum: a field alike everywhere, a pair of wires, a small transformer.

Places are told from the bridge: x along the strings towards the nut, y across
them towards the thinnest, z out of the top. A pickup's coil looks along z.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.errors import Fault, InputError
from pickupcalc.parts.fields import Amount, SinglePart, checked, measured
from pickupcalc.physics.measuring import hum_fields
from pickupcalc.tables import table
from pickupcalc.units import single

Array = NDArray[Any]


def _place(given: Any) -> Any:
    if isinstance(given, str) or not isinstance(given, (list, tuple)) or len(given) != 3:
        raise InputError.of("", f'{given!r} must be three lengths, such as ("0.1 m", "0 m", "0.5 m")')
    return tuple(single(v, "meter") for v in given)


def _direction(given: Any) -> Any:
    three = isinstance(given, (list, tuple)) and len(given) == 3
    numbers = [single(v, "dimensionless") for v in given] if three else []
    largest = max(map(abs, numbers), default=0)
    if largest == 0:
        raise InputError.of("", f"{given!r} must be three plain numbers, not all zero, such as (0, 0, 1)")
    shrunk = np.array(numbers) / largest  # so that no square of a number is lost
    return tuple(float(v) for v in shrunk / np.linalg.norm(shrunk))


class HumSource(SinglePart):
    """Base of what makes hum."""

    def field_at(self, points: Array) -> Array:
        """Field at the mains frequency in tesla, RMS, at points in metres, shape (..., 3).

        Raises
        ------
        InputError
            Where a point lies in a wire or a transformer, whose field has no bound there.
        """
        with np.errstate(divide="ignore", invalid="ignore"):
            field = self._field(points)
        if not np.all(np.isfinite(field)):
            raise InputError.of(
                "place", "is right where the field is asked for; move it away from the pickup"
            )
        return field

    def _field(self, points: Array) -> Array:
        raise NotImplementedError


@dataclass(frozen=True, kw_only=True)
class UniformField(HumSource):
    """A field alike everywhere: something large and far away."""

    field: Amount = measured("tesla", default=table("hum")["usual"]["field"], at_least=0)
    direction: tuple[float, ...] = checked(_direction, default=(0.0, 0.0, 1.0))

    def _field(self, points: Array) -> Array:
        return hum_fields.uniform(points, self.field.magnitude * np.asarray(self.direction))


@dataclass(frozen=True, kw_only=True)
class WirePair(HumSource):
    """A long pair of wires, such as a flex or mains in a wall; `spacing` apart along `apart`."""

    place: Any = checked(_place)
    current: Amount = measured("ampere", default="1 A", above=0)
    spacing: Amount = measured("meter", default="6 mm", above=0)
    along: tuple[float, ...] = checked(_direction, default=(0.0, 1.0, 0.0))
    apart: tuple[float, ...] = checked(_direction, default=(1.0, 0.0, 0.0))

    def _contradictions(self) -> list[Fault]:
        if abs(np.dot(self.along, self.apart)) < 1e-9:
            return []
        return [Fault("apart", f"{self.apart} must be square to along, {self.along}")]

    def _field(self, points: Array) -> Array:
        apart = self.spacing.magnitude * np.asarray(self.apart)
        return hum_fields.wire_pair(points, np.asarray(self.place), self.along, apart, self.current.magnitude)


@dataclass(frozen=True, kw_only=True)
class SmallTransformer(HumSource):
    """A transformer or motor as a dipole; a plug-in supply leaks the order of 0.1 A m^2 (from memory)."""

    place: Any = checked(_place)
    moment: Amount = measured("ampere * meter ** 2", default="0.1 A m^2", above=0)
    direction: tuple[float, ...] = checked(_direction, default=(0.0, 0.0, 1.0))

    def _field(self, points: Array) -> Array:
        moment = self.moment.magnitude * np.asarray(self.direction)
        return hum_fields.dipole(points, np.asarray(self.place), moment)
