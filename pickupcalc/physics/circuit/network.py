"""What a network is made of: branches between named nodes, with arrays of values where sets vary."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

JOINT = 1e-9  # ohm: stands for "exactly nothing", a million times below a solder joint

Array = NDArray[Any]


@dataclass(frozen=True)
class Branch:
    """Resistance, inductance, capacitance and an EMF in series between two nodes.

    Each value is a number or an array of shape (sets,), in SI.

    Parameters
    ----------
    name : str
    start, end : str
        The nodes. A positive EMF drives current through the branch towards `end`.
    resistance, inductance : array_like
        In series, ohm and henry.
    capacitance : array_like, optional
        In series, farad; left out means no capacitor, zero means an open branch.
    sections : tuple of (resistance, inductance)
        Further pairs in series, the two of each pair in parallel with each
        other: the losses of iron and plates that grow with frequency.
    emf : bool
        Whether the branch holds a source.
    """

    name: str
    start: str
    end: str
    resistance: ArrayLike = 0.0
    inductance: ArrayLike = 0.0
    capacitance: ArrayLike | None = None
    sections: tuple[tuple[ArrayLike, ArrayLike], ...] = ()
    emf: bool = False

    @property
    def values(self) -> list[ArrayLike]:
        """All values it has."""
        own = [self.resistance, self.inductance, *(x for pair in self.sections for x in pair)]
        return own if self.capacitance is None else [*own, self.capacitance]

    def impedance(self, omega: Array) -> Array:
        """Impedance without the capacitor, ohm, broadcast over (sets, frequencies)."""
        z = column(self.resistance)
        if self._reactive(self.inductance):
            z = complex_of(z, omega * column(self.inductance))
        for resistance, inductance in self.sections:
            x = 1j * omega * column(inductance)
            r = column(resistance)
            z = z + r * x / (r + x)
        return z

    def admittance(self, omega: Array) -> Array:
        """Admittance, siemens; real where the branch is a resistor."""
        simple = self._simple_admittance(omega) if not self.sections else None
        if simple is not None:
            return simple
        z = self.impedance(omega)
        if self.capacitance is not None:
            y = complex_of(0.0, omega * column(self.capacitance))
            return y / (1 + y * z)
        return 1 / np.where(z == 0, JOINT, z)

    def _simple_admittance(self, omega: Array) -> Array | None:
        """For R with L, C alone, R with C: real and imaginary part apart, which takes a third of the time."""
        r = column(self.resistance)
        if self._reactive(self.inductance):
            x = omega * column(self.inductance)
            squared = r * r + x * x
            if self.capacitance is not None or not np.all(squared):
                return None
            scale = 1 / squared
            return complex_of(r * scale, -x * scale)
        if self.capacitance is None:
            return None
        susceptance = omega * column(self.capacitance)
        ratio = susceptance * r
        scaled = susceptance / (1 + ratio * ratio)
        return complex_of(ratio * scaled, scaled)

    @property
    def lump(self) -> tuple[Array, Array] | None:
        """Conductance and capacitance, shape (sets, 1) or (), of a bare resistor or capacitor; else None."""
        if self.emf or self.sections or self._reactive(self.inductance):
            return None
        if self.capacitance is None:
            r = column(self.resistance)
            return 1 / np.where(r == 0, JOINT, r), np.zeros(())
        return None if self._has_impedance else (np.zeros(()), column(self.capacitance))

    @property
    def _has_impedance(self) -> bool:
        return bool(self.sections) or self._reactive(self.resistance) or self._reactive(self.inductance)

    @staticmethod
    def _reactive(value: ArrayLike) -> bool:
        return bool(np.any(np.asarray(value) != 0))


@dataclass(frozen=True)
class Coupling:
    """Mutual inductance, henry, between two branches; positive when both EMFs aid."""

    first: str
    second: str
    inductance: ArrayLike


@dataclass(frozen=True)
class Circuit:
    """Branches, and the two nodes between which the voltage is read."""

    branches: tuple[Branch, ...]
    output: str
    ground: str
    couplings: tuple[Coupling, ...] = ()

    def __post_init__(self) -> None:
        reached = {self.ground}
        left = [{b.start, b.end} for b in self.branches]
        while joined := [ends for ends in left if ends & reached]:
            left = [ends for ends in left if not ends & reached]
            reached |= set().union(*joined)
        if left or self.output not in reached:
            loose = sorted(set().union(*left) or {self.output})
            raise ValueError(f"no path from {self.ground!r} to {', '.join(map(repr, loose))}")

    @property
    def nodes(self) -> list[str]:
        """All nodes in the order they first appear."""
        return list(dict.fromkeys(n for b in self.branches for n in (b.start, b.end)))

    @property
    def sets(self) -> int | None:
        """Over how many sets the values vary; None where each is one number."""
        arrays = [v for b in self.branches for v in b.values] + [c.inductance for c in self.couplings]
        sizes = {np.size(v) for v in arrays if np.ndim(v)}
        if len(sizes - {1}) > 1:
            raise ValueError(f"the values vary over different numbers of sets: {sorted(sizes)}")
        return max(sizes) if sizes else None

    @property
    def sources(self) -> list[str]:
        """Names of the branches that hold an EMF."""
        return [b.name for b in self.branches if b.emf]


def column(value: ArrayLike) -> Array:
    """A value for each set, ready to meet frequencies along the last axis."""
    array = np.asarray(value)
    return array[..., np.newaxis] if array.ndim else array


def complex_of(real: ArrayLike, imaginary: Array) -> Array:
    """The complex array of these parts, without the passes that arithmetic with 1j takes."""
    out = np.empty(np.broadcast_shapes(np.shape(real), imaginary.shape), dtype=complex)
    out.real, out.imag = real, imaginary
    return out
