"""Plucked stiff strings as sums of decaying partials, SI numbers in and out.

Partial n of a string with pinned ends moves as
``a_n sin(n pi x / l) cos(2 pi f_n t) exp(-sigma_n t)``.

Sources: H. Fletcher, "Normal vibration frequencies of a stiff piano string",
J. Acoust. Soc. Am. 36, 203 (1964) for the frequencies; N. H. Fletcher and T. D.
Rossing, *The Physics of Musical Instruments*, 2nd ed. (1998), ch. 2, for plucking;
C. Valette, "The mechanics of vibrating strings", in *Mechanics of Musical
Instruments* (1995), for damping by air and in the material.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

AIR_VISCOSITY = 1.8e-5  # Pa s, at 20 degC
AIR_DENSITY = 1.2  # kg/m^3

Array = NDArray[Any]


@dataclass(frozen=True)
class Wire:
    """A string as the equations see it, SI.

    Attributes
    ----------
    diameter : float
        Outer, which meets the air.
    mass : float
        Per length, kg/m.
    rigidity : float
        E I of the part that resists bending, N m^2: the core of a wound string.
    magnetic_area : float
        Cross-section of steel, m^2, the wrap counted as far as it takes part.
    """

    diameter: float
    mass: float
    rigidity: float
    magnetic_area: float

    def tension(self, frequency: ArrayLike, length: ArrayLike) -> Any:
        """Newton; of the flexible string, T = 4 l^2 f^2 mass."""
        return 4 * np.square(length) * np.square(frequency) * self.mass


@dataclass(frozen=True)
class Losses:
    """What takes a string's energy besides the air.

    Attributes
    ----------
    thermoelastic : float
        1/Q that is the same at all frequencies.
    viscoelastic : float
        Loss angle of the bending, rad.
    conductance : float
        Of both supports together in the direction of motion, s/kg.
    """

    thermoelastic: float
    viscoelastic: float
    conductance: float


def rigidity(core: ArrayLike, modulus: ArrayLike) -> Any:
    """E I of a round rod, N m^2."""
    return np.multiply(modulus, np.pi * np.power(core, 4) / 64)


def inharmonicity(bending: ArrayLike, tension: ArrayLike, length: ArrayLike) -> Any:
    """B = pi^2 E I / (T l^2), pinned ends (Fletcher 1964).

    For a round solid wire this is pi^3 E d^4 / (64 T l^2).
    """
    return np.pi**2 * np.divide(bending, np.multiply(tension, np.square(length)))


def partial_frequencies(fundamental: float, stiffness: float, numbers: ArrayLike) -> Array:
    """f_n = n f_0 sqrt(1 + B n^2), with f_0 such that the first partial is the note, Hz.

    Examples
    --------
    >>> partial_frequencies(82.41, 1e-4, [1, 2, 10]).round(2).tolist()
    [82.41, 164.84, 828.17]
    """
    n = np.asarray(numbers, dtype=float)
    return n * fundamental * np.sqrt((1 + stiffness * n**2) / (1 + stiffness))


def plucked(
    numbers: ArrayLike, at: float, height: float, width: float = 0.0, stiffness: float = 0.0
) -> Array:
    """Amplitude a_n of each partial's displacement after a string is pulled aside and let go.

    Parameters
    ----------
    numbers : array_like of int
    at : float
        Where it is plucked, from either end, as a fraction of the length; above 0, below 1.
    height : float
        How far the ideal string stands aside there, m.
    width : float
        Of the finger or plectrum as a fraction of the length: its force is
        spread evenly over it.
    stiffness : float
        B; a force on a stiff string bends out the high partials by 1 / (1 + B n^2).

    Returns
    -------
    ndarray, shape of `numbers`
        2 h sin(n pi at) / (pi^2 n^2 at (1 - at)) for a point on an ideal string
        (Fletcher and Rossing, ch. 2), in metres.
    """
    n = np.asarray(numbers, dtype=float)
    ideal = 2 * height / (np.pi**2 * at * (1 - at)) * np.sin(np.pi * n * at) / n**2
    return ideal * np.sinc(n * width / 2) / (1 + stiffness * n**2)


def sensed(numbers: ArrayLike, at: ArrayLike, aperture: ArrayLike = 0.0) -> Array:
    """Mean of sin(n pi x / l) over a length of string: what a pickup there sees of partial n.

    `at` is its middle and `aperture` its extent, both as fractions of the
    string's length. Zero at n = k / at, and at n = 2 k / aperture.

    Examples
    --------
    >>> sensed([1, 2, 4], at=0.25).round(3).tolist()  # the fourth partial has a node there
    [0.707, 1.0, 0.0]
    """
    n = np.asarray(numbers, dtype=float)
    return np.sin(np.pi * n * np.asarray(at)) * np.sinc(n * np.asarray(aperture) / 2)


def decay_rates(
    frequencies: ArrayLike, wire: Wire, losses: Losses, fundamental: float, length: float
) -> Array:
    """Rate sigma of each partial's exp(-sigma t), 1/s.

    The sum of four: air (a viscous layer round the wire), bending losses,
    thermoelastic losses (Valette 1995: sigma = pi f / Q of each), and what the
    supports carry away, 2 f_1 Z G of a string of wave impedance Z on a
    conductance G (each round trip of a wave loses the share 4 Z G of its energy;
    valid for Z G far below 1).
    """
    f = np.asarray(frequencies, dtype=float)
    tension = wire.tension(fundamental, length)
    layer = np.sqrt(np.pi * AIR_VISCOSITY * AIR_DENSITY * f)
    air = np.pi * (AIR_VISCOSITY + wire.diameter * layer) / wire.mass
    bending = 4 * np.pi**2 * wire.mass * wire.rigidity * losses.viscoelastic * f**2 / tension**2
    support = 2 * fundamental * np.sqrt(tension * wire.mass) * losses.conductance
    return air + np.pi * f * (bending + losses.thermoelastic) + support
