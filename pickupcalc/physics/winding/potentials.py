"""Closed forms over flat rectangles, strips and boxes: potential, solid angle, mutual inductance. SI units.

Each is its antiderivative, summed over the corners with alternating signs.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.winding.quadrature import Array

IN_PLANE = 1e-12  # m; stands for a distance of nothing from a rectangle's plane, where limits are finite


def over_corners(
    antiderivative: Callable[[Array, Array], Array], x: Array, y: Array, a: float, b: float
) -> Array:
    """Definite double integral over a rectangle a by b about (x, y)."""
    x1, x2, y1, y2 = x - a / 2, x + a / 2, y - b / 2, y + b / 2
    f = antiderivative
    return f(x2, y2) - f(x1, y2) - f(x2, y1) + f(x1, y1)


def rectangle_potential(x: Array, y: Array, z: Array | float, a: float, b: float) -> Array:
    """Integral of 1/R in m over a flat rectangle a by b whose centre is (x, y) aside and z below."""
    z = np.where(z == 0, IN_PLANE, z)

    def corner(u: Array, v: Array) -> Array:
        r = np.sqrt(u * u + v * v + z * z)
        flat: Array = u * np.arcsinh(v / np.hypot(u, z)) + v * np.arcsinh(u / np.hypot(v, z))
        return flat - z * np.arctan(u * v / (z * r))

    return over_corners(corner, x, y, a, b)


def rectangle_angle(x: Array, y: Array, z: Array | float, a: float, b: float) -> Array:
    """Solid angle of the same rectangle, with the sign of z."""
    z = np.where(z == 0, IN_PLANE, z)

    def corner(u: Array, v: Array) -> Array:
        angle: Array = np.arctan(u * v / (z * np.sqrt(u * u + v * v + z * z)))
        return angle

    return over_corners(corner, x, y, a, b)


def box_potential(x: Array, y: Array, z: Array, a: Array, b: Array, c: Array) -> Array:
    """Integral of 1/R over a box of sides a, b, c centred (x, y, z) away from the point; sum over corners."""

    def corner(u: Array, v: Array, w: Array) -> Array:
        r = np.sqrt(u * u + v * v + w * w)
        with np.errstate(divide="ignore", invalid="ignore"):
            value = (
                u * v * np.arcsinh(w / np.hypot(u, v))
                + v * w * np.arcsinh(u / np.hypot(v, w))
                + w * u * np.arcsinh(v / np.hypot(w, u))
                - 0.5 * u * u * np.arctan(v * w / (u * r))
                - 0.5 * v * v * np.arctan(w * u / (v * r))
                - 0.5 * w * w * np.arctan(u * v / (w * r))
            )
        return np.nan_to_num(value, nan=0.0)

    total = np.zeros(np.broadcast(x, y, z).shape)
    for i in (-0.5, 0.5):
        for j in (-0.5, 0.5):
            for k in (-0.5, 0.5):
                total += 8 * i * j * k * corner(x + i * a, y + j * b, z + k * c)
    return total


def _tape_antiderivative(x: Array, y: Array, z: float) -> Array:
    """Integrated twice over x and twice over y, 1/R. Corners of coincident tapes have x = y = 0."""
    r = np.sqrt(x * x + y * y + z * z)
    with np.errstate(divide="ignore", invalid="ignore"):
        lx = np.where(x == 0, 0.0, x * np.arcsinh(x / np.hypot(y, z)))
        ly = np.where(y == 0, 0.0, y * np.arcsinh(y / np.hypot(x, z)))
    lx = np.where((y * y + z * z) == 0, 0.0, lx)
    ly = np.where((x * x + z * z) == 0, 0.0, ly)
    value = (y * y - z * z) / 2 * lx + (x * x - z * z) / 2 * ly - (x * x + y * y - 2 * z * z) * r / 6
    if z != 0:
        value = value - x * y * z * np.arctan(x * y / (z * r))
    return value


def tape_mutual(dx: float, dy: float, x: Array, y: Array, z: float) -> Array:
    """Mutual inductance (H) of parallel flat strips dx long and dy wide, centres (x, y, z) apart.

    Fourth difference of the antiderivative; current along x, spread evenly over the width. Strips lying
    far apart use the same form; the loss of digits there is below 1e-9 of the self-inductance.
    """
    total = np.zeros(np.broadcast(x, y).shape)
    for i, a in ((-1, 1.0), (0, -2.0), (1, 1.0)):
        for j, b in ((-1, 1.0), (0, -2.0), (1, 1.0)):
            total += a * b * _tape_antiderivative(x + i * dx, y + j * dy, z)
    return MU_0 / (4 * np.pi) * total / dy**2
