"""A finished instrument measured through its jack, driven by a small coil held over a pickup.

The coil's field follows its current, and a pickup's EMF follows how fast that
changes; so jack voltage over coil current over frequency is the response that
`answers.response` predicts, but for one factor.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.measurement.sound_card import LEAST_COHERENCE, recorded_ratio
from pickupcalc.answers.response import decibels, response
from pickupcalc.errors import Fault, InputError
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.units import quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity

REFERENCE = (80.0, 300.0)  # Hz, over which a response is put to 0 dB


@dataclass(frozen=True)
class FieldResponse:
    """Relative response from the field to the jack.

    Attributes
    ----------
    frequency : Quantity, shape (points,)
    level_db : ndarray, shape (points,)
        0 dB around 150 Hz.
    error_db : ndarray, shape (points,)
        Two standard deviations of what scatters.
    peak_frequency : Quantity or None
    peak_height_db : float or None
    predicted_db : ndarray or None
        Of the job file's position, at the same frequencies.
    """

    frequency: Quantity
    level_db: NDArray[Any]
    error_db: NDArray[Any]
    peak_frequency: Quantity | None
    peak_height_db: float | None
    predicted_db: NDArray[Any] | None = None

    @property
    def off_db(self) -> float | None:
        """Root mean square of measured minus predicted, 80 Hz to 10 kHz."""
        if self.predicted_db is None:
            return None
        use = (self.frequency.m > REFERENCE[0]) & (self.frequency.m < 10e3)
        return float(np.sqrt(np.mean((self.level_db - self.predicted_db)[use] ** 2)))

    def as_json(self) -> dict[str, Any]:
        return {
            "format": 1,
            "peak_frequency_hz": self.peak_frequency and float(self.peak_frequency.m),
            "peak_height_db": self.peak_height_db,
            "off_prediction_db": self.off_db,
            "frequencies_hz": self.frequency.m.tolist(),
            "level_db": self.level_db.tolist(),
            "error_db": self.error_db.tolist(),
            "predicted_db": None if self.predicted_db is None else self.predicted_db.tolist(),
        }


def field_response(
    path: str | Path,
    instrument: Instrument | None = None,
    position: str | None = None,
    *,
    input_resistance: Any = "1 Mohm",
) -> FieldResponse:
    """The response of an instrument from a recorded sweep.

    Parameters
    ----------
    path : str or Path
        WAV file; first channel the jack, second the voltage across a resistor in
        series with the coil.
    instrument, position : optional
        To lay the prediction beside it, of the first position if none is named. Its
        cable counts, its amplifier is the sound card's input.
    input_resistance : Quantity or str
        Of the sound card.

    Returns
    -------
    FieldResponse

    Raises
    ------
    InputError
        As `sound_card.recorded_ratio`, and for a position that is not there.
    """
    ratio = recorded_ratio(path)
    good = ratio.coherence > LEAST_COHERENCE
    hertz = ratio.frequency[good]
    level = decibels(ratio.value[good] / hertz)
    near = (hertz > REFERENCE[0]) & (hertz < REFERENCE[1])
    if near.sum() < 4:
        told = "too little is left from 80 to 300 Hz, where the level is taken"
        raise InputError(Fault("", told), str(path))
    level = level - np.median(level[near])
    predicted = None
    if instrument is not None:
        ohm = to_si(input_resistance, "ohm", "input_resistance")
        predicted = _predicted(instrument, position, hertz, ohm)
        predicted = predicted - np.median(predicted[near])
    top = int(np.argmax(level))
    peak, height = _peak(hertz, level, top) if 0 < top < hertz.size - 1 and level[top] > 0.3 else (None, None)
    return FieldResponse(
        quantity(hertz, "hertz"),
        level,
        2 * 20 / np.log(10) * ratio.deviation[good],
        None if peak is None else quantity(peak, "hertz"),
        height,
        predicted,
    )


def _predicted(
    instrument: Instrument, position: str | None, hertz: NDArray[Any], input_resistance: float
) -> NDArray[Any]:
    load = replace(instrument.load, amplifier_resistance=quantity(input_resistance, "ohm"))
    name = position or instrument.positions[0].name
    return response(replace(instrument, load=load), name, quantity(hertz, "hertz")).magnitude_db


def _peak(hertz: NDArray[Any], level: NDArray[Any], top: int) -> tuple[float, float]:
    """The top of the parabola through a maximum and its neighbours, over the logarithm of frequency."""
    x = np.log(hertz[top - 1 : top + 2])
    bend, slope, level_0 = np.polyfit(x - x[1], level[top - 1 : top + 2], 2)
    shift = -slope / (2 * bend)
    return float(np.exp(x[1] + shift)), float(level_0 + slope * shift / 2)
