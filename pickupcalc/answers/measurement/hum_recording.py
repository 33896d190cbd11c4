"""The hum in one recording: the mains' lines, their levels, and the floor between them.

What is no usable recording of hum is refused with the reason: clipped, gated, too
short, or with notes in it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from pickupcalc.answers.measurement.spoiled import Progress, Watch, refuse_notes
from pickupcalc.errors import InputError
from pickupcalc.parts.recording import Recording, open_recording
from pickupcalc.physics.measuring.lines import Lines, find_lines, spectra
from pickupcalc.physics.measuring.weighting import a_weighting_db
from pickupcalc.units import Given, power_db, quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity

SHORTEST = 6.0  # seconds
SEGMENT = 2.0  # seconds; one second in recordings below 20 s
CONFIDENCE = 0.95
# Standard errors above the floor from which a single line is told. Of 16,000 lines in noise alone,
# recorded as short as may be, none reached 8 and three reached 6; forty are looked at.
CLEAR = 8.0
FULL_SCALE_SINE = 0.5  # mean square, which is 0 dB here
GAIN_BAND = (1000.0, 3500.0)  # Hz, where it is looked for: any sample rate has it
GRIDS = (50.0, 60.0)  # Hz
OFF_GRID = 0.6  # Hz from them that no public net strays; 0.2 is much already, from memory


@dataclass(frozen=True)
class Line:
    """One harmonic of the mains; level in dB below a full-scale sine."""

    frequency: Quantity
    level_db: float
    clear: bool


@dataclass(frozen=True)
class Hum:
    """The hum of one recording.

    Attributes
    ----------
    path : Path
    seconds : float
    mains : Quantity
    mains_deviation : Quantity or None
        Standard error; None where no line stands out and the mains was assumed.
    lines : tuple of Line
        Up to 2 kHz.
    level_db, level_a_db : float
        All lines together, as they are and A-weighted; where they are lost in
        the floor, what they certainly do not exceed.
    floor_db, floor_a_db : float
        What is left between the lines, 20 Hz to 20 kHz.
    notes : tuple of str
    """

    path: Path
    seconds: float
    mains: Quantity
    mains_deviation: Quantity | None
    lines: tuple[Line, ...]
    level_db: float
    level_a_db: float
    floor_db: float
    floor_a_db: float
    notes: tuple[str, ...] = ()
    power: Power = field(repr=False, default=None)  # type: ignore[assignment]
    power_a: Power = field(repr=False, default=None)  # type: ignore[assignment]
    high_floor: float = field(repr=False, default=0.0)

    def as_json(self) -> dict[str, Any]:
        return {
            "file": str(self.path),
            "seconds": self.seconds,
            "mains_hz": float(self.mains.m),
            "mains_standard_error_hz": self.mains_deviation and float(self.mains_deviation.m),
            "hum_lost_in_floor": self.power.lost,
            "hum_db": self.level_db,
            "hum_a_db": self.level_a_db,
            "floor_db": self.floor_db,
            "floor_a_db": self.floor_a_db,
            "lines": [
                {"frequency_hz": float(x.frequency.m), "level_db": x.level_db, "clear": x.clear}
                for x in self.lines
            ],
            "notes": list(self.notes),
        }


@dataclass(frozen=True)
class Power:
    """A mean square with its standard error and the number of independent segments."""

    mean: float
    error: float
    count: int

    @property
    def lost(self) -> bool:
        """Whether it may as well be nothing."""
        return self.mean < 3 * self.error

    @property
    def most(self) -> float:
        """What it certainly does not exceed, if it is lost; otherwise what it is."""
        certain = float(stdtrit(self.count - 1, CONFIDENCE)) * self.error
        return max(self.mean, 0.0) + certain if self.lost else self.mean


def hum_of(
    path: str | Path,
    *,
    channel: int = 1,
    skip: Given = "0 s",
    seconds: Given | None = None,
    mains: Given | None = None,
    progress: Progress | None = None,
) -> Hum:
    """The hum of one recording of an instrument that is held still and not played.

    Parameters
    ----------
    path : str or Path
        WAV file.
    channel : int
        Counted from 1.
    skip, seconds : Quantity or str, optional
        Leave out so much of its start (the click of the record button), and use
        only so much of what follows.
    mains : Quantity or str, optional
        Where no line of its own stands out; 50 Hz if left out.
    progress : callable, optional
        Called with the share of the file that is done.

    Returns
    -------
    Hum

    Raises
    ------
    InputError
        For files that are no usable recording of hum, with the reason.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> f"{pc.hum_of('data/recordings/hum_12_both_before.wav').mains.m:.1f} Hz"
    '50.0 Hz'
    """
    recording = open_recording(path)
    try:
        return _hum_of(recording, channel, _span(recording, skip, seconds), mains, progress)
    except InputError as error:
        raise InputError(error.faults, error.source or str(path)) from None


def _span(recording: Recording, skip: Any, seconds: Any) -> tuple[int, int]:
    first = int(to_si(skip, "second", "skip") * recording.rate)
    count = recording.frames if seconds is None else int(to_si(seconds, "second", "seconds") * recording.rate)
    if first < 0 or count < 0:
        raise InputError.of("skip", "a time must not be below zero")
    return min(first, recording.frames), min(first + count, recording.frames)


def _hum_of(
    recording: Recording, channel: int, span: tuple[int, int], mains: Any, progress: Progress | None
) -> Hum:
    if not 1 <= channel <= recording.channels:
        raise InputError.of("channel", f"{channel} is not one of the file's 1 to {recording.channels}")
    length = (span[1] - span[0]) / recording.rate
    if length < SHORTEST:
        raise InputError.of("", f"lasts {length:.1f} s; at least {SHORTEST:.0f} s of hum are needed")
    size = int((SEGMENT if length >= 20 else SEGMENT / 2) * recording.rate)
    watch = Watch(recording, size, span, channel - 1, progress)
    found = spectra(watch.segments(), recording.rate)
    watch.verdict()
    lines = find_lines(found, None if mains is None else to_si(mains, "hertz", "mains"))
    refuse_notes(lines)
    return _measured(recording, length, lines)


def _measured(recording: Recording, length: float, lines: Lines) -> Hum:
    weights = 10 ** (a_weighting_db(lines.orders * lines.mains) / 10)
    multiples = np.arange(1, lines.floor.size + 1) * lines.mains
    floor_weights = 10 ** (a_weighting_db(multiples) / 10)
    powers = lines.powers
    plain, weighted = power_of(powers.sum(axis=1)), power_of((powers * weights).sum(axis=1))
    each = tuple(
        Line(quantity(float(k * lines.mains), "hertz"), _level(float(p)), bool(s > CLEAR))
        for k, p, s in zip(lines.orders, powers.mean(axis=0), lines.signals, strict=True)
    )
    notes = []
    if not lines.found:
        notes.append(f"no line of the mains stands out; {lines.mains:.0f} Hz was assumed")
    elif min(abs(lines.mains - grid) for grid in GRIDS) > OFF_GRID:
        notes.append(
            f"the mains is at {lines.mains:.2f} Hz, where no public net runs: a generator, or the file's "
            f"sample rate ({recording.rate} per second) is wrong"
        )
    error = quantity(lines.mains_deviation, "hertz") if lines.found else None
    # Above 1 kHz the floor is the recorder's own; below, dimmers and motors blur into it.
    quiet = (multiples > GAIN_BAND[0]) & (multiples < GAIN_BAND[1])
    high = lines.floor[quiet].mean() / lines.spectra.step
    return Hum(
        recording.path, length, quantity(lines.mains, "hertz"), error, each,
        _level(plain.most), _level(weighted.most),
        _level(lines.floor_power()), _level(lines.floor_power(floor_weights)),
        tuple(notes), plain, weighted, float(high),
    )  # fmt: skip


def _level(power: float) -> float:
    return float(power_db(max(power, 1e-20) / FULL_SCALE_SINE))


def power_of(segments: NDArray[Any]) -> Power:
    """Mean over segments; slow drift makes neighbours alike, which leaves fewer independent ones."""
    n = segments.size
    off = segments - segments.mean()
    alike = float(np.sum(off[1:] * off[:-1]) / max(np.sum(off**2), 1e-300))
    alike = min(max(alike, 0.0), 0.9)
    count = max(3.0, n * (1 - alike) / (1 + alike))
    return Power(float(segments.mean()), float(np.std(segments, ddof=1) / np.sqrt(count)), int(count))
