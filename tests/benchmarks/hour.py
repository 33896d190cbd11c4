"""The hum of an hour: sixty times the same minute, written as one file, read in a process of its own."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

from pickupcalc.answers.measurement.rehearsal import hum_signal
from pickupcalc.parts.recording import write_recording
from tests.benchmarks.frame import Figure, process

RATE = 96_000
HEADER = 44  # bytes


def figures() -> Iterator[Figure]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "hour.wav"
        write_recording(path, hum_signal(0.02, seconds=60.0, rate=RATE, mains=50.0, noise=2e-4), RATE, 16)
        raw = path.read_bytes()
        header, body = bytearray(raw[:HEADER]), raw[HEADER:]
        header[4:8] = (HEADER - 8 + 60 * len(body)).to_bytes(4, "little")
        header[HEADER - 4 : HEADER] = (60 * len(body)).to_bytes(4, "little")
        with path.open("wb") as out:
            out.write(header)
            for _ in range(60):
                out.write(body)
        size = path.stat().st_size / 1e6
        yield process(
            f"pickupcalc hum, one hour at 96 kHz, {size:.0f} MB", "-m", "pickupcalc", "hum", str(path)
        )
