"""A row of round poles (and coaxial discs) in a coil's field: their reaction on every current nearby. SI.

Each cylinder answers the part of the field symmetric about its own axis exactly (module rods), and sees
its neighbours through that part of their fields. What is left, the field across the pole, is small in a
row of poles; it is added with the closed form of a long cylinder, mode by mode.

The row lies on the x axis and is symmetric about x = 0; one of each mirrored pair is solved for.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from scipy.special import ellipe, ellipk, ive

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.winding.coil_field import field, ring_average
from pickupcalc.physics.winding.geometry import Winding
from pickupcalc.physics.winding.quadrature import Array, gauss
from pickupcalc.physics.winding.rings import displaced_potential
from pickupcalc.physics.winding.rods import Body

TRANSVERSE_MODES = 3
MOST_AROUND = 96  # points around a pole, for poles that touch


@dataclass(frozen=True)
class Cylinder:
    """One body and its mirror image, axes at (+-x, y); a single one when x = 0. Permeability is relative."""

    body: Body
    x: float
    permeability: float
    conductivity: float
    y: float = 0.0

    @property
    def places(self) -> tuple[float, ...]:
        """Axis positions of the body and its mirror image, m."""
        return (self.x,) if self.x == 0 else (self.x, -self.x)


def _ring_radial_field(b: Array, d: Array, z: Array) -> Array:
    """Radial H in A/m per ampere of a ring of radius b at distance d from its axis and height z (Smythe)."""
    far, near = (b + d) ** 2 + z * z, (b - d) ** 2 + z * z
    m = 4 * b * d / far
    return z / (2 * np.pi * d * np.sqrt(far)) * ((b * b + d * d + z * z) / near * ellipe(m) - ellipk(m))


def _transverse_factor(m: int, radius: float, mu_r: float, sigma: float, omega: float) -> complex:
    """(mu_e - 1)/(mu_e + 1) of a long cylinder in a cross field of order m, eddy currents included."""
    x = radius * np.sqrt(1j * omega * MU_0 * mu_r * sigma)
    mu_e: complex = mu_r
    if x != 0:
        mu_e = mu_r * m * ive(m, x) / (x * (ive(m - 1, x) + ive(m + 1, x)) / 2)
    return (mu_e - 1) / (mu_e + 1)


class Poles:
    """The coupled cylinders. Build once per geometry; `react` is called once per frequency."""

    def __init__(self, cylinders: list[Cylinder]) -> None:
        self.cylinders = cylinders
        sizes = [c.body.rho.size for c in cylinders]
        ends = np.cumsum(sizes)
        self.spans = [slice(e - n, e) for e, n in zip(ends, sizes, strict=True)]
        self.size = int(ends[-1]) if sizes else 0
        self._transverse_of: dict[Winding, tuple[Array, Array, Array]] = {}

    def applied(self, coil: Winding) -> Array:
        """Mean A_phi of the coil at every surface node (size,), Wb/m per ampere."""
        return np.concatenate(
            [ring_average(coil, c.x, c.body.rho, c.body.height, c.y) for c in self.cylinders]
        )

    @cached_property
    def coupling(self) -> Array:
        """A at every node per nodal current density of every body and its mirror image (size, size)."""
        out = np.zeros((self.size, self.size))
        for rows, target in zip(self.spans, self.cylinders, strict=True):
            for columns, source in zip(self.spans, self.cylinders, strict=True):
                for place in source.places:
                    shift = round(float(np.hypot(place - target.x, source.y - target.y)), 9)
                    out[rows, columns] += _between(target.body, source.body, shift)
        return out

    @cached_property
    def weight(self) -> Array:
        """Block matrix: nodal A and nodal K to A.K integrated over all surfaces, images included."""
        out = np.zeros((self.size, self.size))
        for span, c in zip(self.spans, self.cylinders, strict=True):
            out[span, span] = 2 * np.pi * len(c.places) * c.body.surface_mass
        return out

    def react(self, omega: float, applied: Array) -> Array:
        """Surface currents K (size, ports) for the applied A (size, ports) at angular frequency omega."""
        few = Answer(self, applied)
        return few.currents(omega) @ few.solve(omega)

    def transverse_inductance(self, coil: Winding, omega: float, currents: Array) -> complex:
        """Inductance added by the poles' cross magnetisation, H; `currents` are those of the coil's port.

        For poles on the coil's own middle line, about which half a pole is enough.
        A long cylinder in a field H_m cos(m phi) normal to its surface has surface charges
        2 (mu_e - 1)/(mu_e + 1) H_m cos(m phi) and no reaction of its own on itself.
        """
        coil_part, pole_part, weights = self._transverse(coil)
        normal = coil_part + pole_part @ currents
        total: complex = 0.0
        for c, h, w in zip(self.cylinders, normal, weights, strict=True):
            for m in range(1, TRANSVERSE_MODES + 1):
                factor = _transverse_factor(m, c.body.radius, c.permeability, c.conductivity, omega)
                share = 2 * MU_0 * np.pi * c.body.radius**2 / m * (w @ h[m - 1] ** 2)
                total += len(c.places) * factor * share
        return total

    def _transverse(self, coil: Winding) -> tuple[Array, Array, Array]:
        """Orders 1..3 of the normal field: of the coil (bodies, m, z), of the poles (.., size); weights."""
        if coil not in self._transverse_of:
            self._transverse_of[coil] = self._transverse_build(coil)
        return self._transverse_of[coil]

    def _transverse_build(self, coil: Winding, axial: int = 14) -> tuple[Array, Array, Array]:
        u, w = gauss(axial)
        around = max(8, self._between_neighbours() // 2)  # points on half a pole
        phi = (np.arange(around) + 0.5) * np.pi / around
        modes = 2 / around * np.cos(np.arange(1, TRANSVERSE_MODES + 1)[:, None] * phi)
        coil_part, pole_part, weights = [], [], []
        for c in self.cylinders:
            z = (c.body.z + c.body.length * (u - 0.5))[:, None] + 0 * phi
            x, y = c.x + c.body.radius * np.cos(phi) + 0 * z, c.body.radius * np.sin(phi) + 0 * z
            hx, hy, _ = field(coil, x, y, z)
            coil_part.append(modes @ (hx * np.cos(phi) + hy * np.sin(phi)).T)
            gain = np.zeros((*z.shape, self.size))
            for span, other in zip(self.spans, self.cylinders, strict=True):
                for place in other.places:
                    if place != c.x:
                        gain[..., span] += _normal_field(other.body, place, c.x, phi, x, y, z)
            pole_part.append(np.einsum("mp,zpn->mzn", modes, gain))
            weights.append(c.body.length * w)
        return np.array(coil_part), np.array(pole_part), np.array(weights)

    def _between_neighbours(self) -> int:
        """Points that the closest two poles side by side need around them."""
        both = [
            (c, o, abs(place - c.x)) for c in self.cylinders for o in self.cylinders for place in o.places
        ]
        return max((_enough_around(c.body.radius, o.body.radius, d) for c, o, d in both if d > 0), default=0)


class Answer:
    """The poles' answer to some applied fields, in few unknowns.

    Whatever comes from outside a pole is smooth on it, the neighbours' fields included. An orthonormal
    basis of all these fields (to a relative 1e-6) has some fifteen members a pole, against sixty nodes; a
    pole's own answer to each member is exact. With c the coefficients of the fields, c = P u + N c.
    """

    def __init__(self, poles: Poles, applied: Array, tolerance: float = 1e-6) -> None:
        self.poles = poles
        outside = poles.coupling.copy()
        for span, c in zip(poles.spans, poles.cylinders, strict=True):
            outside[span, span] -= c.body.own_potential
        self.bases = []
        for span in poles.spans:
            fields = np.concatenate((applied[span], outside[span] * 1e-3), axis=1)
            size = np.sqrt((fields**2).sum(0))
            fields = fields[:, size > 0] / size[size > 0]
            values, vectors = np.linalg.eigh(fields @ fields.T)
            self.bases.append(vectors[:, values > tolerance**2 * values[-1]])
        ends = np.cumsum([b.shape[1] for b in self.bases])
        self.spans = [slice(e - b.shape[1], e) for e, b in zip(ends, self.bases, strict=True)]
        self.size = int(ends[-1])
        basis = np.zeros((poles.size, self.size))
        for rows, columns, b in zip(poles.spans, self.spans, self.bases, strict=True):
            basis[rows, columns] = b
        self.projected = basis.T @ applied  # P
        self._neighbours = basis.T @ outside
        self._weighted = basis.T @ poles.weight

    def currents(self, omega: float) -> Array:
        """K at all nodes per coefficient (size of the poles, unknowns)."""
        out = np.zeros((self.poles.size, self.size), dtype=complex if omega else float)
        known: dict[tuple[Body, float, float], Array] = {}
        for rows, columns, c, basis in zip(
            self.poles.spans, self.spans, self.poles.cylinders, self.bases, strict=True
        ):
            key = (c.body, c.permeability, c.conductivity)
            if key not in known:
                y = c.body.response(c.permeability, c.conductivity, omega)
                known[key] = np.linalg.solve(np.eye(len(y)) - y @ c.body.own_potential, y)
            out[rows, columns] = known[key] @ basis
        return out

    def exchange(self, currents: Array) -> tuple[Array, Array]:
        """N, and Z that weighs the coefficients against P: linkages are P^T Z c."""
        return self._neighbours @ currents, self._weighted @ currents

    def solve(self, omega: float) -> Array:
        """Coefficients (unknowns, ports) where nothing but the poles answers."""
        n, _ = self.exchange(self.currents(omega))
        return np.linalg.solve(np.eye(self.size) - n, self.projected)


@lru_cache(maxsize=128)  # a slider that leaves the poles alone, and a sweep, meet the same bodies again
def _between(target: Body, source: Body, shift: float) -> Array:
    """A at the target's nodes per nodal K of the source, their axes `shift` apart."""
    if shift == 0:
        if target == source:
            return source.own_potential
        return source.potential_from(target.rho, target.height)
    dz = target.height[:, None] - source.height
    points = max(12, _enough_around(target.radius, source.radius, shift))
    return displaced_potential(target.rho[:, None], source.rho, dz, shift, points) * source.weights


def _enough_around(one: float, other: float, shift: float) -> int:
    """Points around two circles side by side, `shift` between their axes, that keep the error below 1e-3.

    The field of the one is singular off the other's circle, at an angle of that imaginary part; the
    trapezoid rule's error falls as exp(-points x angle).
    """
    reach = min((shift - one) / other, (shift - other) / one)
    angle = np.log(max(reach, 1.0))
    return int(np.ceil(7 / max(angle, 7 / MOST_AROUND)))


def _normal_field(source: Body, place: float, axis: float, phi: Array, x: Array, y: Array, z: Array) -> Array:
    """H normal to the cylinder about `axis` at its points (x, y, z), per nodal K of a source at `place`."""
    d = np.hypot(x - place, y)
    radial = _ring_radial_field(source.rho, d[..., None], z[..., None] - source.height) * source.weights
    toward = ((x - place) * np.cos(phi) + y * np.sin(phi)) / d
    return radial * toward[..., None]
