"""A winding's falling inductance and rising resistance as a few R-L sections. SI units.

    lambda(omega) = L0 + sum L_k / (1 + j omega L_k / R_k)

is an inductance L0 in series with sections of L_k across R_k (Foster's form of a network of resistors and
inductors; every L_k and R_k is positive, so the network is passive whatever the fit).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pickupcalc.physics.winding.quadrature import Array

MOST_SECTIONS = 5
GOOD_ENOUGH = 2e-3


@dataclass(frozen=True)
class Ladder:
    """L0 in henries, sections (R_k ohm, L_k henry) and the largest relative error over the fitted range."""

    inductance: float
    sections: tuple[tuple[float, float], ...]
    error: float

    def linkage(self, omega: Array) -> Array:
        """Complex inductance at omega (n,), H."""
        total = np.full(np.shape(omega), self.inductance, dtype=complex)
        for r, x in self.sections:
            total += x / (1 + 1j * np.asarray(omega) * x / r)
        return total


def fit(omega: Array, linkage: Array, good_enough: float = GOOD_ENOUGH) -> Ladder:
    """The shortest ladder within `good_enough` of linkage (n,) at omega (n,), or the best of five."""
    spread = np.abs(linkage - linkage[0]).max() / abs(linkage[0])
    best = _with_sections(omega, linkage, np.empty(0))
    for count in range(1, MOST_SECTIONS + 1):
        if spread < 1e-9 or best.error <= good_enough:
            break
        found = _search(omega, linkage, count)
        best = min(best, found, key=lambda ladder: ladder.error)
    return best


def _search(omega: Array, linkage: Array, count: int) -> Ladder:
    """Corner frequencies by least squares; the inductances follow from them (variable projection)."""
    from scipy.optimize import least_squares

    positive = omega[omega > 0]
    low, high = np.log(positive.min()), np.log(positive.max())
    start = low + (high - low) * (np.arange(count) + 0.7) / (count + 0.2)

    def miss(log_corners: Array) -> Array:
        off = _with_sections(omega, linkage, np.exp(log_corners)).linkage(omega) - linkage
        off = off / np.abs(linkage)
        return np.concatenate((off.real, off.imag))

    bounds = (np.full(count, low - 5.0), np.full(count, high + 5.0))
    found = least_squares(miss, start, bounds=bounds, xtol=1e-6, ftol=1e-8, max_nfev=40)
    return _with_sections(omega, linkage, np.exp(found.x))


def _with_sections(omega: Array, linkage: Array, corners: Array) -> Ladder:
    from scipy.optimize import nnls

    columns = [np.ones(omega.size, dtype=complex), *(1 / (1 + 1j * omega / c) for c in corners)]
    basis = np.stack(columns, 1) / np.abs(linkage)[:, None]
    target = linkage / np.abs(linkage)
    values, _ = nnls(np.concatenate((basis.real, basis.imag)), np.concatenate((target.real, target.imag)))
    kept = [(float(x * c), float(x)) for x, c in zip(values[1:], corners, strict=True) if x > 0]
    ladder = Ladder(float(values[0]), tuple(sorted(kept)), 0.0)
    error = float(np.max(np.abs(ladder.linkage(omega) - linkage) / np.abs(linkage)))
    return Ladder(ladder.inductance, ladder.sections, error)
