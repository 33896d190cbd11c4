"""What a field leaves behind in a magnet: partly turned, wholly turned, or as it was. SI.

The model, in plain words. A magnet is a crowd of small regions, each of which holds its direction until
the field inside the magnet exceeds that region's own strength against it; then it turns over and stays.
`Strength.turned(H)` is the share whose strength lies below H. Three figures of the data sheet fix it: at
the intrinsic coercivity HcJ the turned and unturned shares cancel; at the saturating field 99 % are
turned; below HcJ a knee says how soon the first ones go. Every region also tilts a little and springs
back (recoil permeability). The field inside is the jig's plus that of the magnet itself, which opposes
its magnetisation; it is solved for every piece at once.

Regions are taken as independent (F. Preisach, Z. Phys. 94 (1935) 277, without interaction). Between HcJ
and the saturating field the shape is a rule, not a measurement: take the share turned as good to 15 %.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.magnetism.assembly import Assembly
from pickupcalc.physics.magnetism.magnets import Array

SATURATED = 0.99  # the share turned that data sheets call saturated: from memory, a rule
NEWTON_STEPS = 200
SHORTEST_STEP = 1e-3
STEEL_SATURATION = 1.6e6  # A/m, low-carbon steel, from memory

# Field along a piece's first magnetisation -> share turned against it, and d(share)/d(field against).
Share = Callable[[Array], tuple[Array, Array]]


@dataclass(frozen=True)
class Strength:
    """How strongly a magnet material holds its direction.

    Attributes
    ----------
    remanence : float
        Br in T.
    coercivity : float
        HcJ in A/m.
    saturating : float
        Field inside the magnet that turns 99 %, in A/m, above HcJ.
    knee : float
        Field over HcJ at which 5 % are turned, that is where J has fallen to 0.9 Br, below 1.
    recoil : float
        Relative recoil permeability.
    """

    remanence: float
    coercivity: float
    saturating: float
    knee: float
    recoil: float

    @cached_property
    def permanent(self) -> float:
        """M at H = 0 of the saturated magnet, A/m."""
        return self.remanence / MU_0

    @cached_property
    def chi(self) -> float:
        return self.recoil - 1

    @cached_property
    def _low(self) -> float:
        return float(np.log(19) / -np.log(self.knee))

    @cached_property
    def _middle(self) -> float:
        """Field at which half is turned: a little above HcJ, where recoil alone already lowers J."""
        share = (1 - self.chi * self.coercivity / self.permanent) / 2
        return float(self.coercivity * ((1 - share) / share) ** (1 / self._low))

    @cached_property
    def _high(self) -> float:
        odds = SATURATED / (1 - SATURATED)
        return float(np.log(odds) / np.log(self.saturating / self._middle))

    def turned(self, field: Array) -> Array:
        """Share of the magnet that a field (A/m, its size, against the magnetisation) turns over."""
        ratio = np.maximum(field, 0.0) / self._middle
        power = np.where(ratio < 1, self._low, self._high)
        with np.errstate(divide="ignore", over="ignore"):
            return 1 / (1 + np.where(ratio > 0, np.maximum(ratio, 1e-30) ** -power, np.inf))

    def slope(self, field: Array) -> Array:
        """Derivative of `turned`, per A/m."""
        share = self.turned(field)
        power = np.where(field < self._middle, self._low, self._high)
        return np.where(field > 0, power * share * (1 - share) / np.maximum(field, 1e-12), 0.0)

    def polarisation(self, field: Array) -> Array:
        """J in T on the saturated magnet's way down, at an inner field H <= 0 in A/m."""
        return MU_0 * (self.permanent * (1 - 2 * self.turned(-field)) + self.chi * field)

    def energy_product(self) -> float:
        """(BH)max in J/m^3 of the model: what a data sheet can be checked with."""
        field = -np.linspace(0, self.coercivity, 4001)
        return float(np.max(-field * (self.polarisation(field) + MU_0 * field)))


@dataclass(frozen=True)
class Work:
    """A magnet with steel beside it: which pieces are magnet, which are steel.

    Attributes
    ----------
    hard : ndarray of bool, shape (pieces,)
        Pieces of magnet; the others are steel.
    signs : ndarray, shape (pieces,)
        +1 or -1, the magnetisation's direction along the piece's axis; 0 for steel.
    steel : ndarray, shape (pieces,)
        Susceptibility of the steel pieces (of surface charges, see `steel_rods`); 0 for magnet.
    """

    assembly: Assembly
    strength: Strength
    hard: Array
    signs: Array
    steel: Array

    def as_it_lies(self) -> State:
        """Once saturated, then left alone: every piece at its own working point."""
        return self.in_the_jig(np.zeros(self.assembly.count))

    def in_the_jig(self, applied: Array) -> State:
        """With the jig's mean field (pieces,) in A/m on it, along each piece's axis."""
        s = self.strength

        def share(field: Array) -> tuple[Array, Array]:
            return s.turned(-field), s.slope(-field)

        return self._solve(applied, share)

    def afterwards(self, jig: State) -> State:
        """Taken out of the jig again: what was turned stays so, but for what its own field turns back."""
        s = self.strength
        highest = np.maximum(jig.against, 0.0)
        most = s.turned(highest)

        def share(field: Array) -> tuple[Array, Array]:
            back = np.clip(field, 0, highest)
            now = s.turned(-field)
            slope = np.where(now > most, s.slope(-field), np.where(field < highest, s.slope(back), 0.0))
            return np.maximum(most, now) - s.turned(back), slope

        return self._solve(np.zeros(self.assembly.count), share)

    def weakened(self, at_least: Array) -> State:
        """Left alone with at least these shares turned already, shape (pieces,)."""
        s = self.strength

        def share(field: Array) -> tuple[Array, Array]:
            now = s.turned(-field)
            return np.maximum(now, at_least), np.where(now > at_least, s.slope(-field), 0.0)

        return self._solve(np.zeros(self.assembly.count), share)

    def _response(self, field: Array, share: Share) -> tuple[Array, Array]:
        """M and dM/dH of every piece at its own inner field."""
        s = self.strength
        turned, steep = share(field * self.signs)
        soft = np.tanh(field * self.steel / STEEL_SATURATION)
        hard = self.signs * s.permanent * (1 - 2 * turned) + s.chi * field
        return (
            np.where(self.hard, hard, STEEL_SATURATION * soft),
            np.where(self.hard, 2 * s.permanent * steep + s.chi, self.steel * (1 - soft**2)),
        )

    def _solve(self, applied: Array, share: Share) -> State:
        """Newton's method on H = H_applied + N M(H), each step shortened until the misfit falls."""
        n = self.assembly.coupling
        field = np.where(self.hard, applied, 0.0)  # steel carries flux with next to no field inside
        m, slope = self._response(field, share)
        misfit = applied + n @ m - field
        for _ in range(NEWTON_STEPS):
            if np.max(np.abs(misfit)) < 1e-6 * self.strength.coercivity:
                return State(field=field, magnetisation=m, against=-field * self.signs)
            step = np.linalg.solve(np.eye(field.size) - n * slope[None, :], misfit)
            length = 1.0
            while True:
                trial = field + length * step
                m, slope = self._response(trial, share)
                after = applied + n @ m - trial
                if np.linalg.norm(after) < np.linalg.norm(misfit) or length < SHORTEST_STEP:
                    break
                length /= 2
            field, misfit = trial, after
        raise ArithmeticError(f"no working point found in {NEWTON_STEPS} steps")


@dataclass(frozen=True)
class State:
    """One state of the work, all of shape (pieces,) in A/m.

    Attributes
    ----------
    field : ndarray
        Mean inner field H along the piece's axis.
    magnetisation : ndarray
    against : ndarray
        The inner field's part against the first magnetisation.
    """

    field: Array
    magnetisation: Array
    against: Array
