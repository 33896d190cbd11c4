"""Positions to listen to, one after the other: before soldering, and before and after a change."""

from __future__ import annotations

import io
import wave
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.sound import playing
from pickupcalc.answers.sound.rendering import render
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.limits import SOUND_SAMPLES
from pickupcalc.parts.performance import Performance, Record
from pickupcalc.physics.sound import loudness
from pickupcalc.tables import table
from pickupcalc.units import amplitude_db

PEAK = 0.5  # of full scale, -6 dB: room for a converter, and mercy for an ear
SILENT = 1e-9  # V: below the noise of any coil
BITS = (16, 24)
CAUTION = (
    "Start with the volume down, above all on headphones: levels here are relative, "
    "and two positions can differ by 20 dB."
)

Array = NDArray[Any]


@dataclass(frozen=True)
class Take:
    """One position of one instrument, under the name it is announced by."""

    label: str
    instrument: Instrument
    position: str


@dataclass(frozen=True)
class Segment:
    """One take as it is in the record.

    Attributes
    ----------
    label, position : str
    start, length : float
        Seconds.
    gain_db : float
        What was done to the voltage, relative to the loudest take at true level.
    loudness : float
        LUFS of the finished segment; -inf for silence.
    peak_volt : float
        Of the voltage at the amplifier, right within a factor of 3.
    hum_db : float or None
        Hum against signal, effective values over the first 0.4 s; None without hum.
    """

    label: str
    position: str
    start: float
    length: float
    gain_db: float
    loudness: float
    peak_volt: float
    hum_db: float | None

    def as_json(self) -> dict[str, Any]:
        return {
            "label": self.label,
            "position": self.position,
            "start_s": self.start,
            "length_s": self.length,
            "gain_db": self.gain_db,
            "loudness_lufs": self.loudness if np.isfinite(self.loudness) else None,
            "peak_v": self.peak_volt,
            "hum_db": self.hum_db,
        }


@dataclass(frozen=True)
class Listening:
    """Takes put one after the other.

    Attributes
    ----------
    samples : ndarray, shape (samples,)
        Full scale is 1; the highest peak is 0.5.
    rate : int
    segments : tuple of Segment
    assumed : tuple of str
    """

    samples: Array
    rate: int
    segments: tuple[Segment, ...]
    assumed: tuple[str, ...]

    def segment(self, index: int) -> Array:
        """The samples of one take alone."""
        s = self.segments[index]
        first = round(s.start * self.rate)
        return self.samples[first : first + round(s.length * self.rate)]

    def wav(self, bits: int = 24, index: int | None = None) -> bytes:
        """A WAV file's content, all takes or one of them.

        Raises
        ------
        InputError
            For other than 16 or 24 bits.
        """
        return wav_bytes(self.samples if index is None else self.segment(index), self.rate, bits)

    def as_json(self) -> dict[str, Any]:
        return {
            "rate_hz": self.rate,
            "segments": [s.as_json() for s in self.segments],
            "assumed": list(self.assumed),
            "caution": CAUTION,
        }

    def _repr_html_(self) -> str:
        from base64 import b64encode
        from html import escape

        content = (b64encode(self.wav(16, i)).decode() for i in range(len(self.segments)))
        players = (
            f"<figure style='margin:0'><figcaption>{escape(s.label)}</figcaption>"
            f"<audio controls preload='metadata' src='data:audio/wav;base64,{sound}'></audio></figure>"
            for s, sound in zip(self.segments, content, strict=True)
        )
        return f"<p>{CAUTION}</p><div style='display:flex;flex-wrap:wrap;gap:1em'>{''.join(players)}</div>"


def takes(instrument: Instrument, positions: Sequence[str] | None = None) -> list[Take]:
    """The positions named, or all of them, of one instrument."""
    names = [p.name for p in instrument.positions] if positions is None else positions
    return [Take(name, instrument, name) for name in names]


def before_and_after(
    before: Instrument, after: Instrument, positions: Sequence[str] | None = None
) -> list[Take]:
    """Each position before a change, and at once after it."""
    names = [p.name for p in before.positions] if positions is None else positions
    told = (("before", before), ("after", after))
    return [Take(f"{name}, {when}", which, name) for name in names for when, which in told]


def listen(
    chosen: Sequence[Take], performance: Performance | None = None, record: Record | None = None
) -> Listening:
    """Render takes through their circuits and put them one after the other.

    Parameters
    ----------
    chosen : sequence of Take
    performance : Performance, optional
        A strum over the open strings for 4 s, if left out.
    record : Record, optional

    Raises
    ------
    InputError
        For positions that are not there, and what `playing` refuses.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> heard = pc.listen(pc.takes(instrument, ["neck", "bridge"]), pc.Performance(seconds="1 s"))
    >>> [segment.label for segment in heard.segments]
    ['neck', 'bridge']
    """
    performance, record = performance or Performance(), record or Record()
    if not chosen:
        raise InputError.of("position", "is missing; name at least one")
    rate = round(record.rate.magnitude)
    gap = float(record.gap.magnitude)
    if len(chosen) * (float(performance.seconds.magnitude) + gap) * rate > SOUND_SAMPLES:
        most = SOUND_SAMPLES / rate / len(chosen) - gap
        raise InputError.of(
            "seconds", f"is too long for {len(chosen)} takes at that rate; at most {most:.0f} s"
        )
    signal, hum = _rendered(chosen, performance, record)
    both = signal + hum
    both[np.abs(both).max(axis=1) < SILENT] = 0.0  # else what rounding left would be made loud
    peaks = np.abs(both).max(axis=1)
    gains, loud = _levels(both, peaks, rate, record.level == "matched")
    length, gap = signal.shape[1], round(float(record.gap.magnitude) * rate)
    samples = np.zeros(len(chosen) * (length + gap) - gap)
    segments = []
    for i, take in enumerate(chosen):
        first = i * (length + gap)
        samples[first : first + length] = gains[i] * both[i]
        segments.append(
            Segment(
                label=take.label,
                position=take.position,
                start=first / rate,
                length=length / rate,
                gain_db=float(amplitude_db(gains[i] * peaks.max() / PEAK)) if peaks.max() > 0 else 0.0,
                loudness=float(loud[i]),
                peak_volt=float(peaks[i]),
                hum_db=_hum_db(signal[i], hum[i], rate) if record.hum else None,
            )
        )
    return Listening(samples, rate, tuple(segments), _assumed(chosen, record))


def _levels(volts: Array, peaks: Array, rate: int, matched: bool) -> tuple[Array, Array]:
    """Gain of each take, full scale per volt, and the loudness it then has, LUFS."""
    common = PEAK / peaks.max() if peaks.max() > 0 else 1.0
    loud = np.array([loudness.integrated(take * common, rate) for take in volts])
    gains = np.full(len(volts), common)
    heard = np.isfinite(loud)
    if matched and heard.any():
        gains[heard] *= 10 ** ((loud[heard].max() - loud[heard]) / 20)
        gains *= PEAK / (gains * peaks).max()
    return gains, loud + amplitude_db(gains / common)


def _rendered(chosen: Sequence[Take], performance: Performance, record: Record) -> tuple[Array, Array]:
    """Signal and hum of all takes; those of one instrument are rendered together."""
    out: dict[int, tuple[Array, Array]] = {}
    for instrument in {id(t.instrument): t.instrument for t in chosen}.values():
        rows = [i for i, t in enumerate(chosen) if t.instrument is instrument]
        where = [instrument.position(chosen[i].position) for i in rows]
        signal, hum = render(instrument, where, performance, record)
        out |= {i: (signal[k], hum[k]) for k, i in enumerate(rows)}
    pairs = [out[i] for i in range(len(chosen))]
    return np.stack([s for s, _ in pairs]), np.stack([h for _, h in pairs])


def _hum_db(signal: Array, hum: Array, rate: int) -> float | None:
    window = slice(0, round(0.4 * rate))
    power, other = np.mean(signal[window] ** 2), np.mean(hum[window] ** 2)
    return float(10 * np.log10(other / power)) if power > 0 and other > 0 else None


def _assumed(chosen: Sequence[Take], record: Record) -> tuple[str, ...]:
    told = dict.fromkeys(line for t in chosen for line in playing.assumed(t.instrument))
    if record.hum and record.room is None:
        told[f"a hum field of {table('hum')['usual']['field']}, alike at all pickups"] = None
    return tuple(told)


def wav_bytes(samples: Array, rate: int, bits: int = 24) -> bytes:
    """One channel as a WAV file of 16 or 24 bits; full scale is 1."""
    if bits not in BITS:
        raise InputError.of("bits", f"{bits} is not one of: {', '.join(map(str, BITS))}")
    whole = 2 ** (bits - 1) - 1
    numbers = np.rint(np.clip(samples, -1, 1) * whole).astype("<i4")
    octets = numbers.view(np.uint8).reshape(-1, 4)[:, : bits // 8]
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(bits // 8)
        file.setframerate(rate)
        file.writeframes(octets.tobytes())
    return out.getvalue()
