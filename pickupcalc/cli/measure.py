"""A pickup's values from a recorded sweep, a CSV table or a Touchstone one-port.

First write a sweep to play: pickupcalc measure sweep.wav --make. Send it through
a known resistor (10 kohm serves most pickups) into the pickup, and record both
voltages in one file. Use a line or headphone output, turned down; a power
amplifier is not needed. Take headphones off before a sweep plays. Never connect
to the mains side of an amplifier; leave opened amplifiers to someone licensed
for them.
"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from pickupcalc.cli.common import add_json, as_json, day, listed, one_of, open_job, target
from pickupcalc.errors import InputError

if TYPE_CHECKING:
    from pickupcalc.answers.measurement.impedance import Measured
    from pickupcalc.answers.measurement.sound_card import Bench
    from pickupcalc.instrument.jobfile import Job

RATES = (44_100, 48_000, 88_200, 96_000, 176_400, 192_000)  # samples per second


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("sweep", metavar="SWEEP", help=".wav, .csv or .s1p; with --make the file to write")
    make = parser.add_argument_group("a sweep to play")
    make.add_argument("--make", action="store_true", help="write the sweep and do nothing else")
    make.add_argument("--length", default="20 s", metavar="TIME", help="of the sweep, 20 s if left out")
    make.add_argument("--level", default="-12", metavar="DB", help="peak below full scale, -12 if left out")
    make.add_argument("--rate", default="48000", metavar="N", help="samples per second, 48000 if left out")
    bench = parser.add_argument_group("how it was connected")
    bench.add_argument("--resistor", metavar="R", help='the known resistor, such as "10 kohm"')
    bench.add_argument("--resistor-tolerance", default="1 %", metavar="T", help="1 %% if left out")
    bench.add_argument(
        "--channels",
        default="pickup,resistor",
        help="what the two channels were across, of: pickup, resistor, both (pickup,resistor if left out)",
    )
    bench.add_argument("--input-resistance", metavar="R", help="of the channel across the pickup")
    bench.add_argument("--input-capacitance", metavar="C", help="the same, with its lead")
    bench.add_argument("--calibration", metavar="FILE", help="sweep with a resistor in the pickup's place")
    bench.add_argument("--calibration-resistor", metavar="R", help="that resistor")
    bench.add_argument("--field-coil", action="store_true", help="channels are jack and coil current")
    out = parser.add_argument_group("where it goes")
    out.add_argument("--csv", metavar="FILE", help="also write the curve")
    out.add_argument("--touchstone", metavar="FILE.s1p", help="also write it as a one-port")
    out.add_argument("--job", metavar="JOB", help="write the values into this job file, as measured")
    out.add_argument("--pickup", metavar="NAME", help="which pickup of the job file")
    out.add_argument("--position", metavar="NAME", help="with --field-coil: compare with this position")
    out.add_argument("--temperature", metavar="T", help="of the winding, for the job file")
    out.add_argument("--meter", default="sound card", help="for the job file, sound card if left out")
    out.add_argument("--date", help="for the job file, today if left out")
    add_json(parser)


def run(given: argparse.Namespace) -> str:
    if given.make:
        return _make(given)
    for option, ending in (("csv", ".csv"), ("touchstone", ".s1p")):
        if getattr(given, option):
            target(f"--{option}", getattr(given, option), ending, read=given.sweep)
    for option in ("pickup", "position"):
        if getattr(given, option) and not given.job:
            raise InputError.of(f"--{option}", "goes with --job, which has it")
    if given.field_coil:
        return _field(given)
    from pickupcalc.answers.measurement.impedance import measure
    from pickupcalc.answers.measurement.sound_card import calibrate

    bench = _bench(given)
    calibration = None
    if given.calibration:
        if bench is None or given.calibration_resistor is None:
            raise InputError.of("--calibration", "needs --resistor and --calibration-resistor too")
        calibration = calibrate(given.calibration, bench, given.calibration_resistor)
    if given.job and not given.pickup:
        raise InputError.of("--pickup", "is missing; the job file needs to know which pickup was measured")
    found = measure(given.sweep, bench, calibration)
    _write(given, found)
    return as_json(found.as_json()) if given.json else _text(found)


def _make(given: argparse.Namespace) -> str:
    from pickupcalc.parts.recording import write_recording
    from pickupcalc.physics.measuring.sweeps import exponential_sweep
    from pickupcalc.units import to_si

    if target("SWEEP", given.sweep, ".wav").exists():
        raise InputError.of("SWEEP", f'"{given.sweep}" is there already; nothing is written over it')
    seconds = to_si(given.length, "second", "--length")
    if not 1 <= seconds <= 120:
        raise InputError.of("--length", f'"{given.length}" is not from 1 s to 120 s')
    rate = int(one_of("--rate", given.rate, RATES))
    try:
        level = float(given.level)
    except ValueError:
        level = 1.0
    if not -60 <= level <= 0:
        raise InputError.of("--level", f'"{given.level}" is not a number of dB from -60 to 0')
    high = min(22e3, 0.45 * rate)
    sweep = exponential_sweep(seconds, rate, high=high, level=0.999 * 10 ** (level / 20))
    write_recording(given.sweep, sweep, rate, 24)
    return (
        f"{given.sweep}: 15 Hz to {high / 1000:.1f} kHz in {seconds:g} s, peak {level:g} dB.\n"
        "Take headphones off before it plays: a sweep is loud where the ear is most easily hurt."
    )


def _bench(given: argparse.Namespace) -> Bench | None:
    from pickupcalc.answers.measurement.sound_card import Bench
    from pickupcalc.units import to_si

    if given.resistor is None:
        return None
    return Bench(
        resistor=given.resistor,
        resistor_tolerance=to_si(given.resistor_tolerance, "dimensionless", "resistor_tolerance"),
        channels=tuple(listed(given.channels) or ()),
        input_resistance=given.input_resistance,
        input_capacitance=given.input_capacitance,
    )


def _text(found: Measured) -> str:
    from pickupcalc.units import engineering

    lines = []
    for name, figure in found.figures.items():
        lines.append(f"{name.replace('_', ' '):<16} {figure!s:<20} least sure of: {found.dominated_by[name]}")
    at = ", ".join(f"{engineering(h, 'H')} at {engineering(f, 'Hz', 2)}" for f, h in found.inductance_at)
    lines += [f"series inductance {at}", f"the fit leaves {100 * found.misfit:.2f} %"]
    if found.calibration:
        c = found.calibration
        lines.append(f"channels: gain ratio {c.gain:.4f}, delay {1e6 * c.delay:.2f} us, put right")
    return "\n".join(lines)


def _write(given: argparse.Namespace, found: Measured) -> None:
    from pickupcalc.parts.impedance_file import write_csv, write_touchstone

    job = _recorded(given, found) if given.job else None
    if given.csv:
        write_csv(given.csv, found.frequency.m, found.impedance)
    if given.touchstone:
        write_touchstone(given.touchstone, found.frequency.m, found.impedance)
    if job:
        job.save()


def _recorded(given: argparse.Namespace, found: Measured) -> Job:
    from pickupcalc.instrument.readings import OF_A_PICKUP, Reading, recorded

    common: dict[str, Any] = {"pickup": given.pickup, "date": day(given), "meter": given.meter}
    if given.temperature:
        common["temperature"] = given.temperature
    readings = [
        Reading(quantity=name, value=figure.value, note=f"±{100 * figure.fraction:.2g} %", **common)
        for name in OF_A_PICKUP
        if (figure := found.four[name]).measured
    ]
    return recorded(open_job(given.job), readings)


def _field(given: argparse.Namespace) -> str:
    from pickupcalc.answers.measurement.field_coil import field_response
    from pickupcalc.units import engineering

    instrument = open_job(given.job).instrument if given.job else None
    more = {"input_resistance": given.input_resistance} if given.input_resistance else {}
    found = field_response(given.sweep, instrument, given.position, **more)
    if given.json:
        return as_json(found.as_json())
    lines = ["no peak"]
    if found.peak_frequency is not None:
        lines = [f"peak {engineering(found.peak_frequency.m, 'Hz')}, {found.peak_height_db:+.1f} dB"]
    if found.off_db is not None:
        lines.append(f"off the prediction by {found.off_db:.2f} dB, 80 Hz to 10 kHz")
    return "\n".join(lines)
