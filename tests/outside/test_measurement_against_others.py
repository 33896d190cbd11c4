"""Measurements against sources outside the project."""

from __future__ import annotations

import subprocess
from pathlib import Path

import numpy as np
import pytest
import scipy.signal

from pickupcalc.answers.measurement.capacitors import from_peaks
from pickupcalc.answers.measurement.from_meter import from_meter
from pickupcalc.answers.measurement.hum_recording import hum_of
from pickupcalc.answers.measurement.impedance import measure
from pickupcalc.answers.measurement.meter import MeterReading
from pickupcalc.answers.measurement.sound_card import Bench, calibrate
from pickupcalc.parts.impedance_file import read_touchstone, write_touchstone
from pickupcalc.parts.recording import write_recording
from pickupcalc.physics.measuring.fit import fit_pickup
from pickupcalc.physics.measuring.impedance import pickup_impedance
from pickupcalc.physics.measuring.sweeps import exponential_sweep, ratio_of, trimmed

from .spice import needs_ngspice

SUBJECT = "measuring"
RATE = 48_000
RESISTOR = 10e3

# The pickup under test, with iron, as a netlist; values invented.
DECK = """* a pickup behind a resistor
V1 in 0 ac 1
R1 in top {resistor}
R2 top a {r}
L1 a b {l}
L2 b 0 {l2}
R3 b 0 {r2}
C1 top 0 {c}
R4 top 0 {loss}
.ac lin {points} {low} {high}
.control
set numdgt=15
set wr_singlescale
run
wrdata out.txt v(top) v(in)
.endc
.end
"""


def bench_of(tolerance=0.01, resistor="10 kohm", **more):
    return Bench(resistor=resistor, resistor_tolerance=tolerance, **more)


def spice_voltages(folder: Path, hertz: np.ndarray, parts: tuple[float, ...]) -> np.ndarray:
    """Voltage across the pickup for 1 V in front of the resistor, from ngspice at these frequencies."""
    r, henry, c, loss, l2, r2 = (*parts, 1e-9, 1.0)[:6] if len(parts) == 4 else parts
    deck = DECK.format(
        resistor=RESISTOR, r=r, l=henry, l2=l2, r2=r2, c=c, loss=loss,
        points=hertz.size, low=repr(float(hertz[0])), high=repr(float(hertz[-1])),
    )  # fmt: skip
    (folder / "deck.cir").write_text(deck)
    subprocess.run(["ngspice", "-b", "deck.cir"], cwd=folder, capture_output=True, timeout=120, check=False)
    table = np.loadtxt(folder / "out.txt")
    np.testing.assert_allclose(table[:, 0], hertz, rtol=1e-9)
    return table[:, 1] + 1j * table[:, 2]


@needs_ngspice
@pytest.mark.parametrize(
    "parts", [(6100.0, 2.45, 110e-12, 1.2e6), (7400.0, 2.6, 105e-12, 8e5, 1.0, 6e4)], ids=["plain", "iron"]
)
def test_the_fit_returns_what_ngspice_was_given_in_95_of_100_seeds(tmp_path, parts, outside):
    """A sweep through ngspice's pickup, with noise, 16-bit steps and mains added."""
    played = exponential_sweep(1.0, RATE, level=0.5, high=21.6e3)
    spectrum = np.fft.rfft(played)
    hertz = np.fft.rfftfreq(played.size, 1 / RATE)
    across = spice_voltages(tmp_path, hertz[1:], parts)
    pickup = np.fft.irfft(np.concatenate([[0], spectrum[1:] * across]), played.size)
    resistor = np.fft.irfft(np.concatenate([[0], spectrum[1:] * (1 - across)]), played.size)
    t = np.arange(played.size) / RATE
    inside = 0
    for seed in range(100):
        rng = np.random.default_rng(seed)
        net = 49.9 + 0.2 * rng.random()
        mains = 0.02 * sum(np.sin(2 * np.pi * k * net * t + k) / k for k in (1, 2, 3, 5))
        channels = np.stack([pickup + mains, resistor], axis=1) + 2e-4 * rng.normal(size=(t.size, 2))
        recorded = np.round(channels * 2**15) / 2**15
        part, faded = trimmed(recorded, RATE)
        ratio = ratio_of(*part.T, RATE, 20.0, 20e3, faded)
        fit = fit_pickup(ratio.frequency, RESISTOR * ratio.value, ratio.deviation)
        assert fit.values.size == len(parts)
        off = np.abs(np.log(fit.values / np.array(parts)))
        inside += bool(np.all(off < fit.factor * fit.deviation))
    outside(
        "fits of noisy sweeps that hold the true values in their 95 % limits, of 100",
        source="ngspice",
        status="another program",
        ours=inside,
        between=(95, None),
    )


@needs_ngspice
def test_impedance_agrees_with_ngspice(tmp_path, outside):
    parts = (7400.0, 2.6, 105e-12, 8e5, 1.0, 6e4)
    hertz = np.linspace(100.0, 20e3, 200)
    across = spice_voltages(tmp_path, hertz, parts)
    expected = RESISTOR * across / (1 - across)
    outside(
        "impedance of a pickup with iron",
        source="ngspice",
        status="another program",
        ours=pickup_impedance(2 * np.pi * hertz, *parts),
        theirs=expected,
        rtol=1e-12,
        unit="ohm",
    )


def test_lines_of_known_level_from_scipy(tmp_path, outside):
    """A square wave of scipy.signal: odd harmonics of amplitude 4 a / (pi k), any table of Fourier series."""
    wave = {"source": "square wave of scipy.signal", "status": "another program"}
    rate, amplitude = 48_000, 0.01
    t = np.arange(12 * rate) / rate
    smooth = scipy.signal.resample_poly(
        scipy.signal.square(2 * np.pi * 60.0 * np.arange(12 * rate * 8) / (8 * rate)), 1, 8
    )
    noise = 1e-5 * np.random.default_rng(1).normal(size=t.size)
    write_recording(tmp_path / "square.wav", amplitude * smooth + noise, rate)
    found = hum_of(tmp_path / "square.wav")
    outside("mains frequency of a recording", ours=found.mains.m, theirs=60.0, rtol=4e-6, unit="Hz", **wave)
    for line in found.lines:
        k = round(float(line.frequency.m) / 60)
        if k % 2:
            level = 20 * np.log10(4 * amplitude / (np.pi * k))
            outside(
                "lines of hum in a recording", ours=line.level_db, theirs=level, db=0.04, unit="dB", **wave
            )


def test_a_published_pickup_is_fitted_as_published(outside):
    """Measurements at the jack of a two-pickup guitar.

    |Z| of the bridge pickup in ohm, 10 Hz to 22 kHz over a reference of 9980 ohm. Their
    L from a meter's frequencies: 2.85 H at 120 Hz; |Z| at most 73.08 kohm, at 4230 Hz. A
    four-part fit of the whole curve by other means gave 8.6 kohm, 3.36 H, 451 pF, 88.3 kohm.
    """
    hertz = np.array([100, 500, 1000, 2000, 3000, 4000, 5000, 7000, 10000, 15000, 20000.0])
    size = np.array([7943, 12655, 21290, 41337, 61805, 72749, 69449, 51533, 34610, 22263, 16492.0])

    def off(logs):
        return np.log(np.abs(pickup_impedance(2 * np.pi * hertz, *np.exp(logs))) / size)

    from scipy.optimize import least_squares

    # Only magnitudes were printed; the phase of our fit's curve completes them for ours.
    phaseless = least_squares(off, np.log([8000.0, 3.0, 400e-12, 9e4]), method="lm")
    z = size * np.exp(1j * np.angle(pickup_impedance(2 * np.pi * hertz, *np.exp(phaseless.x))))
    fit = fit_pickup(hertz, z)
    aalborg = {"source": "J. Buchholdt et al., Aalborg University (2017)", "status": "published"}
    outside(
        "inductance, capacitance and losses fitted to a measured pickup",
        ours=fit.values[1:4] * [1, 1e12, 1e-3],
        theirs=[3.358, 451, 88.3],
        rtol=0.1,
        unit="(H, pF or kohm)",
        source="another fit, to the sweep of J. Buchholdt et al. (2017)",
        status="another method",
    )
    fine = np.linspace(3e3, 6e3, 3001)
    curve = np.abs(fit.impedance(2 * np.pi * fine))
    highest, at = curve.max() / 1e3, fine[np.argmax(curve)]
    outside(
        "highest impedance of a measured pickup, from its fit",
        ours=highest,
        theirs=73.08,
        rtol=8e-3,
        unit="kohm",
        **aalborg,
    )
    outside(
        "frequency of the highest impedance, from the fit",
        ours=at,
        theirs=4230,
        rtol=0.02,
        unit="Hz",
        **aalborg,
    )


ZOLLNER = {"source": "M. Zollner, Physik der Elektrogitarre, p. 5-111, fig. 5.9.26", "status": "published"}


def test_added_capacitors_of_a_published_coil(outside):
    """R = 4420 ohm, L = 1.125 H, C = 43 pF.

    Peaks with 330, 700 and 1030 pF: 7.7, 5.5 and 4.6 kHz, printed to two digits.
    """
    found = from_peaks(
        ["330 pF", "700 pF", "1030 pF"], ["7.7 kHz", "5.5 kHz", "4.6 kHz"], peak_tolerance=0.013
    )
    inductance, capacitance = found.inductance, found.capacitance
    assert abs(inductance.value.m / 1.125 - 1) < inductance.fraction
    assert abs(np.log(capacitance.value.m / 43e-12)) < capacitance.fraction
    henry, picofarad = inductance.value.m, capacitance.value.m * 1e12
    outside("inductance from three printed peaks", ours=henry, theirs=1.125, rtol=0.05, unit="H", **ZOLLNER)
    outside(
        "own capacitance from three printed peaks", ours=picofarad, theirs=43, rtol=0.4, unit="pF", **ZOLLNER
    )
    exact = [1 / (2 * np.pi * np.sqrt(1.125 * (43e-12 + c * 1e-12))) for c in (330, 700, 1030)]
    outside(
        "peaks with capacitors across, from the printed values",
        ours=exact,
        theirs=[7700, 5500, 4600],
        rtol=0.015,
        unit="Hz",
        **ZOLLNER,
    )


def test_a_meter_reading_of_a_published_corner(outside):
    """The same coil: omega L = R at 625 Hz (printed), so a meter there shows Q = 1."""
    shown = MeterReading(frequency="625 Hz", inductance="1.125 H", q=1.0, tolerance=0.002)
    found = from_meter([shown], "4420 ohm", capacitance="43 pF")
    henry, fraction = found.inductance.value.m, found.inductance.fraction
    assert abs(henry / 1.125 - 1) < fraction < 0.03
    outside(
        "inductance from a printed corner frequency", ours=henry, theirs=1.125, rtol=0.03, unit="H", **ZOLLNER
    )


SCIKIT_RF = {"source": "scikit-rf", "status": "another program", "unit": "ohm"}


def test_a_one_port_written_here_is_read_by_scikit_rf(tmp_path, outside):
    skrf = pytest.importorskip("skrf")
    hertz = np.geomspace(20, 20e3, 50)
    z = pickup_impedance(2 * np.pi * hertz, 6100, 2.45, 110e-12, 1.2e6)
    write_touchstone(tmp_path / "pickup.s1p", hertz, z)
    network = skrf.Network(str(tmp_path / "pickup.s1p"))
    np.testing.assert_allclose(network.f, hertz, rtol=1e-9)
    outside(
        "impedance file written here, read by scikit-rf",
        ours=z,
        theirs=network.z[:, 0, 0],
        rtol=1e-7,
        **SCIKIT_RF,
    )
    again = read_touchstone(tmp_path / "pickup.s1p")
    np.testing.assert_allclose(again.value, z, rtol=1e-5)


def test_a_one_port_of_scikit_rf_is_measured_here(tmp_path, outside):
    """The pickup built by scikit-rf's own media: a lossy coil across a capacitor, written in kHz and RI."""
    skrf = pytest.importorskip("skrf")
    frequency = skrf.Frequency(0.05, 20, 200, unit="khz", sweep_type="log")
    media = skrf.media.DefinedGammaZ0(frequency, z0=1e4)
    coil = media.resistor(6100) ** media.inductor(2.45) ** media.short()
    network = media.shunt_capacitor(110e-12) ** media.shunt(media.resistor(1.2e6) ** media.short()) ** coil
    network.write_touchstone("pickup", dir=str(tmp_path), form="ri")
    found = measure(tmp_path / "pickup.s1p")
    for name, true in zip(
        ("resistance", "inductance", "capacitance", "loss_resistance"),
        (6100, 2.45, 110e-12, 1.2e6),
        strict=True,
    ):
        found_value = found.figures[name].value.m
        outside(
            "a pickup's values from an impedance file",
            ours=found_value,
            theirs=true,
            rtol=1e-11,
            **SCIKIT_RF,
        )


def test_a_calibrated_resistor_reads_as_scipy_makes_it(tmp_path, outside):
    """Gain and delay made by scipy: a fractional delay by an all-pass of long windowed sinc."""
    sweep = exponential_sweep(2.0, RATE, level=0.3)
    taps, shift = 255, 0.4
    n = np.arange(taps) - taps // 2 - shift
    delayed = scipy.signal.fftconvolve(sweep, np.sinc(n) * scipy.signal.windows.kaiser(taps, 8), mode="same")
    samples = np.stack([1.05 * delayed, sweep], axis=1)
    samples += 1e-5 * np.random.default_rng(1).normal(size=samples.shape)
    write_recording(tmp_path / "known.wav", samples, RATE)
    found = calibrate(tmp_path / "known.wav", bench_of(), "10 kohm")
    made = {"source": "delay made by scipy.signal", "status": "another program"}
    outside("gain between two channels", ours=found.gain, theirs=1.05, rtol=1e-4, **made)
    delay = found.delay * RATE
    outside("delay between two channels, of a sample", ours=delay, theirs=shift, rtol=5e-6, of=1.0, **made)
