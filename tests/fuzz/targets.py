"""What comes from outside, one function for each format, through the functions that the commands call.

Each gets a file and must end with a result or an InputError that names the file.
"""

from __future__ import annotations

import warnings
from pathlib import Path

import numpy as np

from pickupcalc.answers.coil.report import coil_report
from pickupcalc.answers.measurement.hum_recording import hum_of
from pickupcalc.answers.measurement.impedance import measure
from pickupcalc.answers.measurement.sound_card import Bench
from pickupcalc.answers.polarity.planner import plan
from pickupcalc.answers.positions import positions
from pickupcalc.answers.response import signal_emf
from pickupcalc.errors import InputError
from pickupcalc.instrument.coilfile import read_coil
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.instrument.jobfile import parse_job, read_job
from pickupcalc.instrument.netlist import spice_deck
from pickupcalc.instrument.readings import written
from pickupcalc.parts.recording import open_recording, write_recording
from pickupcalc.units import engineering, parse

UNITS = (
    "ohm", "farad", "henry", "meter", "hertz", "kelvin", "second", "tesla", "dimensionless",
    "farad/meter", "siemens/meter",
)  # fmt: skip
SLOWEST_RATE = 8_000  # samples per second, so that eight seconds are few


def job(path: Path) -> None:
    """A job file: read, written, read again."""
    import tomlkit

    found = read_job(path)
    for reading in found.readings:
        written(float(reading.value.m), "H")
    again = parse_job(tomlkit.dumps(found.document), path)
    assert repr(again.instrument) == repr(found.instrument)


def sheet(path: Path) -> None:
    """A job file, and what its instrument does."""
    instrument = read_job(path).instrument
    for answer in (positions, plan, _decks):
        try:
            answer(instrument)
        except InputError:
            continue  # an answer names the position or part, the command the file


def _decks(instrument: Instrument) -> None:
    for position in instrument.positions:
        spice_deck(circuit(instrument, position), signal_emf(instrument, position), position.name)


def coil(path: Path) -> None:
    """A coil's geometry, checked and completed."""
    found = read_coil(path)
    _ = found.packed, found.dc_resistance, found.own_capacitance, found.rods(), found.sheets()


def henries(path: Path) -> None:
    """A coil's geometry, and what it will measure."""
    coil_report(read_coil(path), ["100 Hz"])


def quantity(path: Path) -> None:
    """A quantity or letter code; the first letter chooses the dimension."""
    text = path.read_text(encoding="utf-8", errors="replace")
    unit = UNITS[ord(text[:1] or "a") % len(UNITS)]
    try:
        value = parse(text[1:], unit)
    except InputError as error:
        raise InputError(error.faults, str(path)) from None  # whoever reads a file adds its name
    engineering(value, "H")


def recording(path: Path) -> None:
    """A WAV file."""
    open_recording(path).samples()


def hum(path: Path) -> None:
    """Samples of 16 bits, repeated to eight seconds, as a recording of hum."""
    period = np.frombuffer(path.read_bytes()[: path.stat().st_size // 2 * 2] or b"\0\0", dtype="<i2")
    samples = np.resize(period, 8 * SLOWEST_RATE) / 2.0**15
    write_recording(path, samples, SLOWEST_RATE, 16)
    hum_of(path)


def curve(path: Path) -> None:
    """An impedance or a ratio as CSV or Touchstone, and the pickup behind it."""
    measure(path, Bench(resistor="10 kohm"))


TARGETS = {
    "job": (".toml", job),
    "sheet": (".toml", sheet),
    "coil": (".toml", coil),
    "henries": (".toml", henries),
    "quantity": (".txt", quantity),
    "recording": (".wav", recording),
    "hum": (".wav", hum),
    "table": (".csv", curve),
    "one_port": (".s1p", curve),
}


def drive(name: str, content: bytes, folder: Path) -> bool:
    """Whether a target accepts a content; anything but a result or an InputError is raised."""
    ending, target = TARGETS[name]
    path = folder / f"outside{ending}"
    path.write_bytes(content)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            target(path)
        except InputError as error:
            assert str(path) in str(error), f"does not name the file: {error}"
            return False
    return True
