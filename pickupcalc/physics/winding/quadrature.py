"""Quadrature rules shared by the field computations. Dimensionless; pure NumPy."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

Array = NDArray[Any]


@lru_cache(maxsize=64)
def gauss(n: int) -> tuple[Array, Array]:
    """Gauss-Legendre nodes and weights on [0, 1]."""
    x, w = legendre.leggauss(n)
    return 0.5 * (x + 1.0), 0.5 * w


@lru_cache(maxsize=64)
def graded(n: int, power: int = 3) -> tuple[Array, Array]:
    """Gauss rule on [0, 1] crowded toward 0 by t = u**power; integrates logarithms and kinks at 0."""
    u, w = gauss(n)
    return u**power, w * power * u ** (power - 1)


@lru_cache(maxsize=64)
def lobatto(p: int) -> Array:
    """The p + 1 Gauss-Lobatto-Legendre nodes on [0, 1]."""
    derivative = legendre.Legendre.basis(p).deriv()
    inner = np.sort(np.real(derivative.roots()))
    return 0.5 * (np.concatenate(([-1.0], inner, [1.0])) + 1.0)


def lagrange(nodes: Array, x: Array) -> tuple[Array, Array]:
    """Values and derivatives at x (...,) of the Lagrange polynomials on `nodes` (n,): each (..., n)."""
    vandermonde = np.vander(nodes, increasing=True)
    coefficients = np.linalg.inv(vandermonde)  # column j: coefficients of polynomial j
    powers = x[..., None] ** np.arange(nodes.size)
    slopes = np.zeros_like(powers)
    slopes[..., 1:] = powers[..., :-1] * np.arange(1, nodes.size)
    return powers @ coefficients, slopes @ coefficients
