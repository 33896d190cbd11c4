"""`pickupcalc pots` as it is typed."""

from __future__ import annotations

import json

import pytest

from pickupcalc.cli import main
from pickupcalc.instrument.jobfile import read_job
from tests.cli.test_cli import refused, run
from tests.conftest import ROOT

BASS = ROOT / "data" / "bass_12.toml"
QUICK = ("--position", "neck", "--samples", "40", "--top", "2")


@pytest.fixture
def job(tmp_path):
    path = tmp_path / "bass.toml"
    drawer = '\n[drawer]\ntracks = ["236 kohm", "251 kohm", "480 kohm"]\ncapacitors = ["21 nF"]\n'
    path.write_text(BASS.read_text(encoding="utf-8") + drawer, encoding="utf-8")
    return path


def asked(capsys, *arguments):
    assert main(["pots", *map(str, arguments), "--json"]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return json.loads(out)


def test_json(capsys):
    found = asked(capsys, BASS, "--height", "2", "4", *QUICK)
    assert found["format"] == 1 and found["positions"] == ["neck"] and found["considered"] == 49
    first = found["choices"][0]
    assert [p["control"] for p in first["parts"]] == ["neck volume", "tone"]
    assert set(first["parts"][0]) == {"control", "track_ohm", "resistor_across_ohm", "capacitor_f"}
    assert 0 <= first["chance"] <= 1 and first["miss_db"] == 0
    assert 0.02 <= first["chance_give_or_take"] < 0.2
    (neck,) = first["positions"]
    assert 2 <= neck["peak_height_db"] <= 4
    low, high = neck["height_between_db"]
    assert low < neck["peak_height_db"] < high
    low, high = neck["peak_between_hz"]
    assert low < neck["peak_frequency_hz"] < high
    assert set(neck["treble_db"]) == {"0.75", "0.5", "0.25"}
    assert asked(capsys, BASS, "--height", "2", "4", *QUICK) == found  # seeded


def test_text(capsys):
    assert main(["pots", str(BASS), "--flat", *QUICK]) == 0
    out = capsys.readouterr().out
    assert "parts for a maximally flat response" in out
    assert "of 100 instruments meet the aim" in out


def test_aims_are_joined(capsys):
    found = asked(capsys, BASS, "--match", "bridge", "--tone-down", "600 Hz", "--tracks", "250k", *QUICK)
    assert found["aim"] == 'the response of "bridge" and a peak at 600 Hz with the tone down'
    assert found["considered"] == 13  # one track, E6 capacitors


def test_keeping_the_peak_after_a_change(capsys, tmp_path):
    found = asked(capsys, BASS, "--keep", "--cable-length", "4.5 m", "--tracks", "250k, 500k, 1M", *QUICK)
    assert found["choices"][0]["miss_db"] > 1  # no pot brings the frequency back
    same = asked(capsys, BASS, "--keep", "--before", BASS, *QUICK)
    assert same["choices"][0]["miss_db"] == pytest.approx(0, abs=1e-9)
    added = asked(capsys, BASS, "--keep", "--add-tone", "22 nF", *QUICK)
    assert [p["control"] for p in added["choices"][0]["parts"]] == ["neck volume", "tone", "added tone"]


def test_the_drawer_and_saving(capsys, job):
    before = job.read_text(encoding="utf-8")
    found = asked(capsys, job, "--height", "2", "4", "--drawer", "--save", "2", *QUICK)
    saved = read_job(job).instrument
    assert [saved.controls[i].track.m for i in (0, 2)] == [
        p["track_ohm"] for p in found["choices"][1]["parts"]
    ]
    comments = [line.split("#", 1)[1] for line in before.splitlines() if "#" in line]
    assert all(comment in job.read_text(encoding="utf-8") for comment in comments)


def test_bypass_parts_are_saved_when_asked_for(capsys, job):
    found = asked(capsys, job, "--height", "2", "4", "--save", "1", "--with-bypass", *QUICK)
    bypass = read_job(job).instrument.controls[0].bypass
    assert bypass.capacitor.m == pytest.approx(found["choices"][0]["bypass"]["capacitor_f"])
    assert read_job(job).instrument.controls[1].bypass is None


def test_markings_of_the_drawer_are_told(capsys, job):
    marked = job.read_text("utf-8").replace('"236 kohm"', '{ marked = "250k", reads = "236 kohm" }')
    job.write_text(marked, encoding="utf-8")
    found = asked(capsys, job, "--flat", "--drawer", *QUICK)
    assert [m["control"] for m in found["markings"]] == ["neck volume", "tone"]
    assert all(m["marked_ohm"] == 250e3 and m["height_change_db"] < 0 for m in found["markings"])
    assert main(["pots", str(job), "--flat", "--drawer", *QUICK]) == 0
    assert "Marked 250 kΩ, reads 236 kΩ: as neck volume at neck" in capsys.readouterr().out


def test_nothing_is_saved_unless_asked_for(capsys, job):
    before = job.read_bytes()
    asked(capsys, job, "--flat", *QUICK)
    refused(capsys, "pots", job, "--flat", "--save", "9", *QUICK)
    assert job.read_bytes() == before


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ((), "what are the pots to do?"),
        (("--height", "4", "2"), "lower end first"),
        (("--height", "a", "2"), "--height"),
        (("--height", "nan", "2"), "height"),
        (("--flat", "--position", "middle"), '"middle" is not one of'),
        (("--flat", "--with-bypass"), "--with-bypass: goes with --save"),
        (("--flat", "--of", "x.toml"), "--of: goes with --match"),
        (("--match", "nowhere"), '"nowhere" is not one of'),
        (("--keep", "--before", "missing.toml"), "missing.toml: cannot be read"),
        (("--tone-down", "600"), "'600 Hz'"),
        (("--flat", "--tracks", "250"), "no unit"),
        (("--flat", "--tracks", ","), "empty"),
        (("--flat", "--tracks", "0k"), "above 0"),
        (("--flat", "--capacitors", "22k"), "capacitors"),
        (("--flat", "--drawer"), "holds 0 pots"),
        (("--flat", "--drawer", "--tracks", "250k"), "does not go with --drawer"),
        (("--flat", "--track-tolerance", "0"), "not between 0 and 100"),
        (("--flat", "--track-tolerance", "inf"), "not between 0 and 100"),
        (("--flat", "--samples", "0"), "samples"),
        (("--flat", "--top", "1000000000"), "top"),
        (("--flat", "--seed", "-1"), "seed"),
        (("--flat", "--within", "nan"), "within"),
        (("--flat", "--cable-length", "6"), "6 m"),
    ],
)
def test_refusals(capsys, arguments, told):
    assert told in refused(capsys, "pots", BASS, *arguments)


def test_a_process_prints_one_document():
    done = run("pots", BASS, "--flat", "--json", *QUICK)
    assert done.returncode == 0 and done.stderr == ""
    assert json.loads(done.stdout)["choices"]
