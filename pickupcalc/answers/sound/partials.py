"""All partials of all strings at the amplifier, as arrays: what figures of sound are made from. SI."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.response import signal_emf
from pickupcalc.answers.sound import playing
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.physics.circuit.nodal import solve

Array = NDArray[Any]


@dataclass(frozen=True)
class Strings:
    """All partials of all strings, each array of shape (strings, directions of motion, partials)."""

    frequencies: Array
    decays: Array

    @classmethod
    def of(cls, moving: list[playing.Vibration]) -> Strings:
        shape = (len(moving), 2, -1)
        return cls(*(np.reshape([getattr(m, k) for m in moving], shape) for k in ("frequencies", "decays")))


def coil_emfs(
    instrument: Instrument, position: Position, moving: list[playing.Vibration]
) -> dict[str, Array]:
    """EMF of each pickup's coil, V, shape (strings, 2, partials); without sign and sensitivity."""
    return {
        name: np.reshape(
            [playing.coil_emf(instrument, instrument.pickup(name), m) for m in moving], (len(moving), 2, -1)
        )
        for name in position.wiring.pickups()
    }


def at_amplifier(
    instrument: Instrument, position: Position, strings: Strings, coils: dict[str, Array]
) -> tuple[Array, Array]:
    """At the amplifier, shape (strings, 2, partials): as it is, and as if all pickups were in phase."""
    omega = 2 * np.pi * strings.frequencies.ravel()
    transfer = solve(circuit(instrument, position), omega).transfer
    shape = strings.frequencies.shape
    arriving = {name: transfer[name].reshape(shape) * coil for name, coil in coils.items()}
    emf, aligned = signal_emf(instrument, position), aligned_emf(instrument, position)
    zero = np.zeros(shape, dtype=complex)
    return (
        sum((emf[name] * part for name, part in arriving.items()), zero),
        sum((aligned[name] * part for name, part in arriving.items()), zero),
    )


def aligned_emf(instrument: Instrument, position: Position) -> dict[str, Any]:
    """The EMFs that would all aid each other at the output."""
    turned = position.wiring.signs()
    return {name: instrument.pickup(name).sensitivity * sign for name, sign in turned.items()}


def powers(volts: Array) -> Array:
    """Mean square of each partial, V^2, both directions together, shape (strings, partials)."""
    return np.sum(np.abs(volts) ** 2, axis=1) / 2
