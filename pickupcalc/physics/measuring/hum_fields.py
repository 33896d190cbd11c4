"""Fields of what makes hum, at points in space, and the EMF they induce in a coil. SI, quasi-static.

All amplitudes are whatever the caller counts in (peak or RMS); one harmonic at
a time, all points in step, which holds far below a wavelength (6000 km at 50 Hz).
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pickupcalc.physics.constants import MU_0

Array = NDArray[Any]


def uniform(points: ArrayLike, field: ArrayLike) -> Array:
    """A field alike everywhere.

    Parameters
    ----------
    points : array_like, shape (..., 3)
        m
    field : array_like, shape (3,)
        T

    Returns
    -------
    ndarray, shape (..., 3)
    """
    return np.broadcast_to(np.asarray(field, dtype=float), np.shape(points))


def wire_pair(
    points: ArrayLike, middle: ArrayLike, along: ArrayLike, apart: ArrayLike, current: float
) -> Array:
    """Two long straight wires with the same current there and back.

    Parameters
    ----------
    points : array_like, shape (..., 3)
        m, not on a wire.
    middle : array_like, shape (3,)
        A point midway between the wires, m.
    along : array_like, shape (3,)
        Direction of the current in the first wire, of any length.
    apart : array_like, shape (3,)
        From the second wire to the first, m, square to `along`.
    current : float
        A

    Returns
    -------
    ndarray of float, shape (..., 3)
        T. Biot and Savart for infinite wires: mu0 I / (2 pi r) round each;
        beside the middle of a pair that ends, within 1 % up to a fourteenth of its length.
    """
    t = np.asarray(along, dtype=float)
    t = t / np.linalg.norm(t)
    centre, half = np.asarray(middle, dtype=float), np.asarray(apart, dtype=float) / 2
    return _wire(points, centre + half, t, current) - _wire(points, centre - half, t, current)


def _wire(points: ArrayLike, through: Array, t: Array, current: float) -> Array:
    r = np.asarray(points, dtype=float) - through
    r = r - (r @ t)[..., np.newaxis] * t
    return MU_0 * current / (2 * np.pi) * np.cross(t, r) / np.sum(r**2, axis=-1, keepdims=True)


def dipole(points: ArrayLike, place: ArrayLike, moment: ArrayLike) -> Array:
    """A small transformer or motor, seen from further off than its own size.

    Parameters
    ----------
    points : array_like, shape (..., 3)
        m, not at `place`.
    place : array_like, shape (3,) or (..., 3)
        m
    moment : array_like, shape (3,)
        A m^2

    Returns
    -------
    ndarray, shape (..., 3)
        T. mu0/(4 pi) (3 (m.r) r / r^5 - m / r^3); within some 5 % from three
        times the transformer's largest dimension outwards.
    """
    r = np.asarray(points, dtype=float) - np.asarray(place, dtype=float)
    m = np.asarray(moment, dtype=float)
    distance = np.linalg.norm(r, axis=-1, keepdims=True)
    return MU_0 / (4 * np.pi) * (3 * (r @ m)[..., np.newaxis] * r / distance**5 - m / distance**3)


def coil_emf(field: ArrayLike, axis: ArrayLike, turns_area: ArrayLike, omega: ArrayLike) -> Array:
    """Size and sign of the EMF in a coil small against the distance of what makes the field.

    Parameters
    ----------
    field : array_like, shape (..., 3)
        At the coil, T.
    axis : array_like, shape (3,)
        Direction from which the winding is seen counter-clockwise, of length 1.
    turns_area : array_like
        Sum of the areas of all turns, m^2.
    omega : array_like
        rad/s

    Returns
    -------
    ndarray
        V, of the amplitude that the field is counted in: omega N A B cos(angle).

    Examples
    --------
    >>> millivolt = 1e3 * coil_emf([0, 0, 1e-6], axis=[0, 0, 1], turns_area=4.0, omega=2 * np.pi * 50)
    >>> f"{millivolt:.2f} mV from a microtesla"
    '1.26 mV from a microtesla'
    """
    return np.asarray(omega) * np.asarray(turns_area) * (np.asarray(field) @ np.asarray(axis, dtype=float))
