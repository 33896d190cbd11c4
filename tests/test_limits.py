"""What is far too large is refused before memory is spent on it, and the message names the limit."""

from __future__ import annotations

import contextlib
import struct
import tracemalloc
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

import pickupcalc as pc
from pickupcalc import limits
from pickupcalc.answers.coil.sweep import variants
from pickupcalc.answers.hum.left import hum_left
from pickupcalc.answers.measurement.capacitors import capacitor_plan
from pickupcalc.answers.measurement.rehearsal import hum_signal, sweep_recording
from pickupcalc.answers.measurement.sound_card import Bench
from pickupcalc.answers.polarity.apprentice import State, pair_sound
from pickupcalc.answers.pots.candidates import made
from pickupcalc.answers.pots.ranking import Study
from pickupcalc.answers.tolerance import draw, uncertain_inputs
from pickupcalc.cli import main
from pickupcalc.errors import InputError
from pickupcalc.instrument.coilfile import read_coil
from pickupcalc.instrument.instrument import Position
from pickupcalc.instrument.jobfile import read_job
from pickupcalc.instrument.wiring import Leaf, Reversed, Series
from pickupcalc.parts.recording import open_recording
from pickupcalc.units import quantity, to_si
from tests.conftest import DEMOS, ROOT

GIGABYTE = 10**9
MILLION = 10**6
BASS = str(ROOT / "data" / "bass_12.toml")
LITTLE = 3_000_000  # bytes that a refusal may take; importing a module on the way takes most of them


@contextlib.contextmanager
def little_memory() -> Iterator[None]:
    tracemalloc.start()
    try:
        yield
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < LITTLE


@pytest.fixture(scope="module")
def bass():
    return read_job(BASS).instrument


def sparse(path: Path, start: bytes = b"") -> Path:
    """A file of a gigabyte that takes no room on the disk."""
    with path.open("wb") as out:
        out.write(start)
        out.truncate(GIGABYTE)
    return path


@pytest.mark.parametrize(
    ("command", "name", "limit"),
    [
        ("sheet", "job.toml", limits.JOB_BYTES),
        ("coil", "coil.toml", limits.JOB_BYTES),
        ("measure", "curve.csv", limits.CURVE_BYTES),
        ("measure", "curve.s1p", limits.CURVE_BYTES),
    ],
)
def test_a_file_of_a_gigabyte(tmp_path, capsys, command, name, limit):
    small = tmp_path / f"small_{name}"
    small.write_text("nothing of the kind")
    assert main([command, str(small)]) == 2  # everything is imported now
    path = sparse(tmp_path / name)
    with little_memory():
        assert main([command, str(path)]) == 2
    assert f"{path}: has {GIGABYTE} bytes; at most {limit} are read" in capsys.readouterr().err


def test_a_file_that_never_ends():
    with little_memory(), pytest.raises(InputError, match=f"more than {limits.JOB_BYTES} bytes"):
        limits.read_text(Path("/dev/zero"))


def test_a_table_of_too_many_lines(tmp_path, capsys):
    (tmp_path / "a.csv").write_text("f_hz,z_ohm,phase_deg\n" + "1,1,1\n" * (limits.CURVE_POINTS + 1))
    assert main(["measure", str(tmp_path / "a.csv")]) == 2
    assert f"at most {limits.CURVE_POINTS} are taken" in capsys.readouterr().err


def wav_header(length: int) -> bytes:
    form = struct.pack("<HHIIHH", 1, 2, 48_000, 192_000, 4, 16)
    return b"RIFF\0\0\0\0WAVEfmt \x10\0\0\0" + form + b"data" + struct.pack("<I", length)


def test_a_recording_that_claims_a_gigabyte(tmp_path):
    (tmp_path / "a.wav").write_bytes(wav_header(GIGABYTE) + bytes(400))
    with little_memory(), pytest.raises(InputError, match=f"promises {GIGABYTE} bytes of samples, 400 are"):
        open_recording(tmp_path / "a.wav")


def test_a_sweep_of_a_gigabyte(tmp_path):
    path = sparse(tmp_path / "a.wav", wav_header(GIGABYTE - 44))
    with contextlib.suppress(InputError):
        pc.measure(path, Bench(resistor="10 kohm"))  # everything is imported now
    with little_memory(), pytest.raises(InputError, match=r"at most 600 s are read at once"):
        pc.measure(path, Bench(resistor="10 kohm"))


def nested(depth: int):
    wiring = Leaf("neck")
    for _ in range(depth):
        wiring = Reversed(wiring)
    return wiring


@pytest.mark.parametrize(
    ("wiring", "told"),
    [
        ({"series": ["neck"] * MILLION}, f"at most {limits.PICKUPS}"),
        (Series((Leaf("neck"),) * MILLION), f"at most {limits.PICKUPS}"),
        (nested(MILLION), f"deeper than {limits.NESTED}"),
        (Series((nested(40), Leaf("bridge"))), f"deeper than {limits.NESTED}"),
        (Series((Leaf("neck"), Leaf("neck"))), "names neck twice"),
    ],
    ids=["listed", "made", "deep", "deep inside", "twice"],
)
def test_a_position_of_a_million_nodes(wiring, told):
    with little_memory(), pytest.raises(InputError, match=told):
        Position(name="all", wiring=wiring)


def test_an_instrument_of_too_many_parts(bass):
    with pytest.raises(InputError, match=f"at most {limits.PICKUPS}"):
        pc.Instrument(bass.about, bass.pickups * 20)
    with pytest.raises(InputError, match=f"has 300 positions; at most {limits.LIST}"):
        pc.Instrument(bass.about, bass.pickups, positions=bass.positions * 100)


@pytest.mark.parametrize(
    ("key", "entry"),
    [(k, f"[[{k}]]\n") for k in ("pickup", "control", "position", "observation")] + [("", "x{} = 1\n")],
)
def test_a_job_file_of_too_many_entries(tmp_path, key, entry):
    (tmp_path / "job.toml").write_text("format = 1\n" + "".join(entry.format(i) for i in range(5_000)))
    with pytest.raises(InputError, match=f"{key}.*at most"):
        read_job(tmp_path / "job.toml")


def test_many_faults_make_a_short_message(tmp_path):
    (tmp_path / "job.toml").write_text("format = 1\n" + "[[reading]]\n" * 5_000)
    with pytest.raises(InputError) as caught:
        read_job(tmp_path / "job.toml")
    assert len(str(caught.value)) < 3_000
    assert str(caught.value).endswith("more")


def test_control_characters_do_not_reach_the_terminal(tmp_path):
    (tmp_path / "job.toml").write_text('format = "\\u001b[2J\\u202e"\n')
    with pytest.raises(InputError) as caught:
        read_job(tmp_path / "job.toml")
    assert "\x1b" not in str(caught.value) and "\u202e" not in str(caught.value)


BILLION = 10**9
ONES = np.broadcast_to(1.0, BILLION)  # a billion numbers in the room of one
COIL = ROOT / "data" / "coils" / "bobbin_7.toml"
PICKUP = {"name": "neck", "resistance": "6 kohm", "inductance": "2 H"}
ASKED_FOR_TOO_MUCH = {
    "samples of a study": lambda i: Study(samples=BILLION),
    "samples of a scatter": lambda i: pc.scatter(i, i.positions[0].name, samples=BILLION),
    "samples of a draw": lambda i: draw(i, uncertain_inputs(i, i.positions[0]), BILLION),
    "frequencies of a response": lambda i: pc.response(i, i.positions[0].name, quantity(ONES, "hertz")),
    "frequencies of a coil": lambda i: pc.coil_report(read_coil(COIL), quantity(ONES[:MILLION], "hertz")),
    "values of a quantity": lambda i: to_si(quantity(ONES, "ohm"), "ohm"),
    "sets of a part": lambda i: pc.Pickup(**PICKUP | {"resistance": quantity(ONES[:MILLION], "ohm")}),
    "sets of a number": lambda i: pc.Pickup(**PICKUP, sensitivity=ONES[:MILLION]),
    "sets times frequencies": lambda i: pc.response(
        pc.Instrument(i.about, (pc.Pickup(**PICKUP | {"resistance": quantity(ONES[:90_000], "ohm")}),)),
        "neck",
        quantity(ONES[:90_000], "hertz"),
    ),
    "tracks and capacitors": lambda i: made(
        i, i.positions, tracks=["250k"] * 1000, capacitors=["22n"] * 1000
    ),
    "capacitors of a plan": lambda i: capacitor_plan("2 H", "100 pF", count=6, series="E192"),
    "variants of a coil": lambda i: variants(
        read_coil(COIL), {"turns": range(1000), "height": ["9 mm"] * 1000}
    ),
    "seconds of two states": lambda i: pair_sound(State("north", "clockwise", "start"), seconds=1e9),
    "seconds of hum": lambda i: hum_left(i, i.positions[0].name).sound(1e9, volt_at_full_scale=1.0),
    "seconds of invented hum": lambda i: hum_signal(0.1, seconds=1e9),
    "seconds of an invented sweep": lambda i: sweep_recording([6e3], Bench(resistor="10k"), seconds=1e9),
    "takes to listen to": lambda i: pc.listen(pc.takes(i) * 1000),
    "frets of a map": lambda i: pc.fret_map(i, i.positions[0].name, frets=BILLION),
    "partials of a sound": lambda i: pc.sound(i, i.positions[0].name, partials=BILLION),
}  # fmt: skip


@pytest.mark.parametrize("asked", ASKED_FOR_TOO_MUCH)
def test_a_billion_of_anything(bass, asked):
    with contextlib.suppress(InputError):
        ASKED_FOR_TOO_MUCH[asked](bass)  # what is computed once, and imported, is there now
    with little_memory(), pytest.raises(InputError, match=r"at most|from \d+ to \d+|above 200,000|1 to"):
        ASKED_FOR_TOO_MUCH[asked](bass)


@pytest.mark.parametrize(
    "arguments",
    [
        ["pots", BASS, "--flat", "--samples", "1000000000"],
        ["pots", BASS, "--flat", "--samples", "9" * 5000],
        ["pots", BASS, "--flat", "--top", "1000000000"],
        ["netlist", BASS, "--position", "both", "--points", "1000000000"],
        ["netlist", BASS, "--position", "both", "--points", "9" * 5000],
        ["plan", BASS, "--number", "9" * 5000],
        ["hum", "a.wav", "--channel", "9" * 5000],
        ["listen", BASS, "--seconds", "1000000 s"],
        ["listen", BASS, "--rate", "1 GHz"],
        ["listen", BASS, "--gap", "1000000 s"],
        ["listen", BASS, "--fret", "9" * 5000],
        ["measure", "a.wav", "--make", "--length", "1000000 s"],
        ["response", BASS, "--position", "both", "--frequencies", "1 Hz," * 120_000],
    ],
    ids=lambda a: f"{a[0]} {a[-2]} {a[-1][:12]}",
)
def test_options_of_commands(capsys, arguments):
    assert main(arguments) == 2
    out, err = capsys.readouterr()
    assert out == "" and len(err) < 3_000


@pytest.mark.parametrize("value", [10**20, 10**400, -(10**20)])
@pytest.mark.parametrize("key", ["sensitivity", "hum_sensitivity"])
def test_whole_numbers_beyond_any_float(key, value):
    with pytest.raises(InputError, match=key):
        pc.Pickup(**PICKUP, **{key: value * 10**12})


@pytest.mark.parametrize("value", [0, 11, -1, "0", "11", "x", "", "²", "٣", "1e1", 1.5, True, None, "9" * 99])
def test_what_is_no_whole_number_in_range(value):
    with pytest.raises(InputError, match="is not a whole number from 1 to 10"):
        limits.whole("n", value, 1, 10)


def test_whole_numbers():
    for value in ("10", 10, np.int64(10)):
        assert limits.whole("n", value, 1, 10) == 10


def test_the_demos_are_far_below_every_limit():
    for path in DEMOS:
        instrument = read_job(path).instrument
        assert path.stat().st_size < limits.JOB_BYTES / 20
        assert 4 * len(instrument.pickups) < limits.PICKUPS
        assert 4 * max(len(instrument.positions), len(instrument.controls)) < limits.LIST
