"""From readings back to values: the most probable ones, and what the readings could not tell.

Everything unknown has a value expected beforehand and a spread; each reading
pulls on it as hard as it is exact. Where no reading says anything, the expected
value stays with its spread, so there is always an answer, and it shows by
itself what is measured and what is only assumed.

Source: maximum a posteriori estimation with Gaussian errors by Gauss-Newton
steps, e.g. A. Tarantola, *Inverse Problem Theory* (2005), ch. 3.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[Any]
Model = Callable[[Array], Array]

STEP = 1e-5  # of a logarithm, for slopes
MOST_STEPS = 60
SETTLED = 1e-9  # a step in the logarithms below this ends the search


@dataclass(frozen=True)
class Estimate:
    """Values that explain the readings.

    Attributes
    ----------
    values : ndarray, shape (unknowns,)
        All above zero.
    covariance : ndarray, shape (unknowns, unknowns)
        Of their natural logarithms.
    before : ndarray, shape (unknowns,)
        Standard deviation of the logarithms that was expected beforehand.
    chi_squared : float
        Summed squares of reading minus model over error. About the number of
        readings where all is well.
    """

    values: Array
    covariance: Array
    before: Array
    chi_squared: float

    @property
    def deviation(self) -> Array:
        """Standard deviation of the logarithms, shape (unknowns,)."""
        return np.sqrt(np.diag(self.covariance))

    @property
    def told(self) -> Array:
        """Share of the expected spread that the readings took away, 0 to 1."""
        return 1 - self.deviation / self.before

    @property
    def correlation(self) -> Array:
        return self.covariance / np.outer(self.deviation, self.deviation)


def most_probable(
    model: Model, expected: ArrayLike, spread: ArrayLike, readings: ArrayLike, errors: ArrayLike
) -> Estimate:
    """Find values above zero from readings.

    Parameters
    ----------
    model : callable
        From values of shape (sets, unknowns) to what would be read, shape
        (sets, readings).
    expected, spread : array_like, shape (unknowns,)
        Value beforehand, and the standard deviation of its logarithm.
    readings, errors : array_like, shape (readings,)
        What was read, and its standard deviation in the same unit.

    Returns
    -------
    Estimate
    """
    start, spread = np.log(np.asarray(expected, dtype=float)), np.asarray(spread, dtype=float)
    readings, errors = np.asarray(readings, dtype=float), np.asarray(errors, dtype=float)
    x = start.copy()
    moves = np.vstack([np.zeros(x.size), STEP * np.eye(x.size)])

    def misfit(at: Array, read: Array) -> float:
        return float(np.sum(((readings - read) / errors) ** 2) + np.sum(((at - start) / spread) ** 2))

    for _ in range(MOST_STEPS):
        read = model(np.exp(x + moves))
        slopes = (read[1:] - read[0]).T / STEP / errors[:, np.newaxis]
        normal = slopes.T @ slopes + np.diag(spread**-2)
        pull = slopes.T @ ((readings - read[0]) / errors) + (start - x) / spread**2
        step = np.clip(np.linalg.solve(normal, pull), -1.5, 1.5)
        fractions = 0.5 ** np.arange(12)
        tried = model(np.exp(x + fractions[:, np.newaxis] * step))
        costs = [misfit(x + f * step, t) for f, t in zip(fractions, tried, strict=True)]
        best = int(np.argmin(costs))
        if costs[best] >= misfit(x, read[0]) or np.max(np.abs(fractions[best] * step)) < SETTLED:
            break
        x = x + fractions[best] * step
    chi_squared = float(np.sum(((readings - read[0]) / errors) ** 2))
    return Estimate(np.exp(x), np.linalg.inv(normal), spread, chi_squared)
