"""The winding in air: self-inductance, field and mutual inductance of round and racetrack coils.

The current is spread evenly over the winding's rectangular cross-section. A racetrack turn of end
radius `rho` is two straight sides of length `straight` at y = +-rho joined by half circles about
(+-straight/2, 0); the winding fills rho from `inner_radius` to `inner_radius + build` and z from
`-height/2` to `height/2`. SI units throughout; currents run counter-clockwise seen from +z.

Self-inductance: the average over the height is done in closed form, which leaves

    L = mu0 N^2 / h * mean over rho1, rho2 of [area(min(rho1, rho2)) - double contour integral of W dl1.dl2],
    W(d) = (u - h ln(u + h) - d) / (2 pi h),   u = sqrt(d^2 + h^2).

The first term is the long solenoid; W solves laplace W = -(1/d - 1/u)/(2 pi h), the kernel of the
magnetic charges on the two ends of the equivalent magnet. W has no logarithm left at d = 0, so plain
Gauss rules converge fast (derived here; tests/physics/test_coil.py shows the convergence).
"""

from __future__ import annotations

import numpy as np

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.winding.geometry import Winding
from pickupcalc.physics.winding.quadrature import Array, gauss, graded


def _end_kernel(d: Array, h: float) -> Array:
    u = np.hypot(d, h)
    return (u - h * np.log(u + h) - d) / (2 * np.pi * h)


def _end_term(a: Array, b: Array, s: float, h: float, n: int) -> Array:
    """Double contour integral of W over racetracks of end radii a and b (same shape)."""
    a, b = a[..., None], b[..., None]
    t, w = graded(2 * n, 4)
    phi = np.pi * t
    chord = np.sqrt((a - b) ** 2 + 4 * a * b * np.sin(phi / 2) ** 2)
    arc = a * b * np.cos(phi) * _end_kernel(chord, h) * np.pi * w
    if s == 0:
        return 4 * np.pi * arc.sum(-1)
    same_end = 4 * (arc * (np.pi - phi)).sum(-1)
    x = s * t
    beside = (_end_kernel(np.hypot(x, a - b), h) - _end_kernel(np.hypot(x, a + b), h)) * (s - x) * s * w
    straights = 4 * beside.sum(-1)
    return same_end + straights + _mixed_term(a, b, s, h, n)


def _mixed_term(a: Array, b: Array, s: float, h: float, n: int) -> Array:
    """Arcs of opposite ends, and straight sides with arcs."""
    a, b = a[..., None], b[..., None]
    v, wv = graded(n, 2)
    # quarter arcs measured from the joint with the straight side, where the kernel is least smooth
    quarter = np.concatenate((v * np.pi / 2, np.pi - v * np.pi / 2)) - np.pi / 2
    wq = np.concatenate((wv, wv)) * np.pi / 2
    t1, t2 = quarter[:, None], quarter[None, :]
    gap = np.sqrt((s + a * np.cos(t1) + b * np.cos(t2)) ** 2 + (a * np.sin(t1) - b * np.sin(t2)) ** 2)
    facing = -2 * a * b * np.cos(t1 + t2) * _end_kernel(gap, h) * wq[:, None] * wq
    x, wx = (s * v)[:, None], (s * wv)[:, None]
    total = facing.sum((-1, -2))
    for side, end in ((a, b), (b, a)):
        d = np.sqrt((x + end * np.cos(t2)) ** 2 + (side + end * np.sin(t2)) ** 2)
        total = total - 4 * (end * np.sin(t2) * _end_kernel(d, h) * wx * wq).sum((-1, -2))
    return total


def self_inductance(coil: Winding, order: int = 10) -> float:
    """Low-frequency inductance in air, H; relative error about 1e-6 at the default order."""
    s, r, t, h = coil.straight, coil.inner_radius, coil.build, coil.height
    solenoid = 2 * s * (r + t / 3) + np.pi * (r * r + 2 * r * t / 3 + t * t / 6)
    v, wv = graded(order, 2)
    u, wu = gauss(max(4, order // 2))
    gap = t * v[:, None]
    low = r + (t - gap) * u
    weight = 2 * wv[:, None] * wu * (1 - v[:, None])
    ends = _end_term(low, low + gap, s, h, order)
    return float(MU_0 * coil.turns**2 / h * (solenoid - (weight * ends).sum()))
