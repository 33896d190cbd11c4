"""A job from its first question to its last mark."""

from __future__ import annotations

import io
import json

import pytest

from pickupcalc.cli import main
from pickupcalc.instrument.jobfile import read_job
from tests.conftest import ROOT

ANSWERS = [
    "Stock no. 40",
    "",
    "2",
    "",
    "6.1 kohm",
    "2,4 H",
    "north",
    "",
    "",
    "7k",
    "3 H",
    "south",
    "positive",
    "",
    "none",
    "",
]


@pytest.fixture
def new(tmp_path, monkeypatch, capsys):
    """Runs `new` with answers; gives its exit status and what it said."""

    def run(answers):
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{a}\n" for a in answers)))
        status = main(["new", str(tmp_path / "job")])
        return status, *capsys.readouterr()

    return run


def test_the_file_that_new_writes_is_a_job(new, tmp_path, capsys):
    status, out, _ = new(ANSWERS)
    assert status == 0
    assert "job.toml is there" in out
    instrument = read_job(tmp_path / "job").instrument
    assert [p.name for p in instrument.pickups] == ["neck", "bridge"]
    assert [p.name for p in instrument.positions] == ["neck", "bridge", "all together"]
    assert [c.kind for c in instrument.controls] == ["volume"]
    assert (tmp_path / "job" / "recordings").is_dir()
    assert main(["sheet", str(tmp_path / "job"), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["positions"][2]["phase"] == "unknown"


def test_a_wrong_answer_is_explained_and_asked_again(new):
    answers = [*ANSWERS[:4], "6.1", "-6.1 kohm", "banana", *ANSWERS[4:]]
    status, _, err = new(answers)
    assert status == 0
    assert err.count("neck: resistance, such as") == 4
    assert "has no unit; write '6.1 kohm'" in err


@pytest.mark.parametrize("count", [0, 3, 9])
def test_answers_that_end_early_write_nothing(new, tmp_path, count):
    status, out, err = new(ANSWERS[:count])
    assert status == 2
    assert out == ""
    assert "nothing was written" in err
    assert not (tmp_path / "job").exists()


def test_a_job_that_is_there_is_left_alone(new, tmp_path):
    new(ANSWERS)
    before = (tmp_path / "job" / "job.toml").read_text()
    status, _, err = new(["another", *ANSWERS[1:]])
    assert status == 2
    assert "has a job file already" in err
    assert (tmp_path / "job" / "job.toml").read_text() == before


def test_names_cannot_break_the_file(new, tmp_path):
    status, _, _ = new(['"]\\ x = 1 # "', *ANSWERS[1:3], '"neck"', *ANSWERS[4:]])
    assert status == 0
    assert read_job(tmp_path / "job").instrument.about.name == '"]\\ x = 1 # "'


def mark(folder, capsys, *arguments):
    status = main(["status", str(folder), *arguments])
    return status, *capsys.readouterr()


def test_stages_come_in_order(new, tmp_path, capsys):
    new(ANSWERS)
    folder = tmp_path / "job"
    assert "started\n  - neck: which way" in mark(folder, capsys)[1]
    status, out, err = mark(folder, capsys, "--mark", "planned")
    assert (status, out) == (2, "")
    assert "waits for readings" in err
    path = folder / "job.toml"
    path.write_text(path.read_text().replace('# tap = "positive"', 'tap = "negative"'))
    assert ": measured" in mark(folder, capsys)[1]
    assert "comes after" in mark(folder, capsys, "--mark", "done")[2]
    assert "not one of" in mark(folder, capsys, "--mark", "finished")[2]
    for stage in ("planned", "done", "proven"):
        assert f": {stage} since" in mark(folder, capsys, "--mark", stage)[1]
    found = json.loads(mark(folder, capsys, "--json")[1])
    assert found["stage"] == "proven"
    assert found["missing"] == []
    assert "# ohmmeter, nothing else connected" in path.read_text()


@pytest.mark.parametrize("bad", ['"soon"', "5", "true"])
def test_dates_are_dates(job_file, capsys, bad):
    path = job_file(("[load]", f"[progress]\nplanned = {bad}\n\n[load]"))
    status, _, err = mark(path, capsys)
    assert status == 2
    assert "progress, planned" in err


def test_what_is_computed_counts_as_not_measured(tmp_path, capsys):
    path = tmp_path / "lap.toml"
    path.write_text((ROOT / "data" / "lap_7.toml").read_text(encoding="utf-8"), encoding="utf-8")
    assert main(["status", str(path)]) == 0
    said = capsys.readouterr().out
    assert "started" in said and "only: measure resistance and inductance" in said
    assert main(["status", str(path), "--mark", "planned"]) == 0  # it can be planned before it is wound
