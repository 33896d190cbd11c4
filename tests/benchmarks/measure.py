"""Sweeps and hum recordings, beside scipy.signal doing less of the same."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
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
from tests.benchmarks.frame import FEWER, Figure, Peer, best, growth, timed

BENCH = Bench(resistor="10 kohm")
PARTS = (6100.0, 2.45, 110e-12, 1.2e6)


def figures() -> Iterator[Figure]:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)

        def swept(seconds: int) -> Any:
            path = folder / f"sweep_{seconds}.wav"
            write_recording(path, sweep_recording(PARTS, BENCH, seconds=float(seconds)), 48_000, 16)
            return lambda: measure(path, BENCH)

        def hummed(seconds: int) -> Any:
            path = folder / f"hum_{seconds}.wav"
            wave = hum_signal(0.02, seconds=float(seconds), noise=2e-4)
            write_recording(path, np.stack([wave, wave], axis=1), 48_000, 16)
            return lambda: hum_of(path)

        grows = growth("seconds", (5, 10, 20, 40), swept)
        peer = Peer("csd, welch, curve_fit", best(lambda: _scipy_sweep(folder / "sweep_20.wav"), 2))
        yield timed(
            "sweep of 20 s to impedance and fit", swept(20), limit=2.0, peer=peer, growth=grows, repeats=FEWER
        )
        grows = growth("seconds", (15, 30, 60, 120), hummed)
        once = hummed(60)
        peer = Peer("scipy.signal.welch", best(lambda: _ten(lambda: _scipy_hum(folder / "hum_60.wav")), 2))
        yield timed(
            "hum of ten one-minute recordings",
            lambda: _ten(once),
            limit=3.0,
            peer=peer,
            growth=grows,
            repeats=FEWER,
        )


def _ten(step: Any) -> None:
    for _ in range(10):
        step()


def _scipy_sweep(path: Path) -> None:
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


def _scipy_hum(path: Path) -> None:
    """A Welch spectrum of the whole file: no lines, no checks, no intervals."""
    rate, samples = scipy.io.wavfile.read(path)
    scipy.signal.welch(samples[:, 0] / 32768, rate, nperseg=2 * rate)
