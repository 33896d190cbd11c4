"""Field of a round or racetrack winding in air, and mutual inductance of two of them. SI units.

The winding is a stack of thin sheets (one per Gauss point of the build), each carrying 1/h ampere per
metre of height. The integral over the height is in closed form everywhere, and over the straight sides
too; only the end arcs and the build are summed by Gauss rules. All fields are per ampere in the wire,
turns included.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.winding.geometry import Winding
from pickupcalc.physics.winding.potentials import over_corners, rectangle_angle, rectangle_potential
from pickupcalc.physics.winding.quadrature import Array, gauss

SHEETS = 6
ARC_POINTS = 24


def _sheets(coil: Winding, n: int) -> Iterator[tuple[float, float]]:
    """End radius of each sheet and its current in amperes per metre of height."""
    for u, w in zip(*gauss(n), strict=True):
        yield coil.inner_radius + coil.build * u, coil.turns * w / coil.height


def _arcs(coil: Winding, rho: float) -> tuple[Array, Array, Array, Array]:
    """Points and line elements (x, y, dx, dy) of the two end arcs."""
    u, w = gauss(ARC_POINTS)
    t = np.pi * (u - 0.5)
    x, y, step = rho * np.cos(t) + coil.straight / 2, rho * np.sin(t), rho * np.pi * w
    dx, dy = -np.sin(t) * step, np.cos(t) * step
    return (np.append(x, -x), np.append(y, -y), np.append(dx, -dx), np.append(dy, -dy))


def _across(distance: Array, u: Array, v: Array) -> Array:
    """Antiderivative of v / R^3 over a straight sheet that lies at a distance, but for its sign."""
    value: Array = np.arcsinh(u / np.hypot(v, distance))
    return value


def _height_integral(low: Array, high: Array, d: Array) -> Array:
    """Integral of 1/sqrt(d^2 + z^2) from low to high, finite right above or below a filament (d = 0)."""
    if d.min() > 1e-6 * abs(high - low).max():
        return np.arcsinh(high / d) - np.arcsinh(low / d)
    low, high = np.where(high < 0, -high, low), np.where(high < 0, -low, high)
    r_low, r_high = np.hypot(low, d), np.hypot(high, d)
    with np.errstate(divide="ignore", invalid="ignore"):
        beside = np.log((high + r_high) * (r_low - low) / (d * d))
        above = np.log((high + r_high) / (low + r_low))
    return np.where(low > 0, above, beside)


def vector_potential(coil: Winding, x: Array, y: Array, z: Array) -> tuple[Array, Array]:
    """A_x and A_y in Wb/m per ampere at the points (x, y, z), arrays of one shape.

    Straight sheet: the integral of 1/R over a rectangle; arcs: asinh over the height.
    """
    s, h = coil.straight, coil.height
    y = y - coil.y
    ax, ay = np.zeros_like(x + z), np.zeros_like(x + z)
    for rho, density in _sheets(coil, SHEETS):
        for side in (-1.0, 1.0) if s > 0 else ():
            ax -= side * density * rectangle_potential(x, z, y - side * rho, s, h)
        px, py, dx, dy_ = _arcs(coil, rho)
        d = np.hypot(x[..., None] - px, y[..., None] - py)
        g = _height_integral((z - h / 2)[..., None], (z + h / 2)[..., None], d)
        ax += density * (g @ dx)
        ay += density * (g @ dy_)
    return MU_0 / (4 * np.pi) * ax, MU_0 / (4 * np.pi) * ay


def field(coil: Winding, x: Array, y: Array, z: Array) -> tuple[Array, Array, Array]:
    """H_x, H_y, H_z in A/m per ampere at points outside the winding's own cross-section (Biot-Savart)."""
    s, h = coil.straight, coil.height
    y = y - coil.y
    hx, hy, hz = (np.zeros_like(x + z) for _ in range(3))
    for rho, density in _sheets(coil, SHEETS):
        for side in (-1.0, 1.0) if s > 0 else ():
            dy = y - side * rho
            across = over_corners(partial(_across, dy), x, z, s, h)
            along = rectangle_angle(x, z, dy, s, h)
            hy -= side * density * across
            hz -= side * density * along
        px, py, dx, dy_ = _arcs(coil, rho)
        rx, ry = x[..., None] - px, y[..., None] - py
        d2 = rx * rx + ry * ry
        top, bottom = (z + h / 2)[..., None], (z - h / 2)[..., None]
        r1, r2 = np.sqrt(d2 + bottom**2), np.sqrt(d2 + top**2)
        tilt = 1 / r1 - 1 / r2
        hx += density * (tilt @ dy_)
        hy -= density * (tilt @ dx)
        hz += density * ((dx * ry - dy_ * rx) * (top / r2 - bottom / r1) / d2).sum(-1)
    return hx / (4 * np.pi), hy / (4 * np.pi), hz / (4 * np.pi)


def ring_average(coil: Winding, x: float, rho: Array, z: Array, y: float = 0.0, points: int = 12) -> Array:
    """Azimuthal mean of A_phi, Wb/m per ampere, on rings of radius rho (n,) at heights z (n,) about (x, y).

    On the coil's own middle line the field is mirror-symmetric and half a ring is enough.
    """
    share = 1.0 if y == coil.y else 2.0
    count = int(points * share)
    phi = (np.arange(count) + 0.5) * np.pi / points
    ring_x = x + rho[:, None] * np.cos(phi)
    ring_y = y + rho[:, None] * np.sin(phi)
    ax, ay = vector_potential(coil, ring_x, ring_y, np.broadcast_to(z[:, None], ring_x.shape))
    return (ay * np.cos(phi) - ax * np.sin(phi)).mean(-1)


def mutual_inductance(first: Winding, second: Winding, lift: float = 0.0) -> float:
    """Mutual inductance in H of two windings with parallel axes that do not overlap.

    `lift` in m is how far the first lies above the second; their `y` tells how far they stand apart. For
    windings of one sense it is positive one above the other, and negative side by side, where the flux
    of one returns through the other.
    """
    total = 0.0
    u, w = gauss(16)
    zs, wz = gauss(6)
    z = first.height * (zs - 0.5) + lift
    for rho, density in _sheets(first, SHEETS):
        px, py, dx, dy = _arcs(first, rho)
        straight = first.straight * (u - 0.5)
        step = first.straight * w
        px, py = np.concatenate((px, straight, straight)), np.concatenate((py, 0 * u - rho, 0 * u + rho))
        dx, dy = np.concatenate((dx, step, -step)), np.concatenate((dy, 0 * u, 0 * u))
        x, y, zz = np.broadcast_arrays(px[:, None], py[:, None] + first.y, z)
        ax, ay = vector_potential(second, x, y, zz)
        total += density * first.height * float(((ax * dx[:, None] + ay * dy[:, None]) @ wz).sum())
    return total
