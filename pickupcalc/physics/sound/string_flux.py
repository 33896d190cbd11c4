"""Flux that a piece of steel string over a rod magnet sends through the winding. SI.

A model to learn from: one round rod, the winding as one mean turn, and of the
string only the piece over the pole, all on one axis.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pickupcalc.physics.constants import MU_0

Array = NDArray[Any]


def rod_field(height: ArrayLike, remanence: float, radius: float, length: float) -> Array:
    """Field on the axis of a rod magnetised along it, above its upper face.

    Parameters
    ----------
    height : array_like
        Above the face, m, at least 0.
    remanence : float
        T, positive where the north pole faces up.
    radius, length : float
        m

    Returns
    -------
    ndarray
        T. Br/2 ((h + l)/sqrt((h + l)^2 + r^2) - h/sqrt(h^2 + r^2)), two charged
        discs (any field theory text); exact for uniform magnetisation.
    """
    h = np.asarray(height, dtype=float)
    far = (h + length) / np.hypot(h + length, radius)
    return np.asarray(remanence / 2 * (far - h / np.hypot(h, radius)))


def string_moment(field: ArrayLike, volume: float) -> Array:
    """Magnetic moment of a thin steel wire lying square to a field, A m^2.

    A long round wire across a field takes M = 2 H while its permeability is
    high (demagnetising factor 1/2), far from saturation.
    """
    return np.asarray(2 * np.asarray(field) / MU_0 * volume)


def flux_through_turn(moment: ArrayLike, radius: float, height: ArrayLike) -> Array:
    """Flux of a dipole on the axis through a turn, Wb.

    By reciprocity mu0 m a^2 / (2 (a^2 + z^2)^(3/2)): what a current in the turn
    would give as field at the dipole (any field theory text).

    Parameters
    ----------
    moment : array_like
        Along the axis, A m^2.
    radius : float
        Of the turn, m.
    height : array_like
        Of the dipole above the turn's plane, m.
    """
    z = np.asarray(height, dtype=float)
    return np.asarray(MU_0 * np.asarray(moment) * radius**2 / (2 * (radius**2 + z**2) ** 1.5))
