"""The command line as a process: what it prints, where, and with which exit status."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from pickupcalc.cli import COMMANDS, main
from tests.conftest import DEMOS, ROOT


def run(*arguments, **options):
    """A process of its own, as a shell would start it."""
    return subprocess.run(
        [sys.executable, "-m", "pickupcalc", *map(str, arguments)],
        capture_output=True, text=True, timeout=60, cwd=ROOT, check=False, **options,
    )  # fmt: skip


def refused(capsys, *arguments):
    """The one message of a refusal."""
    status = main([str(a) for a in arguments])
    out, err = capsys.readouterr()
    assert status == 2
    assert out == ""
    assert err.startswith("pickupcalc: ")
    assert "Traceback" not in err
    return err


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.name)
def test_sheet(path, capsys, tmp_path):
    page = tmp_path / "sheet.html"
    assert main(["sheet", str(path), "--json", "--html", str(page)]) == 0
    out, err = capsys.readouterr()
    document = json.loads(out)
    assert err == ""
    assert document["format"] == 1
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert main(["sheet", str(path)]) == 0
    assert document["positions"][0]["name"] in capsys.readouterr().out


def test_response(capsys):
    arguments = ["response", str(DEMOS[0]), "--position", "1 neck", "--frequencies", "50 Hz, 1 kHz, 4k Hz"]
    assert "4k" in refused(capsys, *arguments)
    arguments[-1] = "50 Hz, 1 kHz"
    assert main([*arguments, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["frequencies_hz"] == [50, 1000]
    assert main(arguments) == 0
    assert "1.000 kHz" in capsys.readouterr().out


def test_netlist(capsys):
    assert main(["netlist", str(DEMOS[0]), "--position", "1 neck", "--points", "20"]) == 0
    assert ".ac dec 20 20 20k" in capsys.readouterr().out
    for points in ("0", "-1", "1e3", "99999"):
        assert "--points" in refused(capsys, "netlist", DEMOS[0], "--position", "1 neck", "--points", points)


def test_the_module_is_the_command():
    done = run("sheet", DEMOS[0])
    assert done.returncode == 0
    assert done.stderr == ""
    assert "neck and middle" in done.stdout


def test_a_refusal_of_a_process(job_file):
    done = run("sheet", job_file(('"6.10 kohm"', "6.1")))
    assert (done.returncode, done.stdout) == (2, "")
    assert "resistance" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "content",
    [b"", b"\x00\x01\xff", b'x = "' + b"a" * 2**20 + b'"', b"format = 1\nx = " + b"[" * 3000],
    ids=["empty", "binary", "1 MB", "nested"],
)
@pytest.mark.parametrize("command", ["sheet", "response", "netlist"])
def test_files_that_are_no_job_files(tmp_path, capsys, command, content):
    path = tmp_path / "job.toml"
    path.write_bytes(content)
    more = [] if command == "sheet" else ["--position", "x"]
    message = refused(capsys, command, path, *more)
    assert str(path) in message
    assert len(message) < 1000


def test_bad_calls(capsys):
    refused(capsys)
    refused(capsys, "nonsense")
    refused(capsys, "sheet")
    refused(capsys, "sheet", "/no/such/file.toml")
    refused(capsys, "response", DEMOS[0], "--position", "no such")
    assert "cannot be written" in refused(capsys, "sheet", DEMOS[0], "--html", "/no/such/folder/x.html")
    assert "must end in one of: .html" in refused(capsys, "sheet", DEMOS[0], "--html", DEMOS[0])


def test_notes_go_to_standard_error(job_file, capsys):
    path = job_file(('magnet = "north"', 'magnet = "north"\nowner_says = "buzzes"'))
    assert main(["sheet", str(path), "--json"]) == 0
    out, err = capsys.readouterr()
    json.loads(out)
    assert "owner_says" in err


def test_a_fault_of_ours_is_one_line(monkeypatch, capsys):
    monkeypatch.setattr("pickupcalc.answers.positions.positions", lambda _: 1 / 0)
    assert main(["sheet", str(DEMOS[0])]) == 1
    assert "a fault of ours: ZeroDivisionError" in capsys.readouterr().err


def test_a_closed_pipe_is_no_fault():
    command = f"{sys.executable} -m pickupcalc response {DEMOS[0]} --position '1 neck' | head -n 1"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, cwd=ROOT, check=False)
    assert done.stderr == ""


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_explains_itself(command, capsys):
    with pytest.raises(SystemExit) as stopped:
        main([command, "--help"])
    assert stopped.value.code == 0
    assert "usage: pickupcalc" in capsys.readouterr().out


def test_lab_refuses_what_is_no_port(capsys):
    for port in ("http", "0", "99999", "-1"):
        assert "--port" in refused(capsys, "lab", "--port", port)


@pytest.mark.parametrize(("option", "extra"), [((), "lab"), (("--app",), "app")])
def test_lab_says_what_is_missing(monkeypatch, capsys, option, extra):
    monkeypatch.setattr("pickupcalc.cli.lab.find_spec", lambda _: None)
    assert f'extra "{extra}"' in refused(capsys, "lab", *option)


def test_pages_need_their_options_right(capsys, tmp_path):
    page = tmp_path / "p.html"
    assert "--html" in refused(capsys, "sheet", DEMOS[0], "--before", DEMOS[0])
    assert "--html" in refused(capsys, "sheet", DEMOS[0], "--sounds")
    assert "bench, borrower" in refused(capsys, "sheet", DEMOS[0], "--html", page, "--reader", "owner")
    assert not page.exists()
    assert (
        main(["sheet", str(DEMOS[0]), "--html", str(page), "--reader", "borrower", "--before", str(DEMOS[0])])
        == 0
    )
    assert "Good to know" in page.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("plan", "{}"), "{}: position 'both', wanted: how a and b meet"),
        (("response", "{}", "--position", "x"), '--position: "x" is not one of: "a", "b"'),
        (("response", "{}", "--position", "a", "--frequencies", "0 Hz"), "--frequencies: must be"),
        (("jack", "{}", "--temperature", "300 degC"), "--temperature: 300 degC is not from"),
        (("jack", "{}", "--set", "tone = 0"), '{}: settings: "tone" is not one of the controls'),
        (("pots", "{}", "--flat"), "{}: control: there is no volume or tone"),
        (("pots", str(DEMOS[0]), "--flat", "--top", "0"), "--top: 0 is not a whole number"),
        (("listen", "{}", "--seconds", "9 m"), "--seconds: "),
        (("listen", "{}"), "{}: instrument, scale_length: is missing"),
        (("listen", "{}", "--against", "{}"), "{} or {}: instrument, scale_length: is missing"),
        (("record", "{}", "--pickup", "a", "--inductance", "2 x"), "--inductance: "),
        (("record", "{}", "--pickup", "a", "--resistance", "2 H"), "--resistance: '2 H' is not"),
        (("record", "{}", "--pickup", "c", "--resistance", "2k"), '--pickup: "c" is not one of: "a", "b"'),
    ],
)
def test_a_refusal_names_the_option_or_the_job_file(tmp_path, capsys, arguments, told):
    path = tmp_path / "job.toml"
    pickups = (f'[[pickup]]\nname = "{n}"\nresistance = "6k"\ninductance = "2 H"\n' for n in "ab")
    both = '[[position]]\nname = "both"\nwiring = { parallel = ["a", "b"] }\nwanted = ["in phase"]\n'
    alone = "".join(f'[[position]]\nname = "{n}"\nwiring = "{n}"\n' for n in "ab")
    wired = both if arguments[0] == "plan" else alone
    path.write_text(f'format = 1\n[instrument]\nname = "a pair"\n{"".join(pickups)}{wired}')
    assert main([text.format(path) for text in arguments]) == 2
    out = capsys.readouterr()
    assert out.err.startswith(f"pickupcalc: {told.format(path, path)}")
    assert not out.out
