"""Rendered audio taken apart again by scipy: every partial at the level its own formula gives it.

The formulas are typed out here: Fletcher's partials, the triangle's Fourier coefficients, the response of
the position from `pickupcalc.response` (itself checked against ngspice).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import get_window

import pickupcalc as pc
from pickupcalc.answers.sound import playing
from pickupcalc.answers.sound.listening import listen, takes
from pickupcalc.answers.sound.rendering import render
from pickupcalc.parts.performance import Performance, Record
from pickupcalc.parts.sensing import Pluck
from pickupcalc.physics.sound import sensor
from pickupcalc.units import quantity
from tests.conftest import ROOT

SUBJECT = "strings and sound"
RATE = 48_000
STRAIGHT = Pluck(angle="0 deg", distance_from_bridge="110 mm", width="0 mm")


@pytest.fixture(scope="module")
def bass():
    return pc.read_job(ROOT / "data" / "bass_12.toml").instrument


def predicted(instrument, position, fret, count):
    """Frequency and amplitude in V of each partial of the lowest string, straight from the formulas."""
    length, n = 0.812 / 2 ** (fret / 12), np.arange(1, count + 1)
    moving = playing.vibration(instrument, 0, fret=fret, pluck=STRAIGHT, partials=count)
    tension = 4 * length**2 * moving.fundamental**2 * moving.wire.mass
    b = np.pi**2 * moving.wire.rigidity / (tension * length**2)
    f = n * moving.fundamental * np.sqrt((1 + b * n**2) / (1 + b))
    beta = 0.110 / length
    a = 2 * 2e-3 * np.sin(n * np.pi * beta) / (np.pi**2 * n**2 * beta * (1 - beta)) / (1 + b * n**2)
    volts = 0
    for name, at in (("neck", 0.158), ("bridge", 0.066)):
        if name not in instrument.position(position).wiring.pickups():
            continue
        pickup = instrument.pickup(name)
        slope = sensor.slopes(playing.pole_of(instrument, pickup))[1] * moving.wire.magnetic_area
        half = n * np.pi * 0.018 / (2 * length)
        seen = a * np.sin(n * np.pi * at / length) * np.sin(half) / half
        other = tuple(replace(p, sensitivity=float(p is pickup)) for p in instrument.pickups)
        gain = pc.response(replace(instrument, pickups=other), position, quantity(f, "hertz")).voltage
        volts = volts + 2 * np.pi * f * slope * seen * gain
    return f, np.abs(volts), moving.decays[:count]


@pytest.mark.parametrize(("position", "fret"), [("neck", 0), ("both", 0), ("both", 7), ("bridge", 12)])
def test_every_partial_comes_back(bass, position, fret, outside):
    performance = Performance(scene="note", fret=fret, seconds="2 s", pluck=STRAIGHT)
    sound = render(bass, [bass.position(position)], performance, Record(), partials=40)[0][0]
    f, amplitude, decay = predicted(bass, position, fret, 40)
    start, count = 2400, 48_000
    window = get_window("hann", count)
    t = (start + np.arange(count)) / RATE
    waves = np.exp(-2j * np.pi * np.outer(f, t))
    found = np.abs(waves @ (window * sound[start : start + count])) * 2 / window.sum()
    expected = (np.exp(-np.outer(decay, t)) @ window) / window.sum() * amplitude
    loud = expected > 1e-3 * expected.max()
    assert loud.sum() >= 10
    outside(
        "level of each partial in rendered audio",
        source="formulas of the partials, audio taken apart by scipy.signal",
        status="another method",
        ours=20 * np.log10(found[loud]),
        theirs=20 * np.log10(expected[loud]),
        db=1.5e-3,
        unit="dB V",
    )


@pytest.mark.parametrize("rate", ["8 kHz", "22.05 kHz"])
def test_nothing_but_partials_is_there(bass, rate, outside):
    """Alias-free: with the known partials fitted and taken away, only rounding is left."""
    record = Record(rate=rate)
    hertz = float(record.rate.m)
    performance = Performance(scene="note", string=4, fret=12, seconds="0.5 s", pluck=STRAIGHT)
    sound = render(bass, [bass.position("neck")], performance, record)[0][0]
    moving = playing.vibration(bass, 3, fret=12, pluck=STRAIGHT)
    kept = (moving.frequencies < hertz / 2) & ~moving.sideways
    part = slice(round(0.01 * hertz), round(0.4 * hertz))
    t = np.arange(sound.size)[part] / hertz
    waves = np.exp(np.outer(t, 2j * np.pi * moving.frequencies[kept] - moving.decays[kept]))
    basis = np.concatenate([waves.real, waves.imag], axis=1)
    rest = sound[part] - basis @ np.linalg.lstsq(basis, sound[part], rcond=None)[0]
    outside(
        "what is left of rendered audio without its partials",
        source="least squares by numpy",
        status="another method",
        ours=np.linalg.norm(rest),
        theirs=0.0,
        rtol=1e-11,
        of=np.linalg.norm(sound[part]),
        unit="V",
    )


def test_the_bent_flux_folds_nothing_back(bass, outside):
    """One partial at 1500 Hz sampled at 8 kHz: its third harmonic at 4500 Hz would fold to 3500 Hz."""
    high = replace(bass, strings=(pc.String(note="1500 Hz", gauge="0.3 mm"),))
    performance = Performance(scene="note", seconds="0.5 s", pluck=STRAIGHT)
    record = Record(rate="8 kHz", distortion=True)
    sound = render(high, [high.position("neck")], performance, record, partials=1)[0][0]
    window = np.hanning(2048)
    level = 20 * np.log10(np.abs(np.fft.rfft(sound[800:2848] * window)))
    at = {f: level[round(f * 2048 / 8000) + np.arange(-3, 4)].max() for f in (1500, 3000, 3500)}
    transform = {"source": "transform by numpy", "status": "another method", "unit": "dB"}
    outside("second harmonic of a bent flux", ours=at[3000] - at[1500], between=(-60, -10), **transform)
    outside(
        "alias of the third harmonic of a bent flux",
        ours=at[3500] - at[1500],
        between=(None, -120),
        **transform,
    )


def test_bending_adds_high_partials(bass, outside):
    """Their abstract: nonlinearity enhances the high-frequency content."""
    hard = Performance(
        scene="note",
        seconds="1 s",
        pluck=Pluck(height="1.9 mm", angle="0 deg", distance_from_bridge="110 mm"),
    )
    straight, bent = (
        render(bass, [bass.position("neck")], hard, Record(distortion=d))[0][0] for d in (False, True)
    )

    def high(x):
        power = np.abs(np.fft.rfft(x * np.hanning(x.size))) ** 2
        hertz = np.fft.rfftfreq(x.size, 1 / RATE)
        return power[hertz > 300].sum() / power[hertz <= 300].sum()

    outside(
        "share of high partials, flux bent against straight",
        source="M. Mustonen, D. Kartofelev, A. Stulov, V. Valimaki, ISMA 2014 (abstract)",
        status="published",
        ours=high(bent) / high(straight),
        between=(1.1, None),
    )


def test_rendered_loudness_differs_as_predicted(bass, outside):
    """BS.1770 of the audio against the loudness worked out from the partials, between positions."""
    performance = Performance(scene="note", seconds="0.4 s", pluck=STRAIGHT)
    heard = listen(takes(bass), performance, Record(level="true"))
    one = replace(bass, strings=bass.strings[:1])
    told = [pc.sound(one, p.name, pluck=STRAIGHT, spread=False).loudness_db for p in bass.positions]
    measured = [s.loudness for s in heard.segments]
    outside(
        "difference in loudness between positions, from the partials",
        source="ITU-R BS.1770-4, of the rendered audio",
        status="another method",
        ours=np.diff(told),
        theirs=np.diff(measured),
        db=0.1,
        unit="dB",
    )
