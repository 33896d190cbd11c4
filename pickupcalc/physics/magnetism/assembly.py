"""Magnets and steel together: what every piece does to every other, and the field of all. SI.

Magnets come as pieces of uniform magnetisation (module pieces), steel poles as elements of surface charge
(module steel_rods), which behave alike: a piece has an axis (or a normal), a strength (A/m), and is
driven by the mean field along that axis. Plates and what stands on them (module steel_plates) answer
in proportion, and are eliminated.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.magnetism.magnets import Array


class Acting(Protocol):
    """Elements of one kind that make a field and feel one."""

    @property
    def count(self) -> int: ...
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


class Group(Acting, Protocol):
    """Pieces of one kind, whose strength is to be found."""

    @property
    def centres(self) -> Array: ...
    @property
    def volumes(self) -> Array: ...


class Answering(Acting, Protocol):
    """Soft steel far from saturation: its charge is `susceptibility` times the mean field on each element."""

    @property
    def susceptibility(self) -> Array: ...
    def densest(self, charge: Array) -> float: ...


@dataclass(frozen=True)
class Assembly:
    """Groups of pieces together; pieces are numbered through all groups in their order.

    Attributes
    ----------
    groups : tuple of Group
    answering : tuple of Answering
        Soft steel that answers at once whatever the pieces do. Its charges are eliminated: they are no
        pieces, but count in every field.
    """

    groups: tuple[Group, ...]
    answering: tuple[Answering, ...] = ()

    @property
    def count(self) -> int:
        return sum(g.count for g in self.groups)

    @property
    def lowest(self) -> float:
        return min(g.lowest for g in self._all)

    @cached_property
    def centres(self) -> Array:
        return np.concatenate([g.centres for g in self.groups])

    @cached_property
    def volumes(self) -> Array:
        return np.concatenate([g.volumes for g in self.groups])

    @property
    def _all(self) -> tuple[Acting, ...]:
        return (*self.groups, *self.answering)

    @property
    def spans(self) -> list[slice]:
        """The pieces of every group, then the charges of everything that answers."""
        ends = np.cumsum([g.count for g in self._all])
        return [slice(int(e) - g.count, int(e)) for e, g in zip(ends, self._all, strict=True)]

    @cached_property
    def _probes(self) -> list[tuple[Array, Array]]:
        """Of every group: samples (pieces, points, 3), and directions over the number of points."""
        return [(g.samples, g.directions / g.samples.shape[1]) for g in self._all]

    @cached_property
    def _direct(self) -> Array:
        """Mean H along each axis per unit strength of each piece and charge, shape (all, all)."""
        spans, size = self.spans, sum(g.count for g in self._all)
        out = np.zeros((size, size))
        for rows, target, (samples, directions) in zip(spans, self._all, self._probes, strict=True):
            own = target.own()
            for columns, source in zip(spans, self._all, strict=True):
                if columns == rows and not np.isnan(own).any():
                    continue
                h = source.per_piece(samples.reshape(-1, 3)).reshape(*samples.shape[:2], source.count, 3)
                out[rows, columns] = target.balanced(np.einsum("pqji,pqi->pj", h, directions))
            out[rows, rows] = np.where(np.isnan(own), out[rows, rows], own)
        return out

    @cached_property
    def _answer(self) -> Array:
        """Charges per unit of mean field on everything that answers, shape (charges, charges)."""
        strong = np.concatenate([g.susceptibility for g in self.answering])
        n = self.count
        matrix: Array = np.eye(strong.size) - strong[:, None] * self._direct[n:, n:]
        return np.linalg.solve(matrix, np.diag(strong))

    @cached_property
    def coupling(self) -> Array:
        """Mean H along each piece's axis per unit magnetisation of each piece, shape (pieces, pieces)."""
        n = self.count
        direct = self._direct[:n, :n]
        if not self.answering:
            return direct
        return direct + self._direct[:n, n:] @ self._answer @ self._direct[n:, :n]

    def charges(self, magnetisation: Array) -> Array:
        """What answers to pieces of some magnetisation, in A/m, shape (charges,)."""
        if not self.answering:
            return np.zeros(0)
        n = self.count
        return self._answer @ (self._direct[n:, :n] @ magnetisation)

    def along_axes(self, other: Assembly, magnetisation: Array) -> Array:
        """Mean H of another assembly along each piece's axis, in A/m, shape (pieces,)."""
        means = []
        for group, (samples, directions) in zip(self._all, self._probes, strict=True):
            h = other.b_over_mu0(samples.reshape(-1, 3), magnetisation).reshape(samples.shape)
            means.append(group.balanced(np.einsum("pqi,pqi->p", h, directions)))
        n = self.count
        mean = np.concatenate(means)
        return mean[:n] + self._direct[:n, n:] @ (self._answer @ mean[n:]) if self.answering else mean

    def b_over_mu0(self, points: Array, magnetisation: Array) -> Array:
        """B/mu_0 in A/m at points (n, 3)."""
        strengths = np.concatenate([magnetisation, self.charges(magnetisation)])
        parts = zip(self._all, self.spans, strict=True)
        return sum((g.b_over_mu0(points, strengths[s]) for g, s in parts), np.zeros(points.shape))

    def field(self, points: Array, magnetisation: Array) -> Array:
        """B in T at points (..., 3), inside the pieces too."""
        points = np.asarray(points, dtype=float)
        return MU_0 * self.b_over_mu0(points.reshape(-1, 3), magnetisation).reshape(points.shape)
