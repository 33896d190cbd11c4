"""Magnets cut into pieces of uniform magnetisation: slices of rods, cells of blocks. SI.

A magnet rod is cut into slices along its axis, a block into cells. Each piece is magnetised along one
axis only: upright (z) for a slice; x, y or z for a cell, which may stand in the list once per axis. The
field that drives a piece is its mean over the piece: exact between slices of one rod, by Gauss points
otherwise. What they do to each other and to steel stands in module assembly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from pickupcalc.physics.magnetism.magnets import Array, block_h, corner_h, disc_interaction, half_cylinder

GAUSS_2 = np.array([-1, 1]) / np.sqrt(3.0)
RING_ANGLES = np.pi / 3 * np.arange(6)
# Two rings and two heights integrate a cubic over the slice exactly.
RING_RADII = np.sqrt((1 + GAUSS_2) / 2)


@dataclass(frozen=True)
class Slices:
    """Slices of upright round rods; all arrays of shape (pieces,), lengths in m.

    `rod` numbers the rods; slices of one rod lie on one axis.
    """

    x: Array
    y: Array
    bottom: Array
    top: Array
    radius: Array
    rod: Array

    @property
    def count(self) -> int:
        return self.x.size

    @property
    def centres(self) -> Array:
        return np.stack([self.x, self.y, (self.bottom + self.top) / 2], axis=-1)

    @property
    def lowest(self) -> float:
        return float(self.bottom.min())

    @property
    def volumes(self) -> Array:
        return np.pi * self.radius**2 * (self.top - self.bottom)

    @property
    def samples(self) -> Array:
        """Points whose mean stands for the mean over the slice, shape (pieces, points, 3)."""
        half = (self.top - self.bottom) / 2
        ring, turn, height = (v.ravel() for v in np.meshgrid(RING_RADII, RING_ANGLES, GAUSS_2))
        offsets = (
            self.radius[:, None] * ring * np.cos(turn),
            self.radius[:, None] * ring * np.sin(turn),
            half[:, None] * height,
        )
        return self.centres[:, None, :] + np.stack(offsets, axis=-1)

    @property
    def directions(self) -> Array:
        """The axis at every sample."""
        return np.broadcast_to(np.array([0.0, 0.0, 1.0]), self.samples.shape)

    def balanced(self, mean: Array) -> Array:
        return mean

    def b_over_mu0(self, points: Array, magnetisation: Array) -> Array:
        """B/mu_0 in A/m at points (n, 3) for magnetisations (pieces,) in A/m."""
        out = np.zeros(points.shape)
        for face, steps in self._faces().items():
            weight = sum(sign * magnetisation[i] for i, sign in steps)
            if weight:
                out += weight * _half_cylinder_b(points, *face)
        return out

    def per_piece(self, points: Array) -> Array:
        """H of each piece at unit magnetisation at points outside of the rods, shape (n, pieces, 3)."""
        out = np.zeros((points.shape[0], self.count, 3))
        for face, steps in self._faces().items():
            b = _half_cylinder_b(points, *face)
            for i, sign in steps:
                out[:, i] += sign * b
        return out

    def _faces(self) -> dict[tuple[float, float, float, float], list[tuple[int, float]]]:
        """Each face (x, y, radius, z) with the slices it bounds: +1 for the one above, -1 below."""
        found: dict[tuple[float, float, float, float], list[tuple[int, float]]] = {}
        for i in range(self.count):
            for z, sign in ((self.bottom[i], 1.0), (self.top[i], -1.0)):
                found.setdefault((self.x[i], self.y[i], self.radius[i], z), []).append((i, sign))
        return found

    def own(self) -> Array:
        """Exact mean axial H over each slice per unit M of each slice of the same rod, else NaN."""
        d = [
            [np.abs(a[:, None] - b[None, :]) for b in (self.top, self.bottom)]
            for a in (self.top, self.bottom)
        ]
        g = [[disc_interaction(v, self.radius[:, None]) for v in row] for row in d]
        mean = -(g[0][0] + g[1][1] - g[0][1] - g[1][0]) * (self.radius / (self.top - self.bottom))[:, None]
        return np.where(self.rod[:, None] == self.rod[None, :], mean, np.nan)


def _half_cylinder_b(points: Array, x: float, y: float, radius: float, z: float) -> Array:
    """B/(mu_0 M) at points (n, 3) of all that stands above a face, but for a constant."""
    dx, dy = points[:, 0] - x, points[:, 1] - y
    rho = np.hypot(dx, dy)
    radial, axial = half_cylinder(rho, points[:, 2] - z, radius)
    radial /= np.where(rho > 0, rho, 1.0)
    return np.stack([radial * dx, radial * dy, axial], axis=-1)


@dataclass(frozen=True)
class Cells:
    """Upright blocks; centre and size of shape (pieces, 3) in m, axis 0, 1 or 2 of shape (pieces,)."""

    centre: Array
    size: Array
    axis: Array

    @property
    def count(self) -> int:
        return self.axis.size

    @property
    def centres(self) -> Array:
        return self.centre

    @property
    def lowest(self) -> float:
        return float((self.centre - self.size / 2)[:, 2].min())

    @property
    def volumes(self) -> Array:
        return np.prod(self.size, axis=-1)

    @property
    def samples(self) -> Array:
        offsets = np.stack([v.ravel() for v in np.meshgrid(GAUSS_2, GAUSS_2, GAUSS_2)], axis=-1)
        return self.centre[:, None, :] + self.size[:, None, :] / 2 * offsets

    @property
    def directions(self) -> Array:
        """The axis at every sample."""
        return np.broadcast_to(np.eye(3)[self.axis.astype(int)][:, None, :], self.samples.shape)

    def balanced(self, mean: Array) -> Array:
        return mean

    def per_piece(self, points: Array) -> Array:
        """H of each piece at unit magnetisation, shape (n, pieces, 3)."""
        out = np.zeros((points.shape[0], self.count, 3))
        known: dict[bytes, Array] = {}
        for i, (centre, size, axis) in enumerate(
            zip(self.centre, self.size, self.axis.astype(int), strict=True)
        ):
            key = np.concatenate([centre, size]).tobytes()
            if key not in known:
                known[key] = block_h(points - centre, size)
            out[:, i] = known[key][:, :, axis]
        return out

    def b_over_mu0(self, points: Array, magnetisation: Array) -> Array:
        """B/mu_0 in A/m at points (n, 3) for magnetisations (pieces,) in A/m."""
        out = self._inside(points, magnetisation)
        for corner, axis, weight in self._corners(magnetisation):
            if weight:
                out += weight * corner_h(points - corner, axis)
        return out

    def _corners(self, magnetisation: Array) -> list[tuple[Array, int, float]]:
        """Every corner with its axis and the signed sum of what meets there; told apart to a picometre."""
        places: dict[tuple[int, ...], Array] = {}
        sums: dict[tuple[int, ...], float] = {}
        for signs in product((1, -1), repeat=3):
            corners = self.centre - np.array(signs) * self.size / 2
            amounts = np.prod(signs) * magnetisation
            for corner, axis, amount in zip(corners, self.axis, amounts, strict=True):
                key = (int(axis), *(round(1e12 * x) for x in corner))
                places.setdefault(key, corner)
                sums[key] = sums.get(key, 0.0) + amount
        return [(places[key], key[0], total) for key, total in sums.items()]

    def _inside(self, points: Array, magnetisation: Array) -> Array:
        """M at points (n, 3), zero outside."""
        out = np.zeros(points.shape)
        for i, m in enumerate(magnetisation):
            out[self._within(points, i), int(self.axis[i])] += m
        return out

    def own(self) -> Array:
        return np.full((self.count, self.count), np.nan)

    def _within(self, points: Array, i: int) -> Array:
        return np.all(np.abs(points - self.centre[i]) < self.size[i] / 2, axis=-1)


def rods(
    places: Sequence[tuple[float, float]], *, bottom: float, top: float, radius: float, slices: int
) -> Slices:
    """Equal upright rods at (x, y), each cut into slices that thin toward the ends."""
    edges = bottom + (top - bottom) * (1 - np.cos(np.linspace(0, np.pi, slices + 1))) / 2
    n = len(places)
    return Slices(
        x=np.repeat([p[0] for p in places], slices),
        y=np.repeat([p[1] for p in places], slices),
        bottom=np.tile(edges[:-1], n),
        top=np.tile(edges[1:], n),
        radius=np.full(n * slices, radius),
        rod=np.repeat(np.arange(n), slices),
    )


def block(
    centre: Sequence[float], size: Sequence[float], *, cut: tuple[int, int, int], axes: Sequence[int]
) -> Cells:
    """A block cut into equal cells, each standing in the list once for every axis named."""
    steps = [(np.arange(n) + 0.5) / n - 0.5 for n in cut]
    grid = np.stack([v.ravel() for v in np.meshgrid(*steps, indexing="ij")], axis=-1)
    middle = np.asarray(centre) + grid * np.asarray(size)
    n = middle.shape[0]
    return Cells(
        centre=np.tile(middle, (len(axes), 1)),
        size=np.tile(np.asarray(size) / np.asarray(cut), (n * len(axes), 1)),
        axis=np.repeat(np.asarray(axes), n),
    )
