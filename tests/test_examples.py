"""What docstrings and the README show is run, and comes out as shown."""

from __future__ import annotations

import doctest
import re
import shlex
import tomllib
from importlib import import_module
from pathlib import Path
from shutil import copytree

import pytest

import pickupcalc
from pickupcalc.cli import main
from pickupcalc.instrument.instrument import Position
from pickupcalc.parts.coil import Coil
from pickupcalc.parts.pickup import Pickup
from tests.conftest import ROOT

PACKAGE = Path(pickupcalc.__file__).parent
SHOWING = sorted(p for p in PACKAGE.rglob("*.py") if ">>> " in p.read_text(encoding="utf-8"))
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w+)\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
COMMANDS = re.findall(r"`pickupcalc (\w+)([^`]*)`", README)


@pytest.fixture
def at_the_bench(tmp_path, monkeypatch):
    """A folder that looks like the checkout to the README's commands, and takes the files they write."""
    copytree(ROOT / "data", tmp_path / "data")
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("path", SHOWING, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_docstrings(path, at_the_bench):
    name = ".".join(("pickupcalc", *path.relative_to(PACKAGE).with_suffix("").parts))
    done = doctest.testmod(import_module(name))
    assert done.attempted and not done.failed


@pytest.mark.parametrize("script", [text for kind, text in BLOCKS if kind == "python"])
def test_scripts_of_the_readme(script, at_the_bench):
    exec(compile(script, "README.md", "exec"), {})


# A command, and the text shown right below it; what is left out of it is "...", or follows.
RUN = [
    (command, f"{shown if following == 'text' else ''}...")
    for (_, text), (following, shown) in zip(BLOCKS, [*BLOCKS[1:], ("", "")], strict=True)
    for command in re.findall(r"\.venv/bin/pickupcalc (.*)", text)
]


@pytest.mark.parametrize(("command", "shown"), RUN)
def test_commands_of_the_readme(command, shown, at_the_bench, capsys):
    assert main(shlex.split(command)) == 0
    told = capsys.readouterr().out
    assert doctest.OutputChecker().check_output(shown, told, doctest.ELLIPSIS), told


@pytest.mark.parametrize(("command", "rest"), COMMANDS)
def test_commands_and_options_that_the_readme_names(command, rest, capsys):
    with pytest.raises(SystemExit) as stopped:
        main([command, "--help"])
    assert stopped.value.code == 0
    told = capsys.readouterr().out
    assert all(option in told for option in re.findall(r"--\w+", rest))


@pytest.mark.parametrize("text", [text for kind, text in BLOCKS if kind == "toml"])
def test_tables_of_the_readme(text):
    given = tomllib.loads(text)
    if isinstance(given["pickup"], dict):
        assert Coil.of(given["pickup"]["coil"])
    else:
        assert [Pickup.of(row) for row in given["pickup"]]
        assert [Position.of(row) for row in given["position"]]
