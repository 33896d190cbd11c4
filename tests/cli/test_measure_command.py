import json

import pytest

from pickupcalc.answers.measurement.rehearsal import sweep_recording
from pickupcalc.answers.measurement.sound_card import Bench
from pickupcalc.cli import main
from pickupcalc.instrument.jobfile import read_job
from pickupcalc.parts.recording import open_recording, write_recording
from tests.conftest import ROOT

PARTS = (6100.0, 2.45, 110e-12, 1.2e6)
JOB = """format = 1
[instrument]
name = "x"  # kept
[[pickup]]
name = "neck"
resistance = "5.9 kohm"
inductance = "2 H"
"""


def bench_of(tolerance=0.01, resistor="10 kohm", **more):
    return Bench(resistor=resistor, resistor_tolerance=tolerance, **more)


@pytest.fixture
def files(tmp_path):
    bench = bench_of()
    for name, parts in (("sweep", PARTS), ("known", (10e3,))):
        samples = sweep_recording(parts, bench, seconds=2.0, gain=1.03)
        write_recording(tmp_path / f"{name}.wav", samples, 48_000)
    (tmp_path / "job.toml").write_text(JOB)
    return tmp_path


@pytest.fixture
def calibrated(files):
    known = ["--calibration", str(files / "known.wav"), "--calibration-resistor", "10 kohm"]
    return [str(files / "sweep.wav"), "--resistor", "10 kohm", *known]


def test_a_sweep_is_made(tmp_path, capsys):
    path = tmp_path / "play.wav"
    assert main(["measure", str(path), "--make", "--length", "2 s", "--level", "-20"]) == 0
    assert "headphones off" in capsys.readouterr().out
    made = open_recording(path)
    assert made.seconds == pytest.approx(3.0)
    assert abs(made.samples()).max() == pytest.approx(0.1, rel=0.01)


def test_a_sweep_is_measured_as_json(calibrated, capsys):
    assert main(["measure", *calibrated, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["inductance_h"] == pytest.approx(2.45, rel=5e-3)
    assert found["capacitance_f"] == pytest.approx(110e-12, rel=2e-2)
    assert len(found["frequencies_hz"]) == len(found["impedance_ohm"]) == len(found["coherence"])


def test_it_is_told_in_words(calibrated, capsys):
    assert main(["measure", *calibrated]) == 0
    out = capsys.readouterr().out
    assert "inductance       2.45 H" in out
    assert "gain ratio 1.03" in out


def test_it_goes_into_the_job_file(files, calibrated):
    more = ["--job", str(files / "job.toml"), "--pickup", "neck", "--temperature", "19 degC"]
    assert main(["measure", *calibrated, *more, "--date", "2026-03-14"]) == 0
    job = read_job(files / "job.toml")
    neck = job.instrument.pickup("neck")
    assert neck.inductance.m == pytest.approx(2.45, rel=5e-3)
    assert neck.resistance_temperature.m == pytest.approx(292.15)
    assert {r.quantity for r in job.readings} >= {"resistance", "inductance", "capacitance"}
    assert any(r.note == "the value before" for r in job.readings)
    assert "# kept" in (files / "job.toml").read_text()


def test_the_curve_is_written_and_measured_again(files, calibrated, capsys):
    pytest.importorskip("skrf")
    curve, port = str(files / "z.csv"), str(files / "z.s1p")
    assert main(["measure", *calibrated, "--csv", curve, "--touchstone", port]) == 0
    capsys.readouterr()
    for path in (curve, port):
        assert main(["measure", path, "--json"]) == 0
        assert json.loads(capsys.readouterr().out)["inductance_h"] == pytest.approx(2.45, rel=5e-3)


def test_a_field_coil_recording_has_a_peak(files, capsys):
    assert main(["measure", str(files / "sweep.wav"), "--field-coil", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["off_prediction_db"] is None


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["sweep.wav"], "--resistor: is missing"),
        ([str(ROOT / "data/recordings/sweep_12_neck.csv")], "--resistor: is missing"),  # it holds a ratio
        (["sweep.wav", "--resistor", "10"], "no unit"),
        (["sweep.wav", "--resistor", "0 ohm"], "must be above 0"),
        (["sweep.wav", "--resistor", "10k", "--channels", "pickup,pickup"], "two different"),
        (["sweep.wav", "--resistor", "10k", "--channels", "left,right"], "two different"),
        (["sweep.wav", "--resistor", "10k", "--calibration", "known.wav"], "--calibration-resistor too"),
        (["sweep.wav", "--resistor", "10k", "--job", "job.toml"], "--pickup: is missing"),
        (["sweep.wav", "--resistor", "10k", "--job", "job.toml", "--pickup", "middle"], "is not one of"),
        (["job.toml", "--resistor", "10k"], "is not a WAV file"),
        (["none.wav", "--resistor", "10k"], "cannot be read"),
        (["play.wav", "--make", "--level", "3"], "from -60 to 0"),
        (["play.wav", "--make", "--rate", "1000"], "is not one of"),
        (["play.wav", "--make", "--length", "1 h"], "--length"),
        (["job.toml", "--make"], "must end in one of: .wav"),
        (["sweep.wav", "--make"], "is there already"),
        (["curve.csv", "--csv", "./curve.csv"], "is what is read"),
        (["sweep.wav", "--resistor", "10k", "--csv", "job.toml"], "must end in one of: .csv"),
        (["sweep.wav", "--resistor", "10k", "--touchstone", "job.toml"], "must end in one of: .s1p"),
    ],
)
def test_what_is_refused(files, capsys, monkeypatch, arguments, told):
    monkeypatch.chdir(files)
    assert main(["measure", *arguments]) == 2
    out = capsys.readouterr()
    assert told in out.err
    assert not out.out
    assert "Traceback" not in out.err
