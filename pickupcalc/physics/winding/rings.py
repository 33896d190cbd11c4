"""Circular filaments: vector potential between coaxial and displaced rings, and a ring's magnetic potential.

Maxwell's elliptic-integral formula for coaxial rings; Neumann's integral for rings side by side. SI units.
"""

from __future__ import annotations

import numpy as np
from scipy.special import ellipe, ellipkm1

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.winding.quadrature import Array


def coaxial_mutual(a: Array, b: Array, d: Array) -> Array:
    """Mutual inductance in H of coaxial circular filaments, radii a and b at distance d (broadcast)."""
    far = (a + b) ** 2 + d * d
    # complementary parameter, exact where the rings almost touch; a coincident pair carries no weight
    near = np.maximum(((a - b) ** 2 + d * d) / far, 1e-30)
    m = 1 - near
    k = np.sqrt(m)
    with np.errstate(invalid="ignore", divide="ignore"):
        value = MU_0 * np.sqrt(a * b) * ((2 / k - k) * ellipkm1(near) - 2 / k * ellipe(m))
    # thin rings far apart: the elliptic form loses digits, the dipole series does not
    dipole = MU_0 * np.pi * (a * b) ** 2 / 2 / far**1.5 * (1 + 0.75 * m + 75 / 128 * m * m)
    return np.where(m < 2e-3, dipole, value)


def displaced_potential(rho: Array, b: Array, dz: Array, shift: float, points: int = 12) -> Array:
    """Mean of A_phi (Wb/m per ampere) about an axis, from a ring about a parallel axis `shift` away.

    rho, b, dz broadcast together: radius of the circle averaged over, radius of the ring, axial distance.
    Trapezoid rule on both circles; the error falls geometrically while rho + b < shift.
    """
    half = (np.arange(points) + 0.5) * np.pi / points  # the target circle is mirror-symmetric
    whole = (np.arange(points) + 0.25) * 2 * np.pi / points
    rho, b, dz = (np.asarray(v)[..., None] for v in np.broadcast_arrays(rho, b, dz))
    total = np.zeros(rho.shape[:-1])
    base = shift * shift + rho * rho + b * b + dz * dz
    for phi in half:
        angle = np.cos(phi - whole)
        r2 = base + 2 * shift * (b * np.cos(whole) - rho * np.cos(phi)) - 2 * rho * b * angle
        total += (b / np.sqrt(r2)) @ angle
    return MU_0 / (4 * np.pi) * total * (2 * np.pi / points) / points


def ring_scalar_potential(b: Array, distance: Array, dz: Array, points: int = 24) -> Array:
    """Magnetic scalar potential (A per A) at lateral `distance` and height dz above rings of radius b.

    Solid angle of the ring over 4 pi, counted positive above it; the cut lies on the ring's own disc.
    """
    b, distance, dz = np.broadcast_arrays(b, distance, dz)
    phi = (np.arange(points) + 0.5) * np.pi / points
    b, distance, height = b[..., None], distance[..., None], np.abs(dz)[..., None]
    planar = b * b + distance * distance - 2 * b * distance * np.cos(phi)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = (b * b - b * distance * np.cos(phi)) / planar * (1 - height / np.sqrt(planar + height**2))
    return np.sign(dz) * np.nan_to_num(share).mean(-1) / 2
