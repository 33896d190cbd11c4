import pytest

from pickupcalc.cli import main
from pickupcalc.instrument.jobfile import read_job

JOB = """format = 1
[instrument]
name = "x"  # kept
[[pickup]]
name = "neck"
resistance = "6.1 kohm"  # as on the card
inductance = "2 H"
capacitance = "110 pF"
"""


@pytest.fixture
def job(tmp_path):
    (tmp_path / "job.toml").write_text(JOB)
    return str(tmp_path / "job.toml")


def test_readings_go_in_and_stay_as_history(job, capsys):
    more = ["--temperature", "24 degC", "--meter", "bench meter", "--date", "2026-03-14"]
    assert main(["record", job, "--pickup", "neck", "--resistance", "6.2 kohm", *more]) == 0
    assert main(["record", job]) == 0
    out = capsys.readouterr().out
    assert "2026-03-14  neck  resistance  6.2 kohm  24 degC  bench meter" in out
    assert "earlier  neck  resistance  6.1 kohm" in out
    assert read_job(job).instrument.pickup("neck").resistance.m_as("kohm") == pytest.approx(6.2)


def test_a_parallel_reading_is_turned_into_the_inductance(job):
    assert main(["record", job, "--pickup", "neck", "--inductance", "41 H", "--mode", "parallel"]) == 0
    read = read_job(job)
    assert read.instrument.pickup("neck").inductance.m == pytest.approx(2.45, rel=0.03)
    assert "shown: 41 H at 100 Hz, parallel mode" in read.readings[-1].note


def test_a_low_series_reading_stays_as_it_is(job):
    assert main(["record", job, "--pickup", "neck", "--inductance", "2.41 H"]) == 0
    assert read_job(job).instrument.pickup("neck").inductance.m == pytest.approx(2.41)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--resistance", "6 kohm"], "--pickup: is missing"),
        (["--pickup", "middle", "--resistance", "6 kohm"], '"middle" is not one of: "neck"'),
        (["--pickup", "middle", "--inductance", "3 H", "--frequency", "1 kHz"], '"middle" is not one of'),
        (["--pickup", "neck", "--resistance", "6"], "no unit"),
        (["--pickup", "neck", "--resistance", "-6 ohm"], "must be above 0"),
        (["--pickup", "neck", "--inductance", "2 H", "--mode", "both"], "is not one of"),
        (["--pickup", "neck", "--resistance", "6 kohm", "--date", "yesterday"], "is not a date"),
    ],
)
def test_what_is_refused(job, capsys, arguments, told):
    assert main(["record", job, *arguments]) == 2
    out = capsys.readouterr()
    assert told in out.err
    assert not out.out
    assert read_job(job).readings == ()
