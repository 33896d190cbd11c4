"""A copy of the notebooks of one's own: complete, and never over what the user changed."""

from __future__ import annotations

import pytest

from pickupcalc.errors import InputError
from pickupcalc.show.suite import FIRST_PAGE, copy_suite
from tests.conftest import ROOT


def test_copies_all_and_keeps_what_was_changed(tmp_path):
    assert copy_suite(tmp_path) == []
    names = {p.name for p in (ROOT / "notebooks").glob("*.ipynb")}
    assert {p.name for p in (tmp_path / "notebooks").glob("*.ipynb")} == names
    assert (tmp_path / "data" / "bass_12.toml").is_file()
    mine = tmp_path / "notebooks" / FIRST_PAGE
    mine.write_text("mine")
    (tmp_path / "data" / "bass_12.toml").unlink()
    assert copy_suite(tmp_path) == [mine]
    assert mine.read_text() == "mine"
    assert (tmp_path / "data" / "bass_12.toml").is_file()


def test_a_folder_that_cannot_be_made(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(InputError, match="cannot be made"):
        copy_suite(tmp_path / "file")
