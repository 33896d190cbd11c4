"""`pickupcalc plan` as a user meets it."""

from __future__ import annotations

import json

import pytest

from pickupcalc.cli import main
from tests.conftest import ROOT

BARITONE = str(ROOT / "data" / "baritone_5.toml")


def job(tmp_path, extra_a="", extra_b="", positions=""):
    part = 'resistance = "6 kohm"\ninductance = "2 H"\n'
    pickups = "".join(f'[[pickup]]\nname = "{n}"\n{part}{x}\n' for n, x in (("a", extra_a), ("b", extra_b)))
    path = tmp_path / "job.toml"
    path.write_text(f'format = 1\n[instrument]\nname = "x"\n{pickups}{positions}', encoding="utf-8")
    return str(path)


READ = 'magnet = "south"\ntap = "positive"'
BOTH = """[[position]]
name = "both"
wiring = { parallel = ["a", "b"] }
wanted = ["in phase", "hum-cancelling"]
"""


def test_json_is_the_contract(capsys):
    assert main(["plan", BARITONE, "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    first = document["plans"][0]
    assert first["changes"] == [
        {"pickup": "middle", "change": "reverse magnet"},
        {"pickup": "middle", "change": "swap leads"},
    ]
    assert first["met"] == ["2 neck and middle", "4 middle and bridge"]
    assert first["unmet"] == []
    assert first["effort"] > 0


def test_text_and_steps(capsys):
    assert main(["plan", BARITONE]) == 0
    out = capsys.readouterr().out
    assert "1. Reverse middle's magnet and swap its leads" in out
    assert "2 neck and middle: +0 dB now; after plan 1 half of such repairs stay below -38 dB" in out
    assert main(["plan", BARITONE, "--steps", "--number", "2"]) == 0
    assert "Work order: swap neck's leads" in capsys.readouterr().out
    assert main(["plan", BARITONE, "--steps", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["work_order"]["steps"]


def test_truth_tables(capsys):
    assert main(["plan", BARITONE, "--truth"]) == 0
    assert "4 middle and bridge: (middle | bridge)" in capsys.readouterr().out
    assert main(["plan", BARITONE, "--truth", "--json"]) == 0
    table = json.loads(capsys.readouterr().out)["truth"][1]
    assert (table["phase"], table["hum"]) == ("in phase", "not cancelling")


def test_saved_job_needs_nothing_more(capsys, tmp_path):
    after = tmp_path / "after.toml"
    assert main(["plan", BARITONE, "--save", str(after)]) == 0
    assert f"after plan 1 is written into {after}" in capsys.readouterr().out
    capsys.readouterr()
    assert main(["plan", str(after)]) == 0
    assert "1. Change nothing" in capsys.readouterr().out


@pytest.mark.parametrize("number", ["0", "99", "-1", "x"])
def test_a_plan_that_is_not_there_is_refused(capsys, number):
    assert main(["plan", BARITONE, f"--number={number}"]) == 2
    out, err = capsys.readouterr()
    assert out == "" and "not a whole number from 1 to 4" in err


def test_a_pickup_neither_measured_nor_described(capsys, tmp_path):
    path = job(tmp_path, READ, "", BOTH)
    assert main(["plan", path, "--json"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "neither measured nor described" in err and "tap b's poles" in err
    assert main(["sheet", path]) == 0
    assert "No plan yet" in capsys.readouterr().out


def test_observations_that_clash(capsys, tmp_path):
    heard = '[[observation]]\npickups = ["a", "b"]\nsound = "thin"\n'
    path = job(tmp_path, READ, READ, BOTH + heard)
    for command in ("plan", "sheet"):
        assert main([command, path]) == 2
        out, err = capsys.readouterr()
        assert out == ""
        assert "cannot all be true" in err and "a and b together sound thin" in err


def test_the_ear_instead_of_the_compass(capsys, tmp_path):
    heard = '[[observation]]\nposition = "both"\nsound = "thin"   # in the shop\nhum = "hums"\n'
    path = job(tmp_path, "", "", BOTH + heard)
    assert main(["plan", path, "--save", str(tmp_path / "after.toml")]) == 0
    assert "1. Swap a's leads" in capsys.readouterr().out
    saved = (tmp_path / "after.toml").read_text(encoding="utf-8")
    assert 'sound = "full"   # in the shop\nhum = "quiet"' in saved


def test_forbidden_and_impossible_are_told_in_words(capsys, tmp_path):
    stay = f"{READ}\nallowed = []"
    assert main(["plan", job(tmp_path, stay, stay, BOTH), "--json"]) == 0
    (only,) = json.loads(capsys.readouterr().out)["plans"]
    assert only["changes"] == [] and only["met"] == []
    assert "may not be swapped" in only["unmet"][0]["why"]
    alone = '[[position]]\nname = "a alone"\nwiring = "a"\nwanted = ["hum-cancelling"]\n'
    assert main(["plan", job(tmp_path, READ, READ, alone)]) == 0
    assert "one pickup alone has no other" in capsys.readouterr().out


def test_nothing_wanted(capsys, tmp_path):
    assert main(["plan", job(tmp_path)]) == 0
    assert "add wanted" in capsys.readouterr().out


def test_status_waits_for_no_reading_that_the_ear_replaced(capsys, tmp_path):
    assert main(["status", job(tmp_path, READ, "", BOTH)]) == 0
    assert "b: which pole faces the strings" in capsys.readouterr().out
    heard = '[[observation]]\npickups = ["a", "b"]\nsound = "thin"\nhum = "hums"\n'
    assert main(["status", job(tmp_path, READ, "", BOTH + heard)]) == 0
    assert "which pole" not in capsys.readouterr().out


def test_the_truth_is_told_where_too_little_is_known_for_a_plan(tmp_path, capsys):
    path = tmp_path / "job.toml"
    path.write_text((ROOT / "data/bass_12.toml").read_text().replace('tap = "positive"', ""))
    assert main(["plan", str(path), "--truth"]) == 0
    assert "Signal: unknown until more is observed." in capsys.readouterr().out
    assert main(["plan", str(path)]) == 2
    assert "to do next: tap neck's poles" in capsys.readouterr().err


def test_truth_and_steps_are_told_together(capsys):
    assert main(["plan", str(ROOT / "data/bass_12.toml"), "--truth", "--steps"]) == 0
    out = capsys.readouterr().out
    assert "all shares point the same way" in out and "Work order: swap bridge's leads" in out


@pytest.mark.parametrize(
    ("name", "number", "told"),
    [
        ("bass_12", "1", "bass_12.toml --steps"),
        ("bass_12", "2", "bass_12.toml --number 2 --steps"),
        ("twin_coil_31", "1", "only their order matters."),
    ],
)
def test_the_next_command_is_the_one_for_the_plan_asked_for(capsys, name, number, told):
    assert main(["plan", str(ROOT / f"data/{name}.toml"), "--number", number]) == 0
    assert capsys.readouterr().out.rstrip().endswith(told)
