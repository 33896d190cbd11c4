"""How fast sweeps and hum recordings are read, against scipy.signal doing less of the same in one run.

python tests/benchmarks/bench_measure.py           sweep of 20 s, ten minutes of hum
python tests/benchmarks/bench_measure.py --hour    also one hour at 96 kHz: time, memory (700 MB of disk)
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import scipy.io.wavfile
import scipy.signal
from scipy.optimize import curve_fit

from pickupcalc.answers.measurement.hum_recording import hum_of
from pickupcalc.answers.measurement.impedance import measure
from pickupcalc.answers.measurement.rehearsal import hum_signal, sweep_recording
from pickupcalc.answers.measurement.sound_card import Bench
from pickupcalc.parts.recording import write_recording
from pickupcalc.physics.measuring.impedance import pickup_impedance

BENCH = Bench(resistor="10 kohm")
PARTS = (6100.0, 2.45, 110e-12, 1.2e6)


def timed(call: Callable[[], Any]) -> float:
    call()
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def scipy_sweep(path: Path) -> None:
    """H1 by averaged cross spectra, then the same four parts by curve_fit: no checks, no errors of points."""
    rate, samples = scipy.io.wavfile.read(path)
    p, r = samples.T / 32768
    f, cross = scipy.signal.csd(r, p, rate, nperseg=1 << 15)
    _, power = scipy.signal.welch(r, rate, nperseg=1 << 15)
    use = (f > 20) & (f < 20e3)
    z = 1e4 * cross[use] / power[use]

    def model(f: Any, *logs: float) -> Any:
        ln = np.log(pickup_impedance(2 * np.pi * f, *np.exp(logs)))
        return np.concatenate([ln.real, ln.imag])

    ln = np.log(z)
    curve_fit(model, f[use], np.concatenate([ln.real, ln.imag]), p0=np.log([6000, 2, 1e-10, 1e6]))


def scipy_hum(path: Path) -> None:
    """A Welch spectrum of the whole file: no lines, no checks, no intervals."""
    rate, samples = scipy.io.wavfile.read(path)
    scipy.signal.welch(samples[:, 0] / 32768, rate, nperseg=2 * rate)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        sweep = Path(folder) / "sweep.wav"
        write_recording(sweep, sweep_recording(PARTS, BENCH, seconds=20.0), 48_000, 16)
        ours, theirs = timed(lambda: measure(sweep, BENCH)), timed(lambda: scipy_sweep(sweep))
        print(f"sweep of 20 s, two channels, 48 kHz: {ours:.2f} s; scipy.signal and curve_fit {theirs:.2f} s "
              f"(ratio {ours / theirs:.2f})")  # fmt: skip
        hum = Path(folder) / "hum.wav"
        wave = hum_signal(0.02, seconds=60.0, noise=2e-4)
        write_recording(hum, np.stack([wave, wave], axis=1), 48_000, 16)
        ours = timed(lambda: [hum_of(hum) for _ in range(10)])
        theirs = timed(lambda: [scipy_hum(hum) for _ in range(10)])
        print(f"hum of ten one-minute stereo files: {ours:.2f} s; scipy.signal.welch alone {theirs:.2f} s "
              f"(ratio {ours / theirs:.2f})")  # fmt: skip
        if "--hour" in sys.argv:
            an_hour(Path(folder) / "hour.wav")


def an_hour(path: Path) -> None:
    """Sixty times the same minute, written as one file, read in a process of its own."""
    rate = 96_000
    minute = hum_signal(0.02, seconds=60.0, rate=rate, mains=50.0, noise=2e-4)
    write_recording(path, minute, rate, 16)
    raw = path.read_bytes()
    header, body = bytearray(raw[:44]), raw[44:]
    header[4:8] = (36 + 60 * len(body)).to_bytes(4, "little")
    header[40:44] = (60 * len(body)).to_bytes(4, "little")
    with path.open("wb") as out:
        out.write(header)
        for _ in range(60):
            out.write(body)
    start = time.perf_counter()
    # The peak of the process itself: what getrusage tells of a child includes its parent's.
    code = "import sys; from pickupcalc.cli import main; main(['hum', sys.argv[1]]); "
    code += "print(open('/proc/self/status').read())"
    done = subprocess.run([sys.executable, "-c", code, str(path)], check=True, capture_output=True, text=True)
    took = time.perf_counter() - start
    peak = int(done.stdout.split("VmHWM:")[1].split()[0]) / 1024
    print(f"one hour, 96 kHz, {path.stat().st_size / 1e6:.0f} MB: {took:.1f} s, {peak:.0f} MB of memory")


if __name__ == "__main__":
    main()
