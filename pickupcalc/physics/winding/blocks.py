"""Permeable plates and bars on a rectangular grid: magnetic charges against scalar potential. SI units.

Inside, H = -grad phi and M = chi H. The charge at a node is chi times what a net of flux tubes (finite
volumes, no flux through the faces' outside) brings there, q = -chi K phi; the charges are spread over
the nodes' boxes and give back phi = phi_applied + P q. Nodes lie on the faces, where most charge is.
"""

from __future__ import annotations

from functools import cached_property, reduce

import numpy as np

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.winding.coil_field import field
from pickupcalc.physics.winding.geometry import Sheet, Winding
from pickupcalc.physics.winding.potentials import box_potential
from pickupcalc.physics.winding.quadrature import Array, gauss
from pickupcalc.physics.winding.rings import ring_scalar_potential

FACE_SLICE = 0.1  # of the half box
NEAR_SPOTS = 4  # points along each side of a box near a pole


class Block:
    """Grid of `sheet`'s volume: nodes on its faces, charges alike in mirror images about x = 0 and y = 0."""

    def __init__(self, sheet: Sheet, layers: int) -> None:
        self.sheet = sheet
        nx, ny = sheet.cells
        sides = [(sheet.length, nx), (sheet.width, ny), (sheet.thickness, layers - 1)]
        self.axes = [side * (np.arange(n + 1) / max(n, 1) - 0.5) if n else np.zeros(1) for side, n in sides]
        self._sides = [s for s, _ in sides]
        self.axes[2] = self.axes[2] + sheet.z
        x, y, z = (v.ravel() for v in np.meshgrid(*self.axes, indexing="ij"))
        keep = np.hypot(x, y) < sheet.length / 2 * (1 + 1e-9) if sheet.disc else np.ones(x.size, bool)
        self._keep, self.x, self.y, self.z = keep, x[keep], y[keep], z[keep]
        key = np.round(np.stack((abs(self.x), abs(self.y), self.z)) * 1e9).astype(int)
        _, self.first, self._image = np.unique(key, axis=1, return_index=True, return_inverse=True)
        self.size = self.first.size
        self.copies = np.bincount(self._image.ravel()).astype(float)

    @cached_property
    def _spread(self) -> Array:
        """(nodes, unknowns): every image carries the same charge."""
        return (self._image.ravel()[:, None] == np.arange(self.size)).astype(float)

    def _boxes(self) -> tuple[list[Array], list[Array]]:
        """Centres and sides of the nodes' boxes along each axis: half boxes at the faces."""
        centres, widths = [], []
        for axis, side in zip(self.axes, self._sides, strict=True):
            middle = axis.mean()
            cuts = np.concatenate(([middle - side / 2], (axis[1:] + axis[:-1]) / 2, [middle + side / 2]))
            centres.append((cuts[1:] + cuts[:-1]) / 2)
            widths.append(np.diff(cuts))
        return centres, widths

    @cached_property
    def conductance(self) -> Array:
        """K reduced to the unknowns: q (per image) = -chi K phi; (unknowns, unknowns), metres."""
        _, widths = self._boxes()
        lines = []
        for axis in self.axes:
            n = axis.size
            d = np.diff(np.eye(n), axis=0)
            lines.append(d.T @ (d / np.diff(axis)[:, None]) if n > 1 else np.zeros((1, 1)))
        area = [np.diag(w) for w in widths]
        tubes = [reduce(np.kron, [lines[k] if k == axis else area[k] for k in range(3)]) for axis in range(3)]
        full = np.sum(tubes, axis=0)[np.ix_(self._keep, self._keep)]
        np.fill_diagonal(full, 0.0)  # tubes to nodes cut away by a disc's rim carry nothing
        np.fill_diagonal(full, -full.sum(1))
        return (self._spread.T @ full @ self._spread) / self.copies[:, None]

    def _source_boxes(self) -> tuple[Array, ...]:
        """Where the charge sits: a face's charge in a thin slice under the face, not over the half box."""
        centres, widths = self._boxes()
        for middle, width, axis in zip(centres, widths, self.axes, strict=True):
            if axis.size > 1:
                for end, inward in ((0, 1.0), (-1, -1.0)):
                    width[end] *= FACE_SLICE
                    middle[end] = axis[end] + inward * width[end] / 2
        mesh = [v.ravel()[self._keep] for v in np.meshgrid(*centres, indexing="ij")]
        sides = [v.ravel()[self._keep] for v in np.meshgrid(*widths, indexing="ij")]
        return (*mesh, *sides)

    def potential_at(self, x: Array, y: Array, z: Array) -> Array:
        """Potential at points (n,) per unit charge of each unknown, all its images charged: (n, unknowns)."""
        cx, cy, cz, a, b, c = self._source_boxes()
        value = box_potential(x[:, None] - cx, y[:, None] - cy, z[:, None] - cz, a, b, c) / (a * b * c)
        return value @ self._spread / (4 * np.pi)

    @cached_property
    def own_potential(self) -> Array:
        """P at the representative nodes (unknowns, unknowns)."""
        return self.potential_at(self.x[self.first], self.y[self.first], self.z[self.first])

    def susceptibility(self, omega: float) -> complex:
        """Effective chi at omega: the flux along a conducting plate is kept to its skin, mu tanh(x)/x - 1."""
        s = self.sheet
        x = s.thickness / 2 * np.sqrt(1j * omega * MU_0 * s.permeability * s.conductivity)
        mu = s.permeability * np.tanh(x) / x if abs(x) > 1e-6 else s.permeability
        return complex(mu - 1)

    def potential_of_coil(self, coil: Winding) -> Array:
        """Coil's scalar potential (A per A) at the representative nodes, summed from the middle outward."""
        h = [np.unique(np.round(abs(axis), 12)) for axis in self.axes[:2]]
        out = np.zeros((h[0].size, h[1].size, self.axes[2].size))
        nodes, weights = gauss(2)
        z = self.axes[2]

        def drop(axis: int) -> Array:
            steps = np.diff(h[axis])
            along = (h[axis][:-1, None] + steps[:, None] * nodes)[None, :, :, None]
            if axis == 0:
                x, y = along, np.zeros((1, 1, 1, 1))
            else:
                x, y = h[0][:, None, None, None], along
            x, y, zz = np.broadcast_arrays(x, y, z)
            return -np.einsum("abcd,c,b->abd", field(coil, x, y, zz)[axis], weights, steps)

        out[1:, :, :] += np.cumsum(drop(0), axis=1)[0][:, None, :]
        out[:, 1:, :] += np.cumsum(drop(1), axis=1)
        if z.size > 1:
            steps = np.diff(z)
            points = z[:-1, None] + steps[:, None] * nodes
            hz = field(coil, np.zeros_like(points), np.zeros_like(points), points)[2]
            out[:, :, 1:] += -np.cumsum((hz @ weights) * steps)
        i = np.searchsorted(h[0], abs(self.x[self.first]) - 1e-9)
        j = np.searchsorted(h[1], abs(self.y[self.first]) - 1e-9)
        k = np.searchsorted(z, self.z[self.first] - 1e-9)
        return out[i, j, k]

    def potential_of_rings(self, places: tuple[float, ...], rho: Array, height: Array) -> Array:
        """Potential at the representative nodes per ampere in rings about `places`: (unknowns, rings).

        The places are symmetric about x = 0, so the mirror images of a node see the same.
        """
        near = abs(self.z[self.first][:, None] - height) < self._pitch
        nodes, rings = near.any(1), near.any(0)
        total = self._ring_sum(places, rho, height, np.ones(self.size, bool), 1)
        if nodes.any():  # right under a pole's face the potential varies within a box: a point would not do
            total[np.ix_(nodes, rings)] = self._ring_sum(places, rho[rings], height[rings], nodes, NEAR_SPOTS)
        return total

    def _ring_sum(
        self, places: tuple[float, ...], rho: Array, height: Array, nodes: Array, spots: int
    ) -> Array:
        """Mean over spots x spots points of the chosen nodes' boxes."""
        chosen = self.first[nodes]
        cx, cy, _, a, b, _ = (v[chosen] for v in self._source_boxes())
        dz = self.z[chosen][:, None] - height
        offsets = (np.arange(spots) + 0.5) / spots - 0.5
        total = np.zeros((chosen.size, rho.size))
        for u in offsets:
            for v in offsets:
                x, y = (cx + u * a)[:, None], (cy + v * b)[:, None]
                for place in places:
                    total += ring_scalar_potential(rho, np.hypot(x - place, y), dz)
        return total / spots**2

    @property
    def _pitch(self) -> float:
        return float(max(np.diff(axis).max() for axis in self.axes[:2]))

    def mean_over_images(self, value: Array) -> Array:
        """Average of node values (nodes, n) over the mirror images of each unknown: (unknowns, n)."""
        return (self._spread.T @ value) / self.copies[:, None]
