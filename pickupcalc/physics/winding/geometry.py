"""The plain geometry that the field computations take: winding, rods, plates. Metres; nothing is computed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pickupcalc.physics.winding.quadrature import Array


@dataclass(frozen=True)
class Winding:
    """Geometry of one winding in metres; `turns` is a plain number. `y` shifts the coil sideways."""

    straight: float
    inner_radius: float
    build: float
    height: float
    turns: float
    y: float = 0.0

    @property
    def mean_turn(self) -> float:
        """Length of the mean turn, m."""
        return 2 * self.straight + 2 * np.pi * (self.inner_radius + self.build / 2)


@dataclass(frozen=True)
class Rods:
    """Equal round poles in a row on the long axis, centred; `offset` lifts them above the coil's centre."""

    count: int
    diameter: float
    length: float
    pitch: float
    offset: float
    permeability: float
    conductivity: float

    @property
    def places(self) -> Array:
        """Axis positions along the row, m."""
        return self.pitch * (np.arange(self.count) - (self.count - 1) / 2)


@dataclass(frozen=True)
class Slot:
    """A straight cut: `along` "length" (x) or "width" (y), `at` across it, from `start` to `end`; metres."""

    along: str
    at: float
    start: float
    end: float


@dataclass(frozen=True)
class Sheet:
    """A plate centred on the coil's axis at height z (its middle plane); a disc when `disc` is set."""

    length: float
    width: float
    thickness: float
    z: float
    permeability: float
    conductivity: float
    slots: tuple[Slot, ...] = ()
    disc: bool = False

    @cached_property
    def cells(self) -> tuple[int, int]:
        """Number of cells along and across (even, so that the middle lines are grid lines)."""
        long, short = max(self.length, self.width), min(self.length, self.width)
        pitch = max(long / 28, min(short / 10, long / 16))
        along, across = (max(6, 2 * int(np.ceil(side / pitch / 2))) for side in (self.length, self.width))
        return along, across

    @property
    def pitch(self) -> tuple[float, float]:
        """Cell size dx, dy in metres."""
        return self.length / self.cells[0], self.width / self.cells[1]

    @cached_property
    def filled(self) -> Array:
        """Share of each cell (nx, ny) that belongs to the plate: 1 or 0 (a disc is cut out in steps)."""
        (nx, ny), (dx, dy) = self.cells, self.pitch
        x = dx * (np.arange(nx) + 0.5) - self.length / 2
        y = dy * (np.arange(ny) + 0.5) - self.width / 2
        if not self.disc:
            return np.ones((nx, ny))
        return (np.hypot(x[:, None], y) < self.length / 2).astype(float)
