"""A WAV file: checked when it is opened, read by blocks, written in 16 or 24 bits.

Only plain linear PCM of 16, 24 or 32 bits and floats of 32 or 64 bits are
accepted. The header is trusted in nothing that the file's length contradicts.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pickupcalc import limits
from pickupcalc.errors import Fault, InputError

LOWEST_RATE, HIGHEST_RATE = 8_000, 768_000  # samples per second
MOST_CHANNELS = 8
_PCM, _FLOAT, _EXTENSIBLE = 1, 3, 0xFFFE


@dataclass(frozen=True)
class Recording:
    """A WAV file ready to be read.

    Attributes
    ----------
    path : Path
    rate : int
        Samples per second.
    channels, frames : int
    bits : int
    is_float : bool
    offset : int
        Where the samples start in the file, bytes.
    """

    path: Path
    rate: int
    channels: int
    frames: int
    bits: int
    is_float: bool
    offset: int

    @property
    def seconds(self) -> float:
        return self.frames / self.rate

    @property
    def step(self) -> float:
        """Smallest step between two samples, full scale being 1."""
        return 2.0 ** (1 - (24 if self.is_float else self.bits))

    def blocks(self, frames: int, first: int = 0, last: int | None = None) -> Iterator[NDArray[Any]]:
        """The samples piece by piece, full scale being 1.

        Parameters
        ----------
        frames : int
            Of a block; the last one may be shorter.
        first, last : int, optional
            Frames between which to read.

        Yields
        ------
        ndarray, shape (frames, channels)

        Raises
        ------
        InputError
            Where a sample is not a number.
        """
        width = self.bits // 8 * self.channels
        left = (self.frames if last is None else min(last, self.frames)) - first
        with self.path.open("rb") as file:
            file.seek(self.offset + first * width)
            while left > 0:
                raw = file.read(min(frames, left) * width)
                if len(raw) < width:
                    raise _refused(self.path, "became shorter while it was read")
                raw = raw[: len(raw) // width * width]
                left -= len(raw) // width
                yield self._decoded(raw).reshape(-1, self.channels)

    def samples(self, most_seconds: float = limits.SECONDS_AT_ONCE) -> NDArray[Any]:
        """All samples at once, shape (frames, channels).

        Raises
        ------
        InputError
            For a recording longer than `most_seconds`.
        """
        if self.seconds > most_seconds:
            told = f"lasts {self.seconds:.0f} s; at most {most_seconds:.0f} s are read at once; cut it"
            raise _refused(self.path, told)
        return np.concatenate(list(self.blocks(1 << 20)))

    def _decoded(self, raw: bytes) -> NDArray[Any]:
        if self.is_float:
            samples = np.frombuffer(raw, dtype=f"<f{self.bits // 8}").astype(float)
            if not np.all(np.isfinite(samples)):
                raise _refused(self.path, "holds samples that are not numbers (NaN); record again")
            return samples
        if self.bits == 24:
            padded = np.zeros((len(raw) // 3, 4), dtype=np.uint8)
            padded[:, 1:] = np.frombuffer(raw, dtype=np.uint8).reshape(-1, 3)
            return padded.view("<i4")[:, 0] * 2.0**-31
        return np.frombuffer(raw, dtype=f"<i{self.bits // 8}") * 2.0 ** (1 - self.bits)


def open_recording(path: str | Path) -> Recording:
    """Open a WAV file and check all of its header.

    Raises
    ------
    InputError
        One message that names the file, what is wrong and what is accepted.
    """
    path = Path(path)
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            return _opened(path, file, size)
    except OSError as error:
        raise _refused(path, f"cannot be read: {error.strerror or error}") from error


def write_recording(path: str | Path, samples: ArrayLike, rate: int, bits: int = 24) -> None:
    """Write samples of full scale 1, shape (frames,) or (frames, channels), as a WAV file.

    Raises
    ------
    InputError
        For samples beyond full scale or not finite, or other than 16 or 24 bits.
    """
    data = np.ascontiguousarray(samples, dtype=float)
    data = data[:, np.newaxis] if data.ndim == 1 else data
    if bits not in (16, 24):
        raise InputError.of("bits", f"{bits} is not one of: 16, 24")
    if not np.all(np.abs(data) <= 1):
        raise InputError.of("samples", "reach beyond full scale; lower the level")
    largest = 2 ** (bits - 1) - 1
    whole = np.clip(np.round(data * 2.0 ** (bits - 1)), -largest - 1, largest).astype("<i4")
    raw = (
        whole.astype("<i2").tobytes() if bits == 16 else whole.view(np.uint8).reshape(-1, 4)[:, :3].tobytes()
    )
    frame = data.shape[1] * bits // 8
    header = struct.pack("<4sI4s4sI", b"RIFF", 36 + len(raw), b"WAVE", b"fmt ", 16)
    header += struct.pack("<HHIIHH", _PCM, data.shape[1], rate, rate * frame, frame, bits)
    header += struct.pack("<4sI", b"data", len(raw))
    try:
        Path(path).write_bytes(header + raw + b"\0" * (len(raw) % 2))
    except OSError as error:
        raise _refused(Path(path), f"cannot be written: {error.strerror or error}") from error


def _refused(path: Path, message: str) -> InputError:
    return InputError(Fault("", message), str(path))


def _opened(path: Path, file: BinaryIO, size: int) -> Recording:
    start = file.read(12)
    if not start:
        raise _refused(path, "is empty")
    if len(start) < 12 or start[:4] != b"RIFF" or start[8:12] != b"WAVE":
        kind = " (RF64; save it shorter than 4 GB)" if start[:4] == b"RF64" else ""
        raise _refused(path, f"is not a WAV file{kind}; it begins with {start[:12]!r}, not RIFF and WAVE")
    form = None
    at = 12
    for _ in range(limits.HEADER_CHUNKS):
        file.seek(at)
        head = file.read(8)
        if len(head) < 8:
            raise _refused(path, "is cut off: the part with the samples is missing")
        name, length = struct.unpack("<4sI", head)
        if name == b"fmt ":
            form = _form(path, file.read(min(length, 40)))
        elif name == b"data":
            if form is None:
                raise _refused(path, "has samples before it says what they are; it is not a usable WAV file")
            return _checked(path, form, at + 8, length, size)
        at += 8 + length + length % 2
    raise _refused(path, "has no samples in it")


def _form(path: Path, head: bytes) -> tuple[int, int, int, bool]:
    """Channels, rate, bits, and whether the samples are floats."""
    if len(head) < 16:
        raise _refused(path, "is cut off within its header")
    kind, channels, rate, speed, frame, bits = struct.unpack("<HHIIHH", head[:16])
    if kind == _EXTENSIBLE and len(head) >= 26:
        kind = struct.unpack("<H", head[24:26])[0]
    if (kind, bits) == (_PCM, 8):
        told = "has 8 bits: a step of it is only 42 dB below full scale; record with 16 or 24 bits"
        raise _refused(path, told)
    if (kind, bits) not in ((_PCM, 16), (_PCM, 24), (_PCM, 32), (_FLOAT, 32), (_FLOAT, 64)):
        told = "linear PCM of 16, 24 or 32 bits or float of 32 or 64"
        raise _refused(path, f"holds samples of kind {kind} with {bits} bits; accepted are: {told}")
    if not 1 <= channels <= MOST_CHANNELS or frame != channels * bits // 8:
        told = (
            f"says it has {channels} channels in frames of {frame} bytes; accepted are 1 to {MOST_CHANNELS}"
        )
        raise _refused(path, told)
    if not LOWEST_RATE <= rate <= HIGHEST_RATE:
        told = f"says {rate} samples per second; accepted are {LOWEST_RATE} to {HIGHEST_RATE}"
        raise _refused(path, told)
    if speed != rate * frame:
        told = f"says {rate} samples and {speed} bytes per second, which contradict each other"
        raise _refused(path, f"{told}: its sample rate cannot be trusted")
    return channels, rate, bits, kind == _FLOAT


def _checked(path: Path, form: tuple[int, int, int, bool], offset: int, length: int, size: int) -> Recording:
    channels, rate, bits, is_float = form
    frame = channels * bits // 8
    there = size - offset
    if length > there:
        told = f"is cut off: its header promises {length} bytes of samples, {max(there, 0)} are there"
        raise _refused(path, f"{told}; record again, or save it anew with an audio editor")
    if length < frame:
        raise _refused(path, "has no samples in it")
    if length % frame:
        raise _refused(path, f"ends within a sample: {length} bytes are not whole frames of {frame} bytes")
    return Recording(path, rate, channels, length // frame, bits, is_float, offset)
