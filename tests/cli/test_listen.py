"""`pickupcalc listen`, and the sheet with sounds."""

from __future__ import annotations

import json
import wave

import pytest

from pickupcalc.cli import main
from tests.cli.test_cli import refused
from tests.conftest import ROOT

BASS = ROOT / "data" / "bass_12.toml"
QUICK = ("--seconds", "0.3 s")


def test_a_file_and_what_differs(tmp_path, capsys):
    out = tmp_path / "bass.wav"
    assert main(["listen", str(BASS), *QUICK, "-o", str(out)]) == 0
    text, err = capsys.readouterr()
    assert err == ""
    assert "'both' is 8" in text
    assert "Assumed" in text
    assert "volume down" in text
    with wave.open(str(out)) as file:
        assert file.getframerate() == 48_000
        assert file.getsampwidth() == 3


def test_json(tmp_path, capsys):
    out = tmp_path / "a.wav"
    arguments = ["--position", "both", "--position", "neck", "--hum", "--bits", "16", "--rate", "44.1 kHz"]
    assert main(["listen", str(BASS), *QUICK, *arguments, "-o", str(out), "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert [s["label"] for s in document["segments"]] == ["both", "neck"]
    assert document["rate_hz"] == 44_100
    assert document["segments"][0]["hum_db"] < 0
    assert len(document["differences"]) == 1
    assert document["file"] == str(out)


@pytest.mark.parametrize(
    "arguments",
    [
        ("--scene", "note", "--string", "2", "--fret", "7", "--distortion"),
        ("--scene", "chord", "--frets", "0,2,x,0"),
        ("--scene", "scale"),
        ("--scene", "strings", "--low-pass", "5 kHz", "--room", "100 nT", "--level", "true"),
        ("--pluck", "110 mm", "--height", "1 mm", "--width", "1 mm", "--angle", "20 deg"),
    ],
)
def test_scenes_without_a_file(arguments, capsys):
    assert main(["listen", str(BASS), *QUICK, *arguments]) == 0
    assert "position" in capsys.readouterr().out


def test_before_and_after(tmp_path, capsys):
    mended = tmp_path / "mended.toml"
    text = BASS.read_text(encoding="utf-8").replace('tap = "negative"', 'tap = "positive"')
    mended.write_text(text, encoding="utf-8")
    assert main(["listen", str(BASS), "--against", str(mended), "--position", "both", *QUICK]) == 0
    assert "'both, after' is" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--rate", "0 Hz"), "8.00 kHz to 192 kHz"),
        (("--rate", "10 MHz"), "8.00 kHz to 192 kHz"),
        (("--rate", "48000"), "no unit"),
        (("--bits", "8"), "16, 24"),
        (("--bits", "x"), "--bits"),
        (("--pluck", "158 mm"), "on top of pickup 'neck'"),
        (("--fret", "34", "--pluck", "100 mm"), "under the fretting hand"),
        (("--fret", "-1"), "--fret"),
        (("--frets", "0,1"), "frets"),
        (("--frets", "0,y,0,0"), "--frets"),
        (("--scene", "note", "--string", "9"), "string"),
        (("--position", "no such"), "position"),
        (("--scene", "solo"), "scene"),
        (("--seconds", "2 h"), "seconds"),
        (("-o", "/no/such/folder/x.wav"), "cannot be written"),
        (("-o", "x.mp3"), "must end in one of: .wav"),
    ],
)
def test_refused(arguments, said, capsys):
    assert said in refused(capsys, "listen", BASS, *QUICK, *arguments)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (('strings = ["E1", "A1", "D2", "G2"]\n', ""), "strings"),
        (('"A1"', '{ gauge = "2 mm" }'), "strings, 2, note: is missing"),
        (('"A1"', '"H1"'), "strings, 2"),
        (('distance_from_bridge = "158 mm"', 'distance_from_bridge = "-158 mm"'), "distance_from_bridge"),
        (('distance_from_bridge = "158 mm"', 'distance_from_bridge = "1 m"'), "beyond the nut"),
        (('distance_from_bridge = "158 mm"\n', ""), "distance_from_bridge"),
        (('scale_length = "812 mm"\n', ""), "scale_length"),
    ],
)
def test_jobs_that_tell_too_little(change, said, tmp_path, capsys):
    text = BASS.read_text(encoding="utf-8")
    assert change[0] in text
    path = tmp_path / "job.toml"
    path.write_text(text.replace(*change), encoding="utf-8")
    assert said in refused(capsys, "listen", path, *QUICK)


def test_a_sheet_with_sounds(tmp_path, capsys):
    page = tmp_path / "the sheet.html"
    assert main(["sheet", str(BASS), "--html", str(page), "--sounds"]) == 0
    capsys.readouterr()
    text = page.read_text(encoding="utf-8")
    files = sorted(p.name for p in tmp_path.glob("*.wav"))
    assert files == ["the sheet-1-neck.wav", "the sheet-2-both.wav", "the sheet-3-bridge.wav"]
    assert all(name.replace(" ", "%20") in text for name in files)
    assert text.count("<audio") == 3
    assert "--html" in refused(capsys, "sheet", BASS, "--sounds")


def test_a_sheet_of_a_job_that_tells_no_strings(job_file, tmp_path, capsys):
    page = tmp_path / "sheet.html"
    assert main(["sheet", str(job_file()), "--html", str(page)]) == 0
    assert "How each position sounds" not in page.read_text(encoding="utf-8")
    capsys.readouterr()
    assert "scale_length" in refused(capsys, "sheet", job_file(), "--html", page, "--sounds")


def test_a_sheet_of_a_job_whose_pickup_is_out_of_place(tmp_path, capsys):
    text = BASS.read_text(encoding="utf-8").replace('"158 mm"', '"5 mm"')
    job, page = tmp_path / "job.toml", tmp_path / "sheet.html"
    job.write_text(text, encoding="utf-8")
    assert main(["sheet", str(job), "--html", str(page)]) == 0
    assert "no spectra on the page" in capsys.readouterr().err
    assert "beyond the bridge" in refused(capsys, "sheet", job, "--html", page, "--sounds")


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (("--frets", "0,2,2,x"), "for all strings at fret 0"),
        (("--scene", "note", "--fret", "5"), "for all strings at fret 5"),
        (("--fret", "5"), None),
    ],
)
def test_figures_that_are_not_of_what_is_heard_say_so(capsys, more, told):
    assert main(["listen", str(BASS), *QUICK, "--position", "neck", *more]) == 0
    title = capsys.readouterr().out.splitlines()[0]
    assert told in title if told else "figures" not in title
