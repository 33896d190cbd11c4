"""Magnets and steel whose curves are straight lines: solved at once, where the package goes step by step."""

from __future__ import annotations

import numpy as np


def magnetise(assembly, permanent, susceptibility, applied):
    """Magnetisation of every piece where all obey M = M_permanent + chi H, in A/m, shape (pieces,).

    Parameters
    ----------
    permanent, susceptibility, applied : ndarray, shape (pieces,)
        M at H = 0 in A/m, chi without a unit, and the mean H of everything else along the axis in A/m.
    """
    matrix = np.eye(assembly.count) - susceptibility[:, None] * assembly.coupling
    return np.linalg.solve(matrix, permanent + susceptibility * applied)
