"""A pickup as a magnetic sensor: how the flux in its coil follows a string's motion.

A string of permeable steel in the pole's field becomes a row of dipoles across its
axis: a long cylinder across a field B takes the moment 2 B / mu0 per volume, whatever
its (high) permeability. By reciprocity the flux that these send through the coil is
the integral of moment times the field that 1 A in the coil makes there. Magnetisation
along the string is left out, as in N. G. Horton and T. R. Moore, Am. J. Phys. 77, 144
(2009), who found that enough to follow their measurements.

Validity: one round pole, the string above its face and thin against its distance. The
shape (slopes, widths, distortion) is good to some 20 %, the absolute flux to a factor of 2.

The pole's and the coil's field are those of a uniformly magnetised cylinder and of a
thin solenoid, which are the same: N. Derby and S. Olbert, "Cylindrical magnets and
ideal solenoids", Am. J. Phys. 78, 229 (2010).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.magnetism.magnets import half_cylinder

ALONG = 10.0  # pole radii to either side over which the string is followed
POINTS = 61

# Powers of (sideways, upward) displacement in the flux's polynomial.
POWERS = ((0, 1), (1, 0), (0, 2), (1, 1), (2, 0), (0, 3), (1, 2), (2, 1), (3, 0))
FARTHEST = 0.8  # of the distance: how far the string may move

Array = NDArray[Any]


@dataclass(frozen=True)
class Pole:
    """A pole, the coil round it and the string above it, SI.

    Attributes
    ----------
    radius, length : float
        Of the pole.
    face_field : float
        Flux density at the middle of its face, T, as a meter shows it.
    permeability : float
        Relative; what the coil's own field finds in the pole.
    turns, coil_radius, coil_height, coil_depth : float
        The winding as a thin solenoid: mean radius, height, and how far its top
        lies below the pole's face.
    distance, offset : float
        From the face up to the string's middle; of the string to the pole's side.
    """

    radius: float
    length: float
    face_field: float
    permeability: float
    turns: float
    coil_radius: float
    coil_height: float
    coil_depth: float
    distance: float
    offset: float


def cylinder_field(
    radius: float, length: float, remanence: float, across: ArrayLike, above: ArrayLike
) -> tuple[Array, Array]:
    """Field of a cylinder magnetised along its axis, T: outward and axial component.

    A thin solenoid of N turns is the cylinder of remanence mu0 N I / length.
    Inside the cylinder this is B, not mu0 H.

    Parameters
    ----------
    radius, length, remanence : float
    across, above : array_like
        Distance from the axis, and height above the cylinder's upper face, m;
        broadcast together. Not on the rim.
    """
    rho, z = np.broadcast_arrays(np.abs(np.asarray(across, dtype=float)), np.asarray(above, dtype=float))
    lower, upper = half_cylinder(rho, z + length, radius), half_cylinder(rho, z, radius)
    return remanence * (lower[0] - upper[0]), remanence * (lower[1] - upper[1])


def face_remanence(pole: Pole) -> float:
    """Remanence of the uniform cylinder that has the field measured at its face, T."""
    return 2 * pole.face_field * np.hypot(pole.length, pole.radius) / pole.length


def coil_field(pole: Pole, across: ArrayLike, above: ArrayLike) -> tuple[Array, Array]:
    """Field of 1 A in the coil with its pole, T: the winding's own and the pole's answer to it.

    The pole is taken as magnetised evenly by the coil's field at the coil's
    middle, weakened by its demagnetising factor, for which that of an ellipsoid
    of the same proportions stands in (Osborn, Phys. Rev. 67, 351 (1945)).
    """
    density = MU_0 * pole.turns / pole.coil_height
    rho_c, z_c = cylinder_field(
        pole.coil_radius, pole.coil_height, density, across, np.add(above, pole.coil_depth)
    )
    middle = density * pole.coil_height / np.hypot(pole.coil_height, 2 * pole.coil_radius)
    chi = pole.permeability - 1
    answer = middle * chi / (1 + chi * _demagnetising(pole.length / (2 * pole.radius)))
    rho_p, z_p = cylinder_field(pole.radius, pole.length, answer, across, above)
    return rho_c + rho_p, z_c + z_p


def _demagnetising(aspect: float) -> float:
    """Along the axis of a spheroid of that length over diameter, long or flat (Osborn)."""
    square = (aspect - 1) * (aspect + 1)
    if abs(square) < 1e-6:  # as good as a sphere, where both forms are nothing over nothing
        return 1 / 3
    root = np.sqrt(abs(square))
    angle = np.arcsinh(root) if aspect > 1 else np.arcsin(root)
    return float((aspect * angle / root - 1) / square)


def linkage(pole: Pole, sideways: ArrayLike, upward: ArrayLike) -> Array:
    """Flux linkage for 1 m^2 of steel cross-section, Wb/m^2, of a string moved from its rest.

    `sideways` and `upward`, m, broadcast together; the string stays parallel to itself.
    """
    u, v = np.broadcast_arrays(np.asarray(sideways, dtype=float), np.asarray(upward, dtype=float))
    x = np.linspace(-ALONG, ALONG, POINTS) * pole.radius
    across, above = (u + pole.offset)[..., np.newaxis], (v + pole.distance)[..., np.newaxis]
    weight = np.full(POINTS, x[1] - x[0])
    weight[[0, -1]] /= 2
    return _linkage_per_length(pole, x, across, above) @ weight


def _linkage_per_length(pole: Pole, along: Array, across: Array | float, above: Array | float) -> Array:
    """Flux linkage for 1 m^3 of steel, Wb/m^3, at places from the pole's axis and above its face, m."""
    rho = np.hypot(along, across)
    share = across / np.maximum(rho, 1e-12)  # of the outward field that is across the string
    magnet_out, magnet_up = cylinder_field(pole.radius, pole.length, face_remanence(pole), rho, above)
    coil_out, coil_up = coil_field(pole, rho, above)
    return 2 / MU_0 * (magnet_up * coil_up + magnet_out * coil_out * share**2)


@lru_cache(maxsize=256)
def slopes(pole: Pole) -> tuple[float, float]:
    """Change of linkage with sideways and with upward motion at rest, Wb/m^3."""
    h = 1e-3 * pole.distance
    found = linkage(pole, [h, -h, 0, 0], [0, 0, h, -h])
    return float(found[0] - found[1]) / (2 * h), float(found[2] - found[3]) / (2 * h)


@lru_cache(maxsize=256)
def polynomial(pole: Pole, reach: float) -> tuple[float, ...]:
    """Coefficients of the linkage's change, a polynomial of third degree in the displacement.

    Fitted by least squares over displacements up to `reach`, m, which is held to
    `FARTHEST`. In the order of `POWERS`. Off by 1 % (root mean square, of the whole
    change) where the string moves by six tenths of its distance, by 2 % at eight tenths.
    """
    reach = min(reach, FARTHEST * pole.distance)
    points = reach * np.cos(np.pi * (np.arange(11) + 0.5) / 11)
    u, v = (a.ravel() for a in np.meshgrid(points, points))
    change = linkage(pole, u, v) - linkage(pole, 0.0, 0.0)
    terms = np.stack([(u / reach) ** i * (v / reach) ** j for i, j in POWERS], axis=-1)
    found = np.linalg.lstsq(terms, change, rcond=None)[0]
    return tuple(float(c) / reach ** (i + j) for c, (i, j) in zip(found, POWERS, strict=True))


@lru_cache(maxsize=256)
def sensed_length(pole: Pole) -> float:
    """Length of string with the same second moment as the pole's sensitivity along it, m.

    The slope of the linkage with height is spread along the string; an even
    spread over this length has the same standard deviation.
    """
    x = np.linspace(-ALONG, ALONG, 8 * POINTS + 1) * pole.radius
    h = 1e-3 * pole.distance
    near, far = (_linkage_per_length(pole, x, pole.offset, pole.distance + up) for up in (-h, h))
    weight = np.maximum(near - far, 0)
    variance = np.sum(weight * x**2) / np.sum(weight)
    return float(np.sqrt(12 * variance))
