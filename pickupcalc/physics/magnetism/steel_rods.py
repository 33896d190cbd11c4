"""Upright round steel poles by their surface charge. SI.

Soft steel answers a field with magnetic charge on its surface, most of it near the ends and edges. Each
rod's side is cut into bands and each end into rings of uniform charge, finer toward the edges; on each
element the normal field just inside and outside must differ as the permeability demands:
charge = 2 (mu - 1)/(mu + 1) x (mean normal field without the element's own jump).
In this form steel is one more kind of piece beside magnets (module pieces): the charge stands for its
magnetisation, the normal for its axis. Every rod answers the part of the field symmetric about its axis.
The flux through a rod's closed surface is made to obey Gauss's law exactly; without that, the net
charge of a good magnetic conductor would be all rounding error.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.special import ellipkm1

from pickupcalc.physics.magnetism.magnets import NARROWEST, Array, cel, half_cylinder, within_radius
from pickupcalc.physics.magnetism.pieces import GAUSS_2

ANGLES = np.pi / 4 * np.arange(8)
FINE = np.polynomial.legendre.leggauss(8)


def shell_end(rho: Array, z: Array, radius: float) -> tuple[Array, Array]:
    """Radial and axial H of a charged cylindrical shell from height 0 up, but for what cancels.

    The difference of two of these is a finite shell of unit charge density. The axial part is a ring's
    potential; the radial one is the solenoid's axial field of Derby and Olbert (see module magnets) with the
    roles of the two radii exchanged. On the shell itself the field just inside is meant.
    """
    shape = np.broadcast(rho, z).shape
    rho, z = (np.broadcast_to(v, shape).ravel() / radius for v in (rho, z))
    gamma = (1 - rho) / (1 + rho)
    gamma = np.where(np.abs(gamma) < NARROWEST, NARROWEST, gamma)
    far = np.sqrt(z * z + (1 + rho) ** 2)
    kc = np.maximum(np.sqrt(z * z + (1 - rho) ** 2) / far, NARROWEST)
    radial = z * cel(kc, gamma * gamma, np.ones_like(kc), -gamma) / (np.pi * far * (1 + rho))
    axial = -ellipkm1(kc * kc) / (np.pi * far)
    return radial.reshape(shape), axial.reshape(shape)


def charged_disc_h(rho: Array, z: Array, radius: float) -> tuple[Array, Array]:
    """Radial and axial H per unit charge density of a disc at height 0."""
    if radius == 0:
        return np.zeros(rho.shape), np.zeros(rho.shape)
    radial, axial = half_cylinder(rho, z, radius)
    # The lower end of an upward magnetised cylinder carries charge of -1.
    return -radial, np.sign(z) / 2 * within_radius(rho, radius) - axial


def disc_h(points: Array, centre: tuple[float, float, float], radius: float) -> Array:
    """H at points (n, 3) of a level disc of unit charge, shape (n, 3)."""
    dx, dy, dz = (points - np.array(centre)).T
    rho = np.hypot(dx, dy)
    radial, axial = charged_disc_h(rho, dz, radius)
    radial = radial / np.where(rho > 0, rho, 1.0)
    return np.stack([radial * dx, radial * dy, axial], axis=-1)


def ring_probes(
    centre: tuple[float, float, float], turn: Array, low: float, high: Array
) -> tuple[Array, Array]:
    """Points (n, 3) on a level ring, from a circle to a rim told at every angle, and their weights (n,)."""
    nodes, weights = np.polynomial.legendre.leggauss(turn.size // 4)
    ring = high**2 - low**2
    rho = np.sqrt(low**2 + ring[:, None] * (1 + nodes) / 2)
    flat = [rho * np.cos(turn)[:, None], rho * np.sin(turn)[:, None], np.zeros(rho.shape)]
    shares = ring[:, None] * weights
    return np.stack(flat, axis=-1).reshape(-1, 3) + np.array(centre), (shares / shares.sum()).ravel()


@dataclass(frozen=True)
class SteelRods:
    """Equal steel rods at (x, y); pieces are numbered rod by rod: bands upward, top rings, foot rings.

    Attributes
    ----------
    places : tuple of (x, y)
    bottom, top, radius : float
        In m.
    bands, rings : int
        Elements along the side, and on each end.
    standing : bool
        The foot is one with a plate below (module steel_plates) and carries no charge.
    """

    places: tuple[tuple[float, float], ...]
    bottom: float
    top: float
    radius: float
    bands: int = 12
    rings: int = 3
    standing: bool = False

    @property
    def _ends(self) -> tuple[tuple[float, float], ...]:
        """Height and outward normal of the ends that carry charge."""
        return ((self.top, 1.0),) if self.standing else ((self.top, 1.0), (self.bottom, -1.0))

    @property
    def per_rod(self) -> int:
        return self.bands + len(self._ends) * self.rings

    @property
    def count(self) -> int:
        return self.per_rod * len(self.places)

    @property
    def lowest(self) -> float:
        return self.bottom

    @cached_property
    def heights(self) -> Array:
        """Edges of the bands, closer together toward the ends."""
        return (
            self.bottom + (self.top - self.bottom) * (1 - np.cos(np.linspace(0, np.pi, self.bands + 1))) / 2
        )

    @cached_property
    def radii(self) -> Array:
        """Edges of the rings, closer together toward the rim."""
        return self.radius * np.sin(np.linspace(0, np.pi / 2, self.rings + 1))

    @cached_property
    def areas(self) -> Array:
        """Of every element of one rod, m^2."""
        side = 2 * np.pi * self.radius * np.diff(self.heights)
        end = np.pi * np.diff(self.radii**2)
        return np.concatenate([side, *[end] * len(self._ends)])

    @property
    def centres(self) -> Array:
        """Middle of each element's height on the rod's axis, shape (pieces, 3)."""
        ends = np.repeat([height for height, _ in self._ends], self.rings)
        z = np.concatenate([(self.heights[1:] + self.heights[:-1]) / 2, ends])
        return np.array([(x, y, h) for x, y in self.places for h in z])

    @property
    def volumes(self) -> Array:
        """Of the steel, spread over the elements by area; shape (pieces,)."""
        volume = np.pi * self.radius**2 * (self.top - self.bottom)
        return np.tile(volume * self.areas / self.areas.sum(), len(self.places))

    def _profile(self, nodes: Array) -> tuple[Array, Array, Array, Array]:
        """rho, z and normal (radial, axial) at nodes in -1..1 of each element of a rod, (per_rod, nodes)."""
        half, middle = np.diff(self.heights) / 2, (self.heights[1:] + self.heights[:-1]) / 2
        z_side = middle[:, None] + half[:, None] * nodes
        inner, outer = self.radii[:-1, None] ** 2, self.radii[1:, None] ** 2
        r_end = np.sqrt(inner + (outer - inner) * (1 + nodes) / 2)  # equal areas for equal steps
        ends = np.ones(r_end.shape)
        rho = np.concatenate([np.full(z_side.shape, self.radius), *[r_end for _ in self._ends]])
        z = np.concatenate([z_side, *[height * ends for height, _ in self._ends]])
        radial = np.concatenate([np.ones(z_side.shape), *[0 * ends for _ in self._ends]])
        axial = np.concatenate([np.zeros(z_side.shape), *[normal * ends for _, normal in self._ends]])
        return rho, z, radial, axial

    def around(self, nodes: Array) -> tuple[Array, Array]:
        """Points on every element at nodes in -1..1 and 8 angles, and their normals, (pieces, points, 3)."""
        rho, z, radial, axial = self._profile(nodes)
        points = _turned(rho, z).reshape(self.per_rod, -1, 3)
        normals = _turned(radial, axial).reshape(self.per_rod, -1, 3)
        shifts = np.array([(x, y, 0.0) for x, y in self.places])
        shifted = (points[None] + shifts[:, None, None, :]).reshape(self.count, -1, 3)
        return shifted, np.tile(normals, (len(self.places), 1, 1))

    @property
    def samples(self) -> Array:
        """Points whose mean stands for the mean over the element, shape (pieces, points, 3)."""
        return self.around(GAUSS_2)[0]

    @property
    def directions(self) -> Array:
        """Outward normals at the samples."""
        return self.around(GAUSS_2)[1]

    def per_piece(self, points: Array) -> Array:
        """H of each element at unit charge, shape (n, pieces, 3)."""
        out = np.zeros((points.shape[0], self.count, 3))
        for k, (x, y) in enumerate(self.places):
            dx, dy = points[:, 0] - x, points[:, 1] - y
            rho = np.hypot(dx, dy)
            radial, axial = self._of_one_rod(rho, points[:, 2])
            radial /= np.where(rho > 0, rho, 1.0)
            columns = slice(k * self.per_rod, (k + 1) * self.per_rod)
            out[:, columns] = np.moveaxis(np.stack([radial * dx, radial * dy, axial], axis=-1), 0, 1)
        return out

    def _of_one_rod(self, rho: Array, z: Array) -> tuple[Array, Array]:
        """Radial and axial H of every element of a rod about the axis, each (per_rod, n)."""
        sides = [-np.diff(np.array([shell_end(rho, z - h, self.radius) for h in self.heights]), axis=0)]
        for end, _ in self._ends:
            discs = np.array([charged_disc_h(rho, z - end, r) for r in self.radii])
            sides.append(np.diff(discs, axis=0))
        every = np.concatenate(sides)
        return every[:, 0], every[:, 1]

    def b_over_mu0(self, points: Array, charge: Array) -> Array:
        """B/mu_0 in A/m at points (n, 3) for charges (pieces,) in A/m."""
        out = self.inside(points, charge)
        for (x, y), q in zip(self.places, charge.reshape(len(self.places), -1), strict=True):
            dx, dy = points[:, 0] - x, points[:, 1] - y
            rho = np.hypot(dx, dy)
            radial, axial = self._weighted(rho, points[:, 2], q)
            radial /= np.where(rho > 0, rho, 1.0)
            out += np.stack([radial * dx, radial * dy, axial], axis=-1)
        return out

    def _weighted(self, rho: Array, z: Array, charge: Array) -> tuple[Array, Array]:
        """Radial and axial H of a rod with its charges: every edge counts once, with the step there."""
        radial, axial = np.zeros(rho.shape), np.zeros(rho.shape)
        side, *ends = np.split(charge, np.arange(self.bands, self.per_rod, self.rings))
        for height, step in zip(self.heights, np.diff(side, prepend=0, append=0), strict=True):
            r, a = shell_end(rho, z - height, self.radius)
            radial += step * r
            axial += step * a
        for (end, _), rings in zip(self._ends, ends, strict=True):
            for radius, step in zip(self.radii[1:], -np.diff(rings, append=0), strict=True):
                r, a = charged_disc_h(rho, z - end, radius)
                radial += step * r
                axial += step * a
        return radial, axial

    def inside(self, points: Array, charge: Array) -> Array:
        """Mean axial magnetisation of a rod's cross-section at points inside: the charge above, by area."""
        out = np.zeros(points.shape)
        for (x, y), q in zip(self.places, charge.reshape(len(self.places), -1), strict=True):
            within = np.hypot(points[:, 0] - x, points[:, 1] - y) < self.radius
            within &= (points[:, 2] > self.bottom) & (points[:, 2] < self.top)
            amounts = q * self.areas
            top = amounts[self.bands : self.bands + self.rings].sum()
            above = top + np.append(np.cumsum(amounts[: self.bands][::-1])[::-1], 0.0)
            out[within, 2] = np.interp(points[within, 2], self.heights, above) / (np.pi * self.radius**2)
        return out

    def own(self) -> Array:
        """Mean normal H over each element per unit charge of each of the same rod, else NaN."""
        nodes, weights = FINE
        rho, z, radial, axial = self._profile(nodes)
        h_radial, h_axial = self._of_one_rod(rho.ravel(), z.ravel())
        normal = h_radial * radial.ravel() + h_axial * axial.ravel()
        mean = (normal.reshape(self.per_rod, self.per_rod, -1) @ (weights / 2)).T
        np.fill_diagonal(mean, 0.0)
        # Gauss: half of an element's flux leaves through the surface it lies on.
        np.fill_diagonal(mean, 0.5 - self.areas @ mean / self.areas)
        same = np.kron(np.eye(len(self.places)), np.ones(mean.shape)) > 0
        return np.where(same, np.tile(mean, (len(self.places), len(self.places))), np.nan)

    def balanced(self, mean: Array) -> Array:
        """Mean normal fields of sources outside (pieces, ...), corrected to bring no net flux into a rod."""
        by_rod = mean.reshape(len(self.places), self.per_rod, -1)
        flux = np.einsum("e,ken->kn", self.areas, by_rod) / self.areas.sum()
        return (by_rod - flux[:, None, :]).reshape(mean.shape)


def _turned(radial: Array, axial: Array) -> Array:
    """Vectors of a half plane turned about the axis: (...) and (...) to (..., angles, 3)."""
    x, y = radial[..., None] * np.cos(ANGLES), radial[..., None] * np.sin(ANGLES)
    return np.stack([x, y, np.broadcast_to(axial[..., None], x.shape)], axis=-1)


def charge_susceptibility(permeability: float) -> float:
    """Charge over mean normal field of a steel element: 2 (mu - 1)/(mu + 1)."""
    return 2 * (permeability - 1) / (permeability + 1)
