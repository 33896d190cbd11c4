"""No key of a job or coil file names another file, and nothing in a job's folder leads out of it."""

from __future__ import annotations

import re
import sys
from dataclasses import is_dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from pickupcalc.cli import main
from pickupcalc.errors import InputError
from pickupcalc.instrument.jobfile import read_job
from tests.conftest import ROOT

ALL_KEYS = ROOT / "tests" / "fuzz" / "corpus" / "sheet" / "all_keys.toml"
_opened: list[str] | None = None


def _watch(event: str, arguments: tuple) -> None:
    if event == "open" and _opened is not None:
        _opened.append(str(arguments[0]))


sys.addaudithook(_watch)  # for good: Python takes none back


@pytest.fixture
def opened():
    global _opened
    _opened = []
    yield _opened
    _opened = None


@pytest.fixture
def bench(monkeypatch):
    """A folder with a job in it, files outside, and a link to one of them inside.

    Not pytest's own folder, whose path may be longer than any name.
    """
    with TemporaryDirectory() as above:
        folder = Path(above) / "bench" / "job"
        folder.mkdir(parents=True)
        for outside in (folder.parents[1] / "secret.toml", folder.parent / "secret.toml"):
            outside.write_text("not to be read")
        (folder / "link.toml").symlink_to(folder.parents[1] / "secret.toml")
        with monkeypatch.context() as patch:
            patch.chdir(folder)
            yield folder


@pytest.mark.parametrize("place", ["../secret.toml", "../../secret.toml", "{outside}", "link.toml"])
def test_a_name_is_never_a_path(bench, opened, capsys, place):
    """Each free text of a job is the path of a file outside; none is opened, none is made."""
    path = place.format(outside=bench.parents[1] / "secret.toml")
    content = ALL_KEYS.read_text(encoding="utf-8")
    for word in ("one of each", "odd", "pair", "bar under steel poles", "the yellow one"):
        assert f'"{word}"' in content
        content = content.replace(f'"{word}"', f'"{path}"')
    (bench / "job.toml").write_text(content, encoding="utf-8")
    for command in (["sheet", "--html", "page.html", "--sounds"], ["plan"], ["status"], ["record"], ["jack"]):
        assert main([command[0], ".", *command[1:]]) == 0
    assert main(["netlist", ".", "--position", path]) == 0
    assert not [name for name in opened if Path(name).name in ("secret.toml", "link.toml")]
    made = {p.name for p in bench.iterdir()} - {"job.toml", "link.toml"}
    assert all(re.fullmatch(r"page(-\d-[a-z0-9-]*)?\.(html|wav)", name) for name in made)
    assert {p.name for p in bench.parent.iterdir()} == {"job", "secret.toml"}


def test_no_key_of_any_part_is_about_files():
    from pickupcalc.parts.fields import Part

    def kinds(kind):
        return {kind, *(k for sub in kind.__subclasses__() for k in kinds(sub))}

    keys = {key for kind in kinds(Part) if is_dataclass(kind) for key in kind.keys()}  # noqa: SIM118
    assert "resistance" in keys
    assert not [k for k in keys if re.search(r"path|file|folder|directory|url|include|import", k)]


def changed(folder: Path):
    return read_job(folder).changed(lambda d: d["instrument"].update({"name": "another"}))


def write_job(folder: Path) -> None:
    (folder / "job.toml").write_text(ALL_KEYS.read_text(encoding="utf-8"), encoding="utf-8")


def test_copies_are_not_kept_behind_a_link(bench, tmp_path):
    write_job(bench)
    (tmp_path / "elsewhere").mkdir()
    (bench / "earlier").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(InputError, match="is a link"):
        changed(bench).save()
    assert not list((tmp_path / "elsewhere").iterdir())
    assert "one of each" in (bench / "job.toml").read_text()


def test_a_link_in_place_of_the_lock_spoils_nothing(bench):
    secret = bench.parent / "secret.toml"
    write_job(bench)
    (bench / ".job.toml.lock").symlink_to(secret)
    with pytest.raises(InputError, match="cannot be written"):
        changed(bench).save()
    assert secret.read_text() == "not to be read"


def test_a_job_file_that_is_a_link_is_replaced_not_followed(bench, tmp_path):
    (tmp_path / "theirs.toml").write_text(ALL_KEYS.read_text(encoding="utf-8"), encoding="utf-8")
    (bench / "job.toml").symlink_to(tmp_path / "theirs.toml")
    changed(bench).save()
    assert "one of each" in (tmp_path / "theirs.toml").read_text()
    assert "another" in (bench / "job.toml").read_text()
