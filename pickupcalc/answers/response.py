"""What arrives at the amplifier: the response of a position, and hum beside it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.polarity.signs import signs
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.limits import FREQUENCIES, RESPONSE, at_most
from pickupcalc.physics.circuit.nodal import sweep
from pickupcalc.units import Frequencies, amplitude_db, quantity
from pickupcalc.units import frequencies as frequencies_in_hertz

if TYPE_CHECKING:
    from pint import Quantity

DEFAULT_FREQUENCIES = (20.0, 20e3, 301)  # Hz: from, to, how many
FLOOR_DB = -200.0  # stands for silence, which has no decibels


@dataclass(frozen=True)
class Response:
    """Voltage at the amplifier for 1 V times sensitivity and signal sign in each pickup.

    Attributes
    ----------
    position : str
    frequencies : Quantity, shape (frequencies,)
    voltage : ndarray of complex, shape (frequencies,)
        Volt per volt; the first pickup named has sign +.
    """

    position: str
    frequencies: Quantity
    voltage: NDArray[Any]

    @property
    def magnitude_db(self) -> NDArray[Any]:
        """20 log10 of the voltage, -200 for silence."""
        return decibels(self.voltage)

    @property
    def phase_deg(self) -> NDArray[Any]:
        """Of the voltage against the first pickup's EMF, -180 to 180."""
        return np.degrees(np.angle(self.voltage))

    def as_json(self) -> dict[str, Any]:
        return {
            "position": self.position,
            "frequencies_hz": self.frequencies.m_as("hertz").tolist(),
            "magnitude_db": self.magnitude_db.tolist(),
            "phase_deg": self.phase_deg.tolist(),
        }


def response(instrument: Instrument, position: str, frequencies: Frequencies = None) -> Response:
    """The response of one position.

    Parameters
    ----------
    instrument : Instrument
    position : str
        Its name.
    frequencies : Quantity or sequence of str, optional
        301 from 20 Hz to 20 kHz if left out.

    Returns
    -------
    Response

    Raises
    ------
    InputError
        For a position that is not there, or frequencies that are none.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> heard = pc.response(instrument, "both", ["1 kHz", "5 kHz"])
    >>> abs(heard.voltage).round(3).tolist()
    [0.064, 0.089]
    """
    where = instrument.position(position)
    hertz = frequencies_in_hertz(frequencies, DEFAULT_FREQUENCIES, FREQUENCIES)
    network = circuit(instrument, where)
    at_most("frequencies", hertz.size * (network.sets or 1), RESPONSE, "values over all sets")
    voltage = sweep(network, 2 * np.pi * hertz, signal_emf(instrument, where))
    return Response(position, quantity(hertz, "hertz"), voltage)


def signal_emf(instrument: Instrument, position: Position) -> dict[str, Any]:
    """EMF in volt of each pickup for a string that would make 1 V; the first has sign +.

    A sign that nobody observed counts as that of the first.
    """
    known = signs(instrument)
    first, *_ = names = position.wiring.pickups()
    return {n: instrument.pickup(n).sensitivity * (known.signal_between(first, n) or 1) for n in names}


def hum_emf(instrument: Instrument, position: Position) -> dict[str, Any]:
    """EMF of each pickup in an outside field that is alike everywhere; the first has sign +."""
    known = signs(instrument)
    first, *_ = names = position.wiring.pickups()
    return {n: instrument.pickup(n).hum_sensitivity * (known.hum_between(first, n) or 1) for n in names}


def decibels(ratio: Any) -> Any:
    """20 log10 of an amplitude, -200 for silence."""
    return np.maximum(amplitude_db(ratio), FLOOR_DB)


def relative_db(amplitude: Any, reference: Any) -> Any:
    """One amplitude over another in decibels, -200 for silence, even where the other is silent too."""
    amplitude, reference = np.broadcast_arrays(amplitude, reference)
    ratio = np.zeros(amplitude.shape)
    return decibels(np.divide(amplitude, reference, out=ratio, where=reference > 0))
