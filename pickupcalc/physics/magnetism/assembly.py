"""Magnets and steel together: what every piece does to every other, and the field of all. SI.

Magnets come as pieces of uniform magnetisation (module pieces), steel poles as elements of surface charge
(module steel_rods), which behave alike: a piece has an axis (or a normal), a strength (A/m), and is
driven by the mean field along that axis.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np
from scipy.constants import mu_0

from pickupcalc.physics.magnetism.magnets import Array


class Group(Protocol):
    """Pieces of one kind: what an assembly asks of them."""

    @property
    def count(self) -> int: ...
    @property
    def centres(self) -> Array: ...
    @property
    def volumes(self) -> Array: ...
    @property
    def lowest(self) -> float: ...
    @property
    def samples(self) -> Array: ...
    @property
    def directions(self) -> Array: ...
    def per_piece(self, points: Array) -> Array: ...
    def b_over_mu0(self, points: Array, magnetisation: Array) -> Array: ...
    def own(self) -> Array: ...
    def balanced(self, mean: Array) -> Array: ...


@dataclass(frozen=True)
class Assembly:
    """Groups of pieces together; pieces are numbered through all groups in their order."""

    groups: tuple[Group, ...]

    @property
    def count(self) -> int:
        return sum(g.count for g in self.groups)

    @cached_property
    def centres(self) -> Array:
        return np.concatenate([g.centres for g in self.groups])

    @cached_property
    def volumes(self) -> Array:
        return np.concatenate([g.volumes for g in self.groups])

    @property
    def spans(self) -> list[slice]:
        ends = np.cumsum([g.count for g in self.groups])
        return [slice(int(e) - g.count, int(e)) for e, g in zip(ends, self.groups, strict=True)]

    @cached_property
    def _probes(self) -> list[tuple[Array, Array]]:
        """Of every group: samples (pieces, points, 3), and directions over the number of points."""
        return [(g.samples, g.directions / g.samples.shape[1]) for g in self.groups]

    @cached_property
    def coupling(self) -> Array:
        """Mean H along each piece's axis per unit magnetisation of each piece, shape (pieces, pieces)."""
        out = np.zeros((self.count, self.count))
        for rows, target, (samples, directions) in zip(self.spans, self.groups, self._probes, strict=True):
            for columns, source in zip(self.spans, self.groups, strict=True):
                h = source.per_piece(samples.reshape(-1, 3)).reshape(*samples.shape[:2], source.count, 3)
                out[rows, columns] = target.balanced(np.einsum("pqji,pqi->pj", h, directions))
            own = target.own()
            out[rows, rows] = np.where(np.isnan(own), out[rows, rows], own)
        return out

    def along_axes(self, other: Assembly, magnetisation: Array) -> Array:
        """Mean H of another assembly along each piece's axis, in A/m, shape (pieces,)."""
        means = []
        for group, (samples, directions) in zip(self.groups, self._probes, strict=True):
            h = other.b_over_mu0(samples.reshape(-1, 3), magnetisation).reshape(samples.shape)
            means.append(group.balanced(np.einsum("pqi,pqi->p", h, directions)))
        return np.concatenate(means)

    def b_over_mu0(self, points: Array, magnetisation: Array) -> Array:
        """B/mu_0 in A/m at points (n, 3)."""
        parts = zip(self.groups, self.spans, strict=True)
        return sum((g.b_over_mu0(points, magnetisation[s]) for g, s in parts), np.zeros(points.shape))

    def field(self, points: Array, magnetisation: Array) -> Array:
        """B in T at points (..., 3), inside the pieces too."""
        points = np.asarray(points, dtype=float)
        return mu_0 * self.b_over_mu0(points.reshape(-1, 3), magnetisation).reshape(points.shape)


def magnetise(assembly: Assembly, permanent: Array, susceptibility: Array, applied: Array) -> Array:
    """Magnetisation of every piece where all obey M = M_permanent + chi H, in A/m, shape (pieces,).

    Parameters
    ----------
    permanent, susceptibility, applied : ndarray, shape (pieces,)
        M at H = 0 in A/m, chi without a unit, and the mean H of everything else along the axis in A/m.
    """
    matrix = np.eye(assembly.count) - susceptibility[:, None] * assembly.coupling
    return np.linalg.solve(matrix, permanent + susceptibility * applied)
