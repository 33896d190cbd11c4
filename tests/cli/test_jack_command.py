import json
from pathlib import Path

import pytest

from pickupcalc.cli import main
from pickupcalc.cli.jack import symptom

BASS = str(Path(__file__).parents[2] / "data" / "bass_12.toml")


def test_the_table_is_printed(capsys):
    assert main(["jack", BASS]) == 0
    assert "5.93 kΩ  all up" in capsys.readouterr().out


def test_readings_are_ranked_as_json(capsys):
    read = ["--read", "neck: 5.7 kohm", "--read", "neck, tone = 0: 4.2 kohm", "--read", "touch: no"]
    assert main(["jack", BASS, *read, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["causes"][0]["cause"] == "tone: leaky capacitor"


@pytest.mark.parametrize(
    ("reading", "told"),
    [
        ("neck", "is not a reading"),
        ("neck: 6.1", "no unit"),
        ("touch: perhaps", "yes or no"),
        ("neck, tone: 6 kohm", '"neck, tone" is not one of'),
        ("middle: 6 kohm", "is not one of"),
        ("neck, treble = 0: 6 kohm", "is not one of the controls"),
        ("loud in neck: yes", "does not start with one of: touch, turn"),
        ("silent: yes", 'position: is missing; it is one of: "neck"'),
        ("silent in nec: yes", '--read "silent in nec: yes", position: "nec" is not one of'),
    ],
)
def test_bad_readings_are_refused(capsys, reading, told):
    assert main(["jack", BASS, "--read", reading]) == 2
    out = capsys.readouterr()
    assert told in out.err
    assert not out.out


def test_the_only_position_need_not_be_named(capsys):
    lap = str(Path(BASS).with_name("lap_7.toml"))
    assert main(["jack", lap, "--read", "silent: yes"]) == 0
    assert "lead to the jack open" in capsys.readouterr().out


def test_the_table_for_controls_turned_part_way(capsys):
    assert main(["jack", BASS, "--set", "neck volume = 0.5"]) == 0
    assert "218 kΩ  neck volume 0.5" in capsys.readouterr().out


@pytest.mark.parametrize("turned", ["tone", "tone = half", "treble = 1", "tone = 2"])
def test_a_control_that_is_none_is_refused(capsys, turned):
    assert main(["jack", BASS, "--set", turned]) == 2
    assert not capsys.readouterr().out


def test_a_comma_in_a_position_is_no_control():
    read = symptom("neck, coils in series, tone = 0, volume = 0.5: 7.3 kohm")
    assert (read.position, read.settings) == ("neck, coils in series", {"tone": 0.0, "volume": 0.5})
    assert symptom("thin in neck, coils in series: no").position == "neck, coils in series"
