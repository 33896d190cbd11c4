"""Round rods and discs, permeable and conducting, in an axisymmetric alternating field.

Inside: curl (1/mu) curl A + j omega sigma A = 0 for A = A_phi(rho, z), on a grid of high-order elements
graded toward the surface. The cylinder lets the operator be split into a radial and an axial part, each
diagonalised once; every further frequency costs one matrix product.

Outside: the body is replaced by rings of current K on its surface, in vacuum. With D(k) the map from A on
the surface to H_t just inside (k^2 = j omega mu sigma), and D0 that of vacuum, continuity of A and H_t gives

    K = (D0/mu0 - D(k)/mu) A,     A = A_applied + S K,

S being Maxwell's formula for coaxial rings. No net flux or charge can leak, whatever the permeability.
Only the part of the field that is symmetric about the body's own axis is kept.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from scipy.linalg import eigh

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.winding.quadrature import Array, gauss, graded, lagrange, lobatto
from pickupcalc.physics.winding.rings import coaxial_mutual


def _edges_to_surface(depth: float, layers: int, ratio: float) -> Array:
    """Breakpoints from 0 to `depth`, geometrically finer toward `depth`."""
    return depth * np.concatenate(([0.0], 1 - ratio ** np.arange(1, layers), [1.0]))


@dataclass(frozen=True)
class _Line:
    """One-dimensional elements of order p: nodes, mass and stiffness matrices."""

    nodes: Array
    mass: Array
    stiffness: Array


def _assemble(breaks: Array, p: int, radial: bool) -> _Line:
    """Elements between `breaks`; radial ones carry the weight rho and the form (1/rho)(rho u)'(rho v)'."""
    local, (q, w) = lobatto(p), gauss(p + 2)
    value, slope = lagrange(local, q)
    n = p * (breaks.size - 1) + 1
    nodes, mass, stiffness = np.zeros(n), np.zeros((n, n)), np.zeros((n, n))
    for e in range(breaks.size - 1):
        size = breaks[e + 1] - breaks[e]
        x, span = breaks[e] + size * q, slice(e * p, e * p + p + 1)
        nodes[span] = breaks[e] + size * local
        weight = w * size * (x if radial else 1.0)
        form = slope / size + (value / x[:, None] if radial else 0.0)
        mass[span, span] += value.T * weight @ value
        stiffness[span, span] += form.T * weight @ form
    if radial:  # A = 0 on the axis
        return _Line(nodes[1:], mass[1:, 1:], stiffness[1:, 1:])
    return _Line(nodes, mass, stiffness)


@dataclass(frozen=True)
class Body:
    """A cylinder of `radius` and `length` centred at height `z`; order and layers set the accuracy."""

    radius: float
    length: float
    z: float = 0.0
    order: int = 4
    layers: int = 3
    ratio: float = 0.25

    @cached_property
    def _radial(self) -> _Line:
        # a wide disc needs its rim resolved on the scale of its thickness
        depth = min(self.radius, self.length)
        core = self.radius - depth
        rim = core + _edges_to_surface(depth, self.layers, self.ratio)
        inner = np.linspace(0, core, 1 + int(np.ceil(core / (0.15 * self.radius))))
        return _assemble(np.concatenate((inner[:-1], rim)), self.order, True)

    @cached_property
    def _axial(self) -> _Line:
        depth = min(self.length / 2, self.radius)
        end = _edges_to_surface(depth, self.layers, self.ratio)
        core = self.length / 2 - depth
        middle = np.linspace(-core, core, 1 + int(np.ceil(core / self.radius)))[1:-1]
        # without a core both ends begin in the middle, which is one node
        return _assemble(
            np.concatenate((-core - end[::-1], middle, core + end[core == 0 :])), self.order, False
        )

    @cached_property
    def _split(self) -> tuple[Array, Array]:
        """Index arrays (radial, axial) of the surface nodes: bottom face, side, top face."""
        nr, nz = self._radial.nodes.size, self._axial.nodes.size
        face, side = np.arange(nr - 1), np.arange(nz)
        i = np.concatenate((face, np.full(nz, nr - 1), face[::-1]))
        j = np.concatenate((np.zeros(nr - 1, int), side, np.full(nr - 1, nz - 1)))
        return i, j

    @cached_property
    def rho(self) -> Array:
        """Radius of the surface nodes (n,), m."""
        return self._radial.nodes[self._split[0]]

    @cached_property
    def height(self) -> Array:
        """Height of the surface nodes (n,), m."""
        return self._axial.nodes[self._split[1]] + self.z

    @cached_property
    def _modes(self) -> tuple[Array, ...]:
        """Surface blocks and their couplings to the interior modes, with the modes' eigenvalues."""
        r, a = self._radial, self._axial
        i, j = self._split
        inner_r, inner_z = slice(0, -1), slice(1, -1)
        lr, vr = eigh(r.stiffness[inner_r, inner_r], r.mass[inner_r, inner_r])
        lz, vz = eigh(a.stiffness[inner_z, inner_z], a.mass[inner_z, inner_z])
        kr, mr = r.stiffness[i][:, inner_r] @ vr, r.mass[i][:, inner_r] @ vr
        kz, mz = a.stiffness[j][:, inner_z] @ vz, a.mass[j][:, inner_z] @ vz

        def couple(u: Array, v: Array) -> Array:
            return (u[:, :, None] * v[:, None, :]).reshape(i.size, -1)

        pair = np.ix_(i, i), np.ix_(j, j)
        own_k = r.stiffness[pair[0]] * a.mass[pair[1]] + r.mass[pair[0]] * a.stiffness[pair[1]]
        own_m = r.mass[pair[0]] * a.mass[pair[1]]
        eigen = (lr[:, None] + lz[None, :]).ravel()
        return own_k, own_m, couple(kr, mz) + couple(mr, kz), couple(mr, mz), eigen

    def surface_map(self, k2: complex) -> Array:
        """Symmetric matrix of the energy form: nodal A to the moments of (1/rho) d(rho A)/dn."""
        own_k, own_m, stiff, mass, eigen = self._modes
        if k2 == 0:
            return own_k - (stiff / eigen) @ stiff.T
        link = stiff + k2 * mass
        return own_k + k2 * own_m - (link / (eigen + k2)) @ link.T

    @cached_property
    def _surface_elements(self) -> list[tuple[Array, Array, Array]]:
        """Per element of the outline: node numbers, and the two end points (rho, z)."""
        p, n = self.order, self.rho.size
        # the axis carries no node; number -1 stands for it
        numbers = np.concatenate(([-1], np.arange(n), [-1]))
        rho = np.concatenate(([0.0], self.rho, [0.0]))
        z = np.concatenate(([self.height[0]], self.height, [self.height[-1]]))
        return [
            (numbers[s : s + p + 1], np.array([rho[s], z[s]]), np.array([rho[s + p], z[s + p]]))
            for s in range(0, n + 1, p)
        ]

    @cached_property
    def surface_mass(self) -> Array:
        """Integral of v_i v_j rho along the outline (n, n)."""
        value, _ = lagrange(self._local, gauss(self.order + 2)[0])
        q, w = gauss(self.order + 2)
        out = np.zeros((self.rho.size, self.rho.size))
        for number, start, end in self._surface_elements:
            length = np.hypot(*(end - start))
            weight = w * length * (start[0] + (end[0] - start[0]) * q)
            keep = number >= 0
            block = (value.T * weight @ value)[np.ix_(keep, keep)]
            out[np.ix_(number[keep], number[keep])] += block
        return out

    @property
    def _local(self) -> Array:
        """Element nodes in the direction of the outline; Lobatto nodes are symmetric."""
        return lobatto(self.order)

    @cached_property
    def weights(self) -> Array:
        """Integral of each surface node's shape function along the outline (n,), m."""
        value, _ = lagrange(self._local, gauss(self.order + 2)[0])
        share = gauss(self.order + 2)[1] @ value
        out = np.zeros(self.rho.size)
        for number, start, end in self._surface_elements:
            keep = number >= 0
            out[number[keep]] += share[keep] * np.hypot(*(end - start))
        return out

    def potential_from(self, rho: Array, z: Array) -> Array:
        """A_phi at coaxial points (n,) per unit nodal K of this body: matrix (n, nodes), Wb/m per (A/m).

        Each element is cut at the point nearest the target and both parts are graded toward it, which
        takes care of the logarithm without telling near from far.
        """
        t, w = graded(14, 4)
        out = np.zeros((rho.size, self.rho.size))
        for number, start, end in self._surface_elements:
            along = end - start
            length = np.hypot(*along)
            nearest = ((rho - start[0]) * along[0] + (z - start[1]) * along[1]) / length**2
            nearest = np.clip(nearest, 0.0, 1.0)[:, None]
            at = np.concatenate((nearest * (1 - t), nearest + (1 - nearest) * t), axis=1)
            weight = np.concatenate((nearest * w, (1 - nearest) * w), axis=1) * length
            source_rho, source_z = start[0] + along[0] * at, start[1] + along[1] * at
            mutual = coaxial_mutual(rho[:, None], source_rho, z[:, None] - source_z)
            value, _ = lagrange(self._local, at)
            block = ((mutual * weight)[:, :, None] * value).sum(1) / (2 * np.pi * rho[:, None])
            keep = number >= 0
            out[:, number[keep]] += block[:, keep]
        return out

    @cached_property
    def own_potential(self) -> Array:
        """S: A at the surface nodes per unit nodal K of the same body."""
        return self.potential_from(self.rho, self.height)

    @cached_property
    def _vacuum_map(self) -> Array:
        return self.surface_map(0.0) / MU_0

    def response(self, permeability: complex, conductivity: float, omega: float) -> Array:
        """Matrix from nodal A to nodal surface current K (A/m per Wb/m) at the angular frequency omega."""
        mu = MU_0 * permeability
        k2 = 1j * omega * mu * conductivity
        inside = self.surface_map(k2 if k2 != 0 else 0.0) / mu
        return np.linalg.solve(self.surface_mass, self._vacuum_map - inside)


@lru_cache(maxsize=64)
def make_body(radius: float, length: float, z: float, order: int = 4, layers: int = 3) -> Body:
    """A body whose matrices are kept for the next problem with the same one."""
    return Body(radius, length, z, order, layers)
