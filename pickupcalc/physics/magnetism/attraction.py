"""The pull of magnets on a steel string above them. SI.

The string is a thin round wire along y. Along itself it is magnetised piece by piece: the field of the
magnets plus that of all its other pieces drives each piece, up to the steel's saturation. Across itself a
thin wire answers at every point as a long cylinder does, M = 2 (mu - 1)/(mu + 1) H. The force is Kelvin's,
mu_0 times the integral of (M . grad) H over the wire, H being the magnets' field alone. The string's
own effect on the magnets is left out (it is a few percent at playing distance).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.magnetism.magnetising import STEEL_SATURATION
from pickupcalc.physics.magnetism.magnets import Array

PIECES = 81
REACH = 0.06  # m of string to each side of the pole; beyond it the pull is below 1e-3 of the whole
STEP = 1e-4  # m, of the differences that give the gradients
STRING_PERMEABILITY = 150.0  # music wire in weak fields: from memory, 100 to 200
NEWTON_STEPS = 60

Field = Callable[[Array], Array]  # points (n, 3) in m -> H in A/m, shape (n, 3)


@dataclass(frozen=True)
class Pull:
    """Force on a string toward the magnets in N, and how it grows on approach, in N/m.

    `applied` is the magnets' H at the string's axis nearest to the pole, shape (3,) in A/m;
    `magnetisation` is the string's own along itself, A/m at `along` (m from the pole).
    """

    force: float
    growth: float
    applied: Array
    along: Array
    magnetisation: Array


def string_pull(
    field: Field,
    *,
    x: float,
    y: float,
    height: float,
    diameter: float,
    permeability: float = STRING_PERMEABILITY,
) -> Pull:
    """Pull on a string that crosses a pole.

    Parameters
    ----------
    field : callable
        H of the magnets in A/m at points (n, 3), outside of them.
    x, y, height : float
        Where the string passes nearest to the pole: its axis, in m.
    diameter : float
        Of the steel, m.
    permeability : float
        Relative, in weak fields.
    """
    radius = diameter / 2
    edges = np.linspace(-REACH, REACH, PIECES + 1)
    along = (edges[1:] + edges[:-1]) / 2
    heights = height + STEP * np.arange(-2, 3)
    lines = np.empty((heights.size, PIECES, 3))
    lines[..., 0], lines[..., 1], lines[..., 2] = x, y + along, heights[:, None]
    # One call: what a field costs hardly depends on so few points.
    found = field(np.concatenate([lines.reshape(-1, 3), [[x, y, height]]]))
    h, applied = found[:-1].reshape(lines.shape), found[-1]
    across = 2 * (permeability - 1) / (permeability + 1)
    forces, own = [], []
    for i in (1, 2, 3):
        up = (h[i + 1] - h[i - 1]) / (2 * STEP)
        own.append(_along_itself(h[i, :, 1], edges, radius, permeability))
        density = own[-1] * up[:, 1] + across * (h[i, :, 0] * up[:, 0] + h[i, :, 2] * up[:, 2])
        forces.append(-MU_0 * np.pi * radius**2 * float(np.sum(density)) * (edges[1] - edges[0]))
    return Pull(forces[1], (forces[0] - forces[2]) / (2 * STEP), applied, along, own[1])


def _along_itself(applied: Array, edges: Array, radius: float, permeability: float) -> Array:
    """Magnetisation of the pieces along the wire, in A/m, by Newton's method."""
    coupling = _wire_coupling(edges, radius)
    stiff = STEEL_SATURATION / (permeability - 1)
    field = np.zeros(applied.size)
    for _ in range(NEWTON_STEPS):
        m = STEEL_SATURATION * np.tanh(field / stiff)
        misfit = applied + coupling @ m - field
        if np.max(np.abs(misfit)) < 1e-6 * stiff:
            return m
        slope = (permeability - 1) * (1 - np.tanh(field / stiff) ** 2)
        move = np.linalg.solve(np.eye(field.size) - coupling * slope[None, :], misfit)
        field = field + np.clip(move, -stiff, stiff)
    raise ArithmeticError(f"no working point of the wire found in {NEWTON_STEPS} steps")


def _wire_coupling(edges: Array, radius: float) -> Array:
    """Mean H of each piece per unit magnetisation of each, shape (pieces, pieces).

    Where the magnetisation changes, poles lie on the wire's surface, spread from the middle of one piece
    to the middle of the next; their potential is taken on the axis (the thin-wire kernel, good while
    fields change over lengths well above the radius).
    """
    n = edges.size - 1
    ends = np.concatenate([edges[:1], (edges[1:] + edges[:-1]) / 2, edges[-1:]])
    per_length = (np.eye(n + 1, n) - np.eye(n + 1, n, -1)) * -np.pi * radius**2 / np.diff(ends)[:, None]
    away = (ends[None, :] - edges[:, None]) / radius
    potential = np.diff(np.arcsinh(away), axis=1) / (4 * np.pi)
    coupling: Array = -np.diff(potential @ per_length, axis=0) / np.diff(edges)[:, None]
    return coupling
