"""Two channels of a sound card: checked, turned into a ratio, and calibrated with a known resistor.

Any two of three voltages are recorded: across the pickup, across a known
resistor that carries the same current, across both. A second recording with a
known resistor in the pickup's place calibrates gain and delay of the channels.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import scipy.fft
from numpy.typing import NDArray

from pickupcalc.answers.measurement.spoiled import CLIPPED_RUN, first_clip, flat_top
from pickupcalc.errors import Fault, InputError
from pickupcalc.parts.fields import Amount, Checked, MaybeAmount, Part, checked, measured, number
from pickupcalc.parts.recording import open_recording
from pickupcalc.physics.measuring.sweeps import Ratio, ratio_of, trimmed
from pickupcalc.units import to_si

LOWEST, HIGHEST = 20.0, 20e3  # Hz
LOWEST_RATE = 32_000  # samples per second: below, the peak of a bare pickup is out of reach
LEAST_LEVEL = -60.0  # dB below full scale, of a channel's peak
LEAST_COHERENCE = 0.98  # of a band that goes into the fit
LEAST_BANDS = 0.5  # share of the bands that must be so good
UNKNOWN_GAIN = 0.02  # two standard deviations, uncalibrated channels of one card; common practice, no source
CHANNELS = {"pickup": (1.0, 0.0), "resistor": (0.0, 1.0), "both": (1.0, 1.0)}
MOST_LINES = 0.5  # share of a channel's power below 1 kHz that may be the mains; a sweep itself has 0.06
SHORTEST = 1.0  # seconds of sweep with its silence


def _channels(given: Any) -> tuple[str, str]:
    names = tuple(given) if isinstance(given, (list, tuple)) else ()
    if len(names) != 2 or names[0] == names[1] or not set(names) <= CHANNELS.keys():
        raise InputError.of("", f"{given!r} is not two different ones of: pickup, resistor, both")
    return names[0], names[1]


@dataclass(frozen=True, kw_only=True)
class Bench(Part):
    """How the pickup was connected.

    Parameters
    ----------
    resistor : Quantity or str
        The known one, in series with the pickup.
    resistor_tolerance : float
        Two standard deviations, relative.
    channels : tuple of str
        What the first and second channel were across: "pickup", "resistor", "both".
    input_resistance, input_capacitance : Quantity or str, optional
        Of the channel that hangs across the pickup (or, where none does, across
        the resistor).
    """

    resistor: Amount = measured("ohm", above=0)
    resistor_tolerance: Any = number(default=0.01, at_least=0, at_most=1)
    channels: Checked[tuple[str, str], Sequence[str]] = checked(_channels, default=("pickup", "resistor"))
    input_resistance: MaybeAmount = measured("ohm", default=None, above=0)
    input_capacitance: MaybeAmount = measured("farad", default=None, at_least=0)

    def beside(self, hertz: NDArray[Any]) -> NDArray[Any]:
        """Admittance of the input, siemens."""
        conductance = 0.0 if self.input_resistance is None else 1 / self.input_resistance.m
        farad = 0.0 if self.input_capacitance is None else self.input_capacitance.m
        return conductance + 2j * np.pi * np.asarray(hertz) * farad

    def impedance(self, hertz: NDArray[Any], ratio: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
        """Impedance from first over second channel, and how its logarithm follows the ratio's."""
        (a1, b1), (a2, b2) = (CHANNELS[name] for name in self.channels)
        beside, resistor = self.beside(hertz), self.resistor.m
        if "pickup" not in self.channels:
            resistor = resistor / (1 + resistor * beside)
        above, below = b1 - ratio * b2, ratio * a2 - a1
        z = resistor * above / below
        slope = np.abs(ratio * (-b2 / above - a2 / below))
        if "pickup" in self.channels:
            slope = slope / np.abs(1 - z * beside)
            z = z / (1 - z * beside)
        return z, slope

    def ratio(self, hertz: NDArray[Any], impedance: NDArray[Any]) -> NDArray[Any]:
        """First over second channel for an impedance in the pickup's place."""
        across = self.voltages(hertz, impedance)
        return across[self.channels[0]] / across[self.channels[1]]

    def voltages(self, hertz: NDArray[Any], impedance: NDArray[Any]) -> dict[str, NDArray[Any]]:
        """Voltage across pickup, resistor and both, for 1 V across both."""
        z, r = np.asarray(impedance), np.full(np.shape(impedance), self.resistor.m, dtype=complex)
        if "pickup" in self.channels:
            z = z / (1 + z * self.beside(hertz))
        else:
            r = r / (1 + r * self.beside(hertz))
        return {"pickup": z / (z + r), "resistor": r / (z + r), "both": np.ones(np.shape(z))}


@dataclass(frozen=True)
class Calibration:
    """Gain and delay of the first channel against the second.

    Attributes
    ----------
    gain : float
    delay : float
        Seconds.
    fraction : float
        Two standard deviations of what gain and delay leave, relative; with the
        known resistor's tolerance.
    """

    gain: float
    delay: float
    fraction: float

    def undo(self, hertz: NDArray[Any], ratio: NDArray[Any]) -> NDArray[Any]:
        return ratio / (self.gain * np.exp(-2j * np.pi * hertz * self.delay))


def calibrate(path: str | Path, bench: Bench, known: Any, tolerance: float = 0.001) -> Calibration:
    """Gain and delay of the channels from a sweep with a known resistor in the pickup's place.

    Parameters
    ----------
    path : str or Path
        WAV file.
    bench : Bench
    known : Quantity or str
        The resistor.
    tolerance : float
        Two standard deviations of the ratio of both resistors, relative.

    Returns
    -------
    Calibration

    Raises
    ------
    InputError
        Where what is left after gain and delay is more than 2 %: then it was no resistor.
    """
    ratio = recorded_ratio(path)
    f = ratio.frequency
    expected = bench.ratio(f, np.full(f.size, to_si(known, "ohm", "--calibration-resistor"), dtype=complex))
    ln = np.log(ratio.value / expected)
    weight = 1 / np.maximum(ratio.deviation, 1e-5) ** 2
    gain = float(np.exp(np.average(ln.real, weights=weight)))
    phase = np.unwrap(ln.imag)
    delay = float(-np.sum(weight * f * phase) / np.sum(weight * f**2) / (2 * np.pi))
    left = ln - np.log(gain) + 2j * np.pi * f * delay
    rms = float(np.sqrt(np.average(np.abs(left) ** 2, weights=weight)))
    if rms > UNKNOWN_GAIN:
        told = f"differs from a resistor by {100 * rms:.1f} % after gain and delay; check parts and channels"
        raise InputError(Fault("", told), str(path))
    return Calibration(gain, delay, float(np.hypot(2 * rms, tolerance)))


def recorded_ratio(path: str | Path) -> Ratio:
    """First over second channel of a recorded sweep, after all checks of the recording."""
    recording = open_recording(path)
    try:
        if recording.channels != 2:
            told = (
                f"has {recording.channels} channel{'s' * (recording.channels > 1)}; a measurement needs two"
            )
            raise InputError.of("", f"{told}, recorded together")
        if recording.rate < LOWEST_RATE:
            told = (
                f"has {recording.rate} samples per second; at least {LOWEST_RATE} are needed to see the peak"
            )
            raise InputError.of("", told)
        samples = recording.samples()
        _refuse_bad(samples, recording.rate, recording.step)
        part, faded = trimmed(samples, recording.rate)
        if len(part) < SHORTEST * recording.rate:
            told = f"holds {len(part) / recording.rate:.2f} s of sound"
            raise InputError.of("", f"{told}; a sweep with silence around it has at least {SHORTEST:.0f} s")
        first, second = part.T
        ratio = ratio_of(first, second, recording.rate, LOWEST, min(HIGHEST, 0.45 * recording.rate), faded)
        _refuse_noisy(ratio, part, recording.rate)
    except InputError as error:
        raise InputError(error.faults, error.source or str(path)) from None
    return ratio


def _refuse_bad(samples: NDArray[Any], rate: int, step: float) -> None:
    for i, x in enumerate(samples.T, 1):
        peak = 20 * np.log10(max(float(np.abs(x).max()), 1e-9))
        if peak < LEAST_LEVEL:
            told = (
                f"channel {i} reaches only {peak:.0f} dB below full scale"
                if peak > -120
                else f"channel {i} is silent"
            )
            raise InputError.of("", f"{told}: too little level, or the wrong input")
        clip = first_clip(x)
        if clip is not None:
            told = f"channel {i} is clipped: {CLIPPED_RUN} samples and more in a row at full scale"
            raise InputError.of("", f"{told}, first at {clip / rate:.2f} s; lower the gain")
        piece = rate // 10
        flat = [flat_top(p, step) for p in x[: x.size // piece * piece].reshape(-1, piece)]
        if sum(bool(f) for f in flat) > 2:
            raise InputError.of("", f"channel {i} is clipped before the converter: its tops are flat")
    if np.allclose(samples[:, 0], samples[:, 1], rtol=0, atol=2 * step):
        raise InputError.of("", "has the same in both channels: a mono recording, or one input only")


def _refuse_noisy(ratio: Ratio, samples: NDArray[Any], rate: int) -> None:
    good = ratio.coherence > LEAST_COHERENCE
    lines = max(_mains_share(x, rate) for x in samples.T)
    if lines > MOST_LINES:
        told = f"below 1 kHz {100 * lines:.0f} % of a channel's power is in lines of the mains: mains pickup"
        raise InputError.of("", f"{told}; move away from transformers, turn the pickup, screen the leads")
    if good.mean() < LEAST_BANDS:
        told = f"in {100 * (1 - good.mean()):.0f} % of the bands the two channels have too little in common"
        raise InputError.of("", f"{told}: too little level against noise, or the wrong inputs")


def _mains_share(x: NDArray[Any], rate: int) -> float:
    """Share of the power from 30 Hz to 1 kHz that lies within 1.5 Hz of multiples of 50 or of 60 Hz."""
    power = np.square(np.abs(scipy.fft.rfft(x)))
    hertz = np.arange(power.size) * rate / x.size
    inside = (hertz > 30) & (hertz < 1000)
    power, hertz = power[inside], hertz[inside]
    near = (power[np.abs(hertz - np.round(hertz / m) * m) < 1.5].sum() for m in (50.0, 60.0))
    return float(max(near) / max(power.sum(), 1e-300))
