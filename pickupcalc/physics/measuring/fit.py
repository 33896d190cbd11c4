"""Fit a pickup's parts to a measured impedance, with their covariance.

Least squares in ln Z (size and phase together), each point weighted by its own
error; Levenberg-Marquardt as in MINPACK, through scipy. The covariance is the
inverse of the normal matrix, widened where the points scatter more than their
errors say.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pickupcalc.physics.measuring.impedance import log_slopes, pickup_impedance

Array = NDArray[Any]

LEAST_DEVIATION = 1e-5  # relative: no point counts for more than a hundredth of a per mille
IRON_GAIN = 1.5  # times the scatter must fall for the two parts of iron to be worth having
LOGS = (-60.0, 60.0)  # of values tried on the way
TRIMMED = 1 / 0.744  # mean square of a complex normal over that of its better nine tenths
TOGETHER = 0.95  # how sure it is that all parts lie within their intervals together


@dataclass(frozen=True)
class Fit:
    """Parts of a pickup that explain an impedance.

    Attributes
    ----------
    values : ndarray, shape (4,) or (6,)
        In the order of `impedance.NAMES`.
    covariance : ndarray
        Of their natural logarithms.
    scatter : float
        Reduced chi-squared: 1 where the points scatter as their errors say.
    misfit : ndarray, shape (frequencies,)
        ln of fitted over measured, complex.
    """

    values: Array
    covariance: Array
    scatter: float
    misfit: Array

    @property
    def deviation(self) -> Array:
        """Standard deviation of each logarithm."""
        return np.sqrt(np.diag(self.covariance))

    @property
    def factor(self) -> float:
        """Standard deviations within which all values lie together in 95 of 100 cases (Bonferroni)."""
        from scipy.special import ndtri

        return float(ndtri(1 - (1 - TOGETHER) / 2 / self.values.size))

    @property
    def size(self) -> float:
        """Typical relative misfit: the root mean square of the better nine tenths, as if normal."""
        squared = np.sort(np.square(np.abs(self.misfit)))
        return float(np.sqrt(np.mean(squared[: max(1, squared.size * 9 // 10)]) * TRIMMED))

    @property
    def inductance(self) -> tuple[float, float]:
        """At low frequency, henry, and the standard deviation of its logarithm."""
        slope = np.zeros(self.values.size)
        slope[1] = self.values[1]
        if self.values.size == 6:
            slope[4] = self.values[4]
        total = float(slope.sum())
        return total, float(np.sqrt(slope @ self.covariance @ slope)) / total

    def impedance(self, omega: ArrayLike) -> Array:
        return pickup_impedance(omega, *self.values)


def fit_pickup(
    frequency: ArrayLike, impedance: ArrayLike, deviation: ArrayLike | None = None, *, iron: bool = True
) -> Fit:
    """Resistance, inductance, capacitance, losses, and iron where it shows.

    Parameters
    ----------
    frequency : array_like, shape (frequencies,)
        Hz.
    impedance : array_like of complex
        Ohm.
    deviation : array_like, optional
        Relative standard deviation of each point's real and imaginary part;
        all alike and told by the scatter, if left out.
    iron : bool
        Whether six parts may be taken.

    Returns
    -------
    Fit
        With four parts, or six where iron makes the scatter fall well.

    Raises
    ------
    ValueError
        For fewer than eight points.
    """
    omega = 2 * np.pi * np.asarray(frequency, dtype=float)
    z = np.asarray(impedance, dtype=complex)
    if omega.size < 8:
        raise ValueError("fewer than eight frequencies")
    known = deviation is not None
    sigma = np.maximum(np.asarray(deviation, dtype=float), LEAST_DEVIATION) if known else np.ones(omega.size)
    start = first_guess(omega, z)
    plain = _fitted(omega, z, sigma, start, known)
    if not iron:
        return plain
    six = np.concatenate([plain.values, [0.2 * plain.values[1], 2e4 * plain.values[1]]])
    six[1] *= 0.85
    full = _fitted(omega, z, sigma, six, known)
    worse = plain.scatter if known else plain.scatter / full.scatter
    return full if worse > IRON_GAIN and plain.scatter > IRON_GAIN * full.scatter else plain


def first_guess(omega: Array, z: Array) -> Array:
    """Four parts read off a curve as one does by eye."""
    size = np.abs(z)
    top = int(np.argmax(size))
    low = max(3, omega.size // 20)
    resistance = max(float(np.median(z.real[:low])), 1.0)
    below = (omega < omega[top] / 4) & (z.imag > 0)
    if below.sum() < 3:
        below = z.imag > 0
    inductance = float(np.median(z.imag[below] / omega[below])) if below.any() else 1.0
    inductance = max(inductance, 1e-3)
    capacitance = 1 / (omega[top] ** 2 * inductance)
    return np.array([resistance, inductance, capacitance, float(size[top])])


def _fitted(omega: Array, z: Array, sigma: Array, start: Array, known: bool) -> Fit:
    from scipy.optimize import least_squares

    target = np.log(z)

    def off(logs: Array) -> Array:
        difference = np.log(pickup_impedance(omega, *np.exp(np.clip(logs, *LOGS)))) - target
        # The phase of ln jumps by 2 pi where the curve crosses the negative axis.
        turned = difference.real + 1j * np.angle(np.exp(1j * difference.imag))
        return np.concatenate([turned.real, turned.imag]) / np.concatenate([sigma, sigma])

    def slopes(logs: Array) -> Array:
        parts = log_slopes(omega, np.exp(np.clip(logs, *LOGS)))
        return np.concatenate([parts.real, parts.imag]) / np.concatenate([sigma, sigma])[:, np.newaxis]

    found = least_squares(off, np.log(start), jac=slopes, method="lm", x_scale="jac", max_nfev=400)
    values = np.exp(np.clip(found.x, *LOGS))
    degrees = 2 * omega.size - start.size
    scatter = float(2 * found.cost / degrees)
    normal = slopes(np.log(values)).T @ slopes(np.log(values))
    scale = np.sqrt(np.maximum(np.diag(normal), 1e-300))
    covariance = np.linalg.pinv(normal / np.outer(scale, scale)) / np.outer(scale, scale)
    covariance *= max(scatter, 1.0) if known else scatter
    misfit = off(found.x) * np.concatenate([sigma, sigma])
    return Fit(values, covariance, scatter, misfit[: omega.size] + 1j * misfit[omega.size :])
