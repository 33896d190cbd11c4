"""`pickupcalc coil`: output, pictures, refusals."""

from __future__ import annotations

import json

import pytest

from pickupcalc.cli import main

FILE = """\
# Invented for a test.
shape = "racetrack"
straight = "55 mm"
inner_radius = "2.5 mm"
height = "11 mm"
build = "3.2 mm"
turns = 7900
wire = { awg = 42 }
poles = { count = 6, diameter = "4.8 mm", length = "17 mm", pitch = "10.4 mm", material = "alnico 5" }
"""


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "coil.toml"
    path.write_text(FILE)
    return path


def test_json(file, capsys):
    assert main(["coil", str(file), "--json", "--frequencies", "100 Hz, 1 kHz"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["frequencies_hz"] == [100.0, 1000.0]
    assert document["inductance_h"] == pytest.approx(2.32, abs=0.02)


def test_text_and_pictures(file, tmp_path, capsys):
    plot, drawing = tmp_path / "plot.svg", tmp_path / "drawing.png"
    assert main(["coil", str(file), "--plot", str(plot), "--drawing", str(drawing)]) == 0
    out = capsys.readouterr().out
    assert "Computed from geometry, not measured" in out
    assert "inductance with its metal" in out
    assert plot.read_text().lstrip().startswith("<?xml")
    assert drawing.stat().st_size > 5000


def test_coil_of_a_job_file(file, tmp_path, capsys):
    job = tmp_path / "job.toml"
    job.write_text('format = 1\n[[pickup]]\nname = "neck"\n[pickup.coil]\n' + FILE)
    assert main(["coil", str(job), "--json"]) == 0
    capsys.readouterr()
    assert main(["coil", str(job), "--pickup", "bridge"]) == 2
    assert "neck" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"11 mm"', '"0 mm"', "height"),
        ("7900", "1000000", "turns"),
        ('"10.4 mm"', '"3 mm"', "overlap"),
        ("7900", '"many"', "turns"),
        ("wire", "wires", "wires"),
        ('build = "3.2 mm"', "build = 3.2", "build"),
    ],
)
def test_refusals(file, capsys, old, new, told):
    file.write_text(FILE.replace(old, new))
    assert main(["coil", str(file)]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert told in captured.err
    assert str(file) in captured.err


def test_a_picture_of_an_unknown_kind(file, capsys):
    assert main(["coil", str(file), "--plot", "picture.exe"]) == 2
    assert ".svg" in capsys.readouterr().err


def test_every_output_says_what_was_computed(file, tmp_path, capsys):
    job = tmp_path / "job.toml"
    job.write_text(
        'format = 1\n[instrument]\nname = "one"\n[[pickup]]\nname = "neck"\n[pickup.coil]\n' + FILE
    )
    page = tmp_path / "sheet.html"
    outputs = {}
    for command in (
        ["sheet", str(job)],
        ["sheet", str(job), "--json", "--html", str(page)],
        ["response", str(job), "--position", "neck", "--frequencies", "1 kHz"],
        ["response", str(job), "--position", "neck", "--frequencies", "1 kHz", "--json"],
        ["netlist", str(job), "--position", "neck"],
    ):
        assert main(command) == 0
        outputs[" ".join(command)] = capsys.readouterr().out.lower()
    assert all("computed" in text for text in outputs.values())
    assert "Computed from the coil" in page.read_text()
