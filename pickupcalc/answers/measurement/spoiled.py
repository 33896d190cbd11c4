"""What spoils a recording, and how it is known."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.errors import InputError
from pickupcalc.parts.recording import Recording
from pickupcalc.physics.measuring.lines import Lines
from pickupcalc.units import power_db

CLIP = 0.9995  # of full scale
CLIPPED_RUN = 3  # samples at full scale in a row
FLAT_TOP = 0.03  # share of samples within a thousandth of the peak; a sine has 0.014
SILENT_PIECE = 0.1  # seconds without any change
NOTE_DB = 3.0  # rise between the lines, over the recording's median, that a note makes
TONE_DB = 14.0  # of a tone that is no multiple of the mains, over the floor
STEP_DB = 1.5  # the same within one recording

Progress = Callable[[float], None]


class Watch:
    """Hands out segments and looks at each for what spoils a recording."""

    def __init__(
        self, recording: Recording, size: int, span: tuple[int, int], channel: int, progress: Progress | None
    ) -> None:
        self.recording, self.size, self.span, self.channel = recording, size, span, channel
        self.progress = progress
        self.flat = 0
        self.tested = 0

    def segments(self) -> Iterator[NDArray[Any]]:
        first = self.span[0]
        count = (self.span[1] - first) // self.size
        for i, block in enumerate(self.recording.blocks(self.size, first, first + count * self.size)):
            x = block[:, self.channel]
            start = (first + i * self.size) / self.recording.rate
            self._silence(x, start)
            self._clipping(x, start)
            yield x
            if self.progress:
                self.progress((i + 1) / count)

    def _silence(self, x: NDArray[Any], start: float) -> None:
        piece = int(SILENT_PIECE * self.recording.rate)
        pieces = x[: x.size // piece * piece].reshape(-1, piece)
        still = np.ptp(pieces, axis=1) == 0
        if still.any():
            at = start + int(np.argmax(still)) * SILENT_PIECE
            told = (
                f"is perfectly silent at {at:.1f} s, which no input is: a gate, a mute, or nothing plugged in"
            )
            if self.recording.channels > 1:
                told += f"; this was channel {self.channel + 1} of {self.recording.channels}"
            raise InputError.of("", told)

    def _clipping(self, x: NDArray[Any], start: float) -> None:
        clip = first_clip(x)
        if clip is not None:
            at = start + clip / self.recording.rate
            told = f"is clipped: {CLIPPED_RUN} samples and more in a row at full scale, first at {at:.2f} s"
            raise InputError.of("", f"{told}; lower the gain and record again")
        flat = flat_top(x, self.recording.step)
        self.tested += flat is not None
        self.flat += bool(flat)

    def verdict(self) -> None:
        if self.tested and self.flat > self.tested / 2:
            told = "is clipped before the converter: its tops are flat though below full scale"
            raise InputError.of("", f"{told}; lower the level at the source and record again")


def first_clip(x: NDArray[Any]) -> int | None:
    """The first of a run of samples at full scale; None where there is no such run."""
    full = np.abs(x) >= CLIP
    if not full.any() or np.abs(x).max() > 1.001:  # a float recording may go beyond, unclipped
        return None
    runs = np.logical_and.reduce([full[k : full.size - CLIPPED_RUN + 1 + k] for k in range(CLIPPED_RUN)])
    return int(np.argmax(runs)) if runs.any() else None


def flat_top(x: NDArray[Any], step: float) -> bool | None:
    """Whether tops are flat below full scale; None where the steps are too coarse to tell."""
    peak = float(np.abs(x).max())
    if peak * 1e-3 <= step:
        return None
    return bool(max(np.mean(x > 0.999 * peak), np.mean(x < -0.999 * peak)) > FLAT_TOP)


def refuse_notes(lines: Lines) -> None:
    """Refuse a recording in which something else than hum sounds, or whose gain was moved.

    Raises
    ------
    InputError
        With the reason, and where.
    """
    between = power_db(np.maximum(lines.between, 1e-300))
    step = _gain_step(between, power_db(np.maximum(lines.powers.sum(axis=1), 1e-300)))
    length = 1 / lines.spectra.step
    if step:
        at, size = step
        where = f"steps by {size:+.1f} dB at {at * length:.0f} s and the hum with it"
        raise InputError.of("", f"the noise between the lines {where}: the gain was changed while recording")
    rise = between - np.median(between)
    if rise.max() > NOTE_DB:
        when = int(np.argmax(rise)) * length
        told = f"between the lines the level rises by {rise.max():.0f} dB at {when:.0f} s, which hum does not"
        raise InputError.of("", f"{told}: a note or a knock; record without touching the strings, damped")
    hertz, ratio = lines.strangers
    if lines.found and power_db(ratio) > TONE_DB:
        told = f"a tone at {hertz:.1f} Hz stands {power_db(ratio):.0f} dB out and is no multiple of the mains"
        raise InputError.of("", f"{told} ({lines.mains:.2f} Hz): a string was sounding; damp the strings")


def _gain_step(between: NDArray[Any], hum: NDArray[Any]) -> tuple[int, float] | None:
    """Where floor and hum step together and stay, and by how much; None where they do not."""
    n = between.size
    best: tuple[int, float] | None = None
    for at in range(2, n - 1):
        sizes = [float(np.median(v[at:]) - np.median(v[:at])) for v in (between, hum)]
        inside = max(np.std(between[:at]), np.std(between[at:]))
        steady = abs(sizes[0] - sizes[1]) < 1.0 and inside < 0.5
        if steady and abs(sizes[0]) > max(STEP_DB, abs(best[1]) if best else 0.0):
            best = at, sizes[0]
    return best
