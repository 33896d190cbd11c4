"""The faces of a block cut into rectangles of uniform surface charge, and their field in closed form. SI."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from pickupcalc.physics.magnetism.magnets import Array, corner_h

NEAR = 1.5  # diagonals of a rectangle beyond which four points stand for it: good to 1e-3
CLOSEST = 1e-6  # m
CHUNK = 128  # points whose field is found at a time, so that all stays in the cache
AT_ONCE = 16  # elements whose mean field is found at a time
SIDES = ((1, 1), (1, -1), (-1, 1), (-1, -1))


@dataclass(frozen=True, eq=False)
class BoxFaces:
    """The six faces of an upright block; rectangles are numbered face by face, those of the top first.

    Attributes
    ----------
    cuts : tuple of ndarray
        Edges of the rectangles along x, y and z, from one face to the other, in m.
    """

    cuts: tuple[Array, Array, Array]

    @cached_property
    def faces(self) -> list[tuple[int, float, float, Array, Array]]:
        """Of every face: axis and sign of the outward normal, its place, and the cuts along the next axes."""
        return [
            (axis, sign, float(self.cuts[axis][end]), self.cuts[(axis + 1) % 3], self.cuts[(axis + 2) % 3])
            for axis in (2, 0, 1)
            for sign, end in ((1.0, -1), (-1.0, 0))
        ]

    @cached_property
    def rectangles(self) -> tuple[Array, Array, Array]:
        """Centres, sides (0 along the normal) and outward normals, each (rectangles, 3)."""
        centres, sides, normals = [], [], []
        for axis, sign, place, u, v in self.faces:
            i, j = (g.ravel() for g in np.indices((u.size - 1, v.size - 1)))
            centre, side, normal = (np.zeros((i.size, 3)) for _ in range(3))
            centre[:, axis], normal[:, axis] = place, sign
            for along, cuts, k in (((axis + 1) % 3, u, i), ((axis + 2) % 3, v, j)):
                centre[:, along] = (cuts[k] + cuts[k + 1]) / 2
                side[:, along] = cuts[k + 1] - cuts[k]
            centres.append(centre)
            sides.append(side)
            normals.append(normal)
        return np.concatenate(centres), np.concatenate(sides), np.concatenate(normals)

    @property
    def count(self) -> int:
        return self.rectangles[0].shape[0]

    @cached_property
    def areas(self) -> Array:
        _, sides, normals = self.rectangles
        area: Array = np.prod(np.where(normals == 0, sides, 1.0), axis=1)
        return area

    def probes(self, n: int) -> tuple[Array, Array]:
        """n^2 Gauss points on every rectangle (rectangles, points, 3), and their weights (points,)."""
        nodes, weights = np.polynomial.legendre.leggauss(n)
        centres, sides, normals = self.rectangles
        points = np.repeat(centres[:, None, :], n * n, axis=1)
        first, second = (v.ravel() for v in np.meshgrid(nodes, nodes, indexing="ij"))
        for axis in range(3):
            upright = normals[:, axis] != 0
            for along, node in (((axis + 1) % 3, first), ((axis + 2) % 3, second)):
                points[upright, :, along] += sides[upright, None, along] / 2 * node
        return points, np.outer(weights, weights).ravel() / 4

    def per_rectangle(self, points: Array) -> Array:
        """H of each rectangle at unit charge, shape (n, rectangles, 3): every corner is visited once."""
        parts = []
        for axis, _, place, u, v in self.faces:
            corners = np.zeros((u.size, v.size, 3))
            corners[..., axis] = place
            corners[..., (axis + 1) % 3], corners[..., (axis + 2) % 3] = np.meshgrid(u, v, indexing="ij")
            each = corner_h(points[:, None, None, :] - corners, axis)
            parts.append(-np.diff(np.diff(each, axis=1), axis=2).reshape(points.shape[0], -1, 3))
        return np.concatenate(parts, axis=1)

    def field(self, points: Array, charge: Array) -> Array:
        """H at points (n, 3) for charges (rectangles,): exact nearby, four points a rectangle from afar."""
        out = np.empty(points.shape)
        centres, sides, _ = self.rectangles
        spots, weights = self._spots
        near = _squared_distance(points, centres) < NEAR**2 * np.sum(sides**2, axis=1)
        for i in range(0, points.shape[0], CHUNK):
            some = points[i : i + CHUNK]
            square = _squared_distance(some, spots).reshape(-1, *weights.shape)
            share = charge[:, None] * weights / (square * np.sqrt(square))
            share[near[i : i + CHUNK]] = 0.0
            share = share.reshape(some.shape[0], -1)
            out[i : i + CHUNK] = some * share.sum(axis=1)[:, None] - share @ spots
        for rectangle in np.nonzero(near.any(axis=0))[0]:
            close = near[:, rectangle]
            out[close] += charge[rectangle] * self._exact(points[close], int(rectangle))
        return out

    @cached_property
    def _spots(self) -> tuple[Array, Array]:
        """Gauss points, four to a rectangle one after the other, and their weights (rectangles, 4)."""
        centres, sides, normals = self.rectangles
        first = np.argmax(normals == 0, axis=1)
        u = np.where(np.arange(3) == first[:, None], sides, 0.0)
        corners = np.stack([a * u + b * (sides - u) for a, b in SIDES], axis=1)
        spots = centres[:, None, :] + corners / (2 * np.sqrt(3))
        return spots.reshape(-1, 3), np.repeat(self.areas[:, None] / (16 * np.pi), 4, axis=1)

    def _exact(self, points: Array, rectangle: int) -> Array:
        """H at points (n, 3) of one rectangle of unit charge."""
        centre, side, normal = (part[rectangle] for part in self.rectangles)
        axis = int(np.argmax(abs(normal)))
        u, v = (np.eye(3)[(axis + k) % 3] * side / 2 for k in (1, 2))
        corners = ((-a * b, centre - a * u - b * v) for a, b in SIDES)
        parts = (sign * corner_h(points - corner, axis) for sign, corner in corners)
        return sum(parts, np.zeros(points.shape))


def _squared_distance(points: Array, others: Array) -> Array:
    """Between points (n, 3) and others (m, 3), never zero; shape (n, m)."""
    square: Array = np.sum(points**2, axis=1)[:, None] + np.sum(others**2, axis=1) - 2 * points @ others.T
    return np.maximum(square, CLOSEST**2)


def cuts_around(
    low: float, high: float, whole: Sequence[tuple[float, float]], lines: Sequence[float], step: float
) -> Array:
    """Edges of rectangles from one side of a block to the other, at most `step` apart.

    Parameters
    ----------
    whole : sequence of (float, float)
        Intervals that stay in one piece.
    lines : sequence of float
        Where edges must lie; outside of the block they count for nothing.
    """
    marks = [low, high, *(end for interval in whole for end in interval), *lines]
    stops = np.unique(np.round([m for m in marks if low <= m <= high], 9))
    cuts = [low]
    for a, b in pairwise(stops):
        uncut = any(a < (left + right) / 2 < b for left, right in whole)
        pieces = 1 if uncut else int(np.ceil((b - a) / step - 1e-6))
        cuts.extend(graded(a, b, pieces, bool(a == stops[0]), bool(b == stops[-1]))[1:])
    return np.array(cuts)


def graded(low: float, high: float, pieces: int, at_low: bool, at_high: bool) -> Array:
    """Edges of pieces that get shorter toward the ends named."""
    share = np.linspace(0, 1, pieces + 1)
    if at_low and at_high:
        share = (1 - np.cos(np.pi * share)) / 2
    elif at_low or at_high:
        share = share**1.5 if at_low else 1 - (1 - share) ** 1.5
    return low + (high - low) * share


def mean_normal(field: Callable[[Array], Array], points: Array, normals: Array, weights: Array) -> Array:
    """Mean normal field over elements per unit charge of every source, shape (elements, sources).

    Parameters
    ----------
    field : callable
        Points (n, 3) to H of every source at unit charge, (n, sources, 3).
    points, normals : ndarray, shape (elements, points, 3)
    weights : ndarray, shape (elements, points)
    """
    rows = []
    for i in range(0, points.shape[0], AT_ONCE):  # a few at a time keep memory small
        some = slice(i, i + AT_ONCE)
        h = field(points[some].reshape(-1, 3)).reshape(*points[some].shape[:2], -1, 3)
        rows.append(np.einsum("pqji,pqi,pq->pj", h, normals[some], weights[some], optimize=True))
    return np.concatenate(rows)
