import json

import numpy as np
import pytest

from pickupcalc.cli import main
from pickupcalc.instrument.jobfile import read_job
from pickupcalc.parts.recording import write_recording

RATE = 8000
JOB = """format = 1
[instrument]
name = "x"  # kept
[[pickup]]
name = "neck"
resistance = "6 kohm"
inductance = "2 H"
"""


@pytest.fixture
def files(tmp_path):
    t = np.arange(8 * RATE) / RATE
    for seed, (name, level) in enumerate((("before", 0.02), ("after", 0.002))):
        x = level * np.sin(2 * np.pi * 50 * t) + 1e-4 * np.random.default_rng(seed).normal(size=t.size)
        write_recording(tmp_path / f"{name}.wav", x, RATE)
    return [str(tmp_path / f"{name}.wav") for name in ("before", "after")]


def test_a_pair_as_json(files, capsys):
    assert main(["hum", *files, "--json"]) == 0
    (pair,) = json.loads(capsys.readouterr().out)["pairs"]
    assert pair["change"]["db"] == pytest.approx(-20, abs=0.2)
    assert pair["before"]["mains_hz"] == pytest.approx(50, abs=0.01)


def test_a_pair_in_words(files, capsys):
    assert main(["hum", *files, "--position", "neck"]) == 0
    assert "Position neck: hum -20.0 dB" in capsys.readouterr().out


def test_one_recording_is_only_looked_at(files, capsys):
    assert main(["hum", files[0]]) == 0
    assert "loudest: 50 Hz" in capsys.readouterr().out


def test_the_change_goes_into_the_job_file(files, tmp_path):
    (tmp_path / "job.toml").write_text(JOB)
    more = ["--position", "neck", "--job", str(tmp_path / "job.toml"), "--date", "2026-03-14"]
    assert main(["hum", *files, *more]) == 0
    (reading,) = read_job(tmp_path / "job.toml").readings
    assert reading.value.m == pytest.approx(-20, abs=0.2)
    assert "# kept" in (tmp_path / "job.toml").read_text()


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (["x.wav"], "are no pairs"),
        (["--position", "a", "--position", "b"], "2 names for 1"),
        (["--channel", "0"], "is not a whole number from 1 to 8"),
        (["--channel", "2"], "is not one of the file's"),
        (["--channel", "left"], "is not a whole number"),
        (["--seconds", "20"], "no unit"),
        (["--job", "x.toml"], "--job: needs a pair of recordings and its --position"),
    ],
)
def test_what_is_refused(files, capsys, more, told):
    assert main(["hum", *files, *more]) == 2
    out = capsys.readouterr()
    assert told in out.err
    assert not out.out


def test_text_named_wav_is_refused(tmp_path, capsys):
    (tmp_path / "a.wav").write_text("not a recording")
    assert main(["hum", str(tmp_path / "a.wav")]) == 2
    assert "is not a WAV file" in capsys.readouterr().err
