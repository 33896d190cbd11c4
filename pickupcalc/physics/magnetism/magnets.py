"""Fields of uniformly magnetised cylinders and blocks in closed form, anywhere in space. SI.

Fields are given per unit of magnetisation: H/M, without a unit. Outside a body B = mu_0 H.
"""

from __future__ import annotations

from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[Any]

NARROWEST = 1e-10  # relative distance to an edge or a side below which a field is taken beside it
TINY = float(np.finfo(float).tiny) ** 0.25  # m or m^2, in place of a zero below a fraction line
CEL_STEPS = 40  # the arithmetic-geometric mean doubles its digits each step; far fewer are needed


def cel(kc: Array, p: Array, c: Array, s: Array) -> Array:
    """Bulirsch's complete elliptic integral for p > 0, of arrays of one shape.

    The integral from 0 to pi/2 of (c cos^2 + s sin^2) / ((cos^2 + p sin^2) sqrt(cos^2 + kc^2 sin^2)),
    by R. Bulirsch, Numerische Mathematik 13 (1969) 305; relative error some 1e-14.
    """
    kc = np.abs(kc)
    p = np.sqrt(p)
    s = s / p
    e, em = kc, np.ones_like(kc)
    f = c
    c = c + s / p
    g = e / p
    s = 2 * (s + f * g)
    p = p + g
    g = em
    em = kc + em
    for _ in range(CEL_STEPS):
        if np.all(np.abs(g - kc) <= g * 1e-8):
            break
        kc = 2 * np.sqrt(e)
        e = kc * em
        f = c
        c = c + s / p
        g = e / p
        s = 2 * (s + f * g)
        p = p + g
        g = em
        em = kc + em
    return np.pi / 2 * (s + c * em) / (em * (em + p))


def within_radius(rho: Array, radius: float) -> Array:
    """Whether points count as inside of a cylinder's side, where half_cylinder takes them to be."""
    return radius - rho > -NARROWEST * (radius + rho)


def half_cylinder(rho: Array, z: Array, radius: float) -> tuple[Array, Array]:
    """B/(mu_0 M) of a cylinder that reaches from height 0 up without end, magnetised upward.

    Parameters
    ----------
    rho, z : ndarray
        Distance from the axis and height, in m, of one shape.
    radius : float
        In m.

    Returns
    -------
    tuple of ndarray
        Radial and axial part. The constant axial part of half a long cylinder is left out (on the
        axis it runs from -1/2 to +1/2), so that the difference of two of these is a finite cylinder.

    Notes
    -----
    N. Derby and S. Olbert, Am. J. Phys. 78 (2010) 229: the field of an ideal solenoid. At the edge
    itself the radial part grows without bound; it is taken at 1e-10 of the radius beside it.
    """
    shape = np.broadcast(rho, z).shape
    rho, z = (np.ascontiguousarray(np.broadcast_to(v, shape), dtype=float).ravel() / radius for v in (rho, z))
    far = np.sqrt(z * z + (1 + rho) ** 2)
    gamma = (1 - rho) / (1 + rho)
    gamma = np.where(np.abs(gamma) < NARROWEST, NARROWEST, gamma)
    kc = np.maximum(np.sqrt(z * z + (1 - rho) ** 2) / far, NARROWEST)
    one = np.ones_like(kc)
    radial = cel(kc, one, one, -one) / (np.pi * far)
    axial = z * cel(kc, gamma * gamma, one, gamma) / (np.pi * far * (1 + rho))
    return radial.reshape(shape), axial.reshape(shape)


def block_h(points: Array, size: Array) -> Array:
    """H/M of a block centred on the origin, for magnetisation along each of its edges.

    Parameters
    ----------
    points : ndarray, shape (..., 3)
        In m.
    size : array_like, shape (3,)
        Edges along x, y and z in m.

    Returns
    -------
    ndarray, shape (..., 3, 3)
        [..., i, j] is H along i for magnetisation along j: minus the demagnetising tensor.

    Notes
    -----
    E. P. Furlani, Permanent Magnet and Electromechanical Devices (2001), section 4.2, rearranged so that
    no line outside the block is singular (checked against an independent library). On a face the
    side the face's outward normal points away from is meant; on an edge the field is unbounded.
    """
    points = np.asarray(points, dtype=float)
    out = np.zeros((*points.shape, 3))
    for signs in product((1, -1), repeat=3):
        away = points + np.array(signs) * np.asarray(size) / 2
        for axis in range(3):
            out[..., axis] += np.prod(signs) * corner_h(away, axis)
    return out


def corner_h(away: Array, axis: int) -> Array:
    """What one corner of blocks magnetised along an axis adds to H/M at points (..., 3) away from it.

    A block is the sum over its eight corners, with the sign of the octant that the block lies in as seen
    from the corner; corners shared by neighbours need to be visited only once.
    """
    u, v, w = (away[..., (axis + i) % 3] for i in range(3))
    r = np.sqrt(u * u + v * v + w * w)
    under = u * r
    out = np.empty(away.shape)
    out[..., axis] = -np.arctan(v * w / np.where(under == 0, TINY, under))
    out[..., (axis + 1) % 3] = np.arcsinh(w / np.maximum(np.hypot(u, v), TINY))
    out[..., (axis + 2) % 3] = np.arcsinh(v / np.maximum(np.hypot(u, w), TINY))
    out /= 4 * np.pi
    return out


def disc_interaction(distance: Array, radius: Array | float) -> Array:
    """Magnetostatic energy of two coaxial, uniformly charged equal discs, without a unit.

    It is the integral over k of (J1(k)/k)^2 exp(-k distance/radius), in closed form: with it the field
    of one slice of a rod averaged over another is exact (`demagnetising_factor` is the simplest case).
    From L. Lorenz, Ann. Phys. 243 (1879) 161, whose solenoid has the same integral.
    """
    from scipy.special import ellipe, ellipkm1  # late: a sheet takes fields from here, but needs no SciPy

    tau = np.abs(distance) / (2 * radius)
    root = np.sqrt(1 + tau * tau)
    k2, kc2 = 1 / root**2, (tau / root) ** 2
    e = ellipe(k2)
    # kc2 K vanishes at distance 0, where K itself has no bound
    k_minus_e = np.where(kc2 > 0, kc2 * (ellipkm1(np.where(kc2 > 0, kc2, 1.0)) - e), 0.0)
    return 4 / (3 * np.pi) * root * (k_minus_e / k2 + e) - tau


def demagnetising_factor(length: Array, diameter: float) -> Array:
    """Mean demagnetising factor (magnetometric, uniformly magnetised) of a cylinder along its axis.

    R. Moskowitz and E. Della Torre, IEEE Trans. Magn. 2 (1966) 739: one minus Nagaoka's coefficient.
    """
    radius = diameter / 2
    return 2 * radius / length * (disc_interaction(np.zeros(()), radius) - disc_interaction(length, radius))
