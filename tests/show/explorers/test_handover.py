"""Handing an instrument back from a notebook."""

from __future__ import annotations

import shutil

import pytest

from pickupcalc.show.explorers.handover import handover
from tests.conftest import DEMOS


@pytest.fixture
def shown(tmp_path):
    """The page on a job of one's own."""
    path = shutil.copy(DEMOS[0], tmp_path / "mine.toml")
    page = handover()
    page.dials["job"].menu.value = ""
    page.dials["job"].path.value = str(path)
    return page


def test_preview_follows_the_reader_and_the_job(shown):
    assert "Good to know" in shown.result.page
    assert "srcdoc=" in shown.picture.value
    shown.dials["reader"].menu.value = "bench"
    assert "Circuit and joints" in shown.result.page
    shown.dials["before"].field.value = str(DEMOS[0])
    assert "alert" not in shown.meaning.value


def test_the_page_is_written_beside_the_job(shown, tmp_path):
    shown.export.click()
    written = tmp_path / "mine_borrower.html"
    assert f"{written} is written" in shown.told.value
    assert written.read_text(encoding="utf-8") == shown.result.page
    (tmp_path / "mine.toml").rename(tmp_path / "job.toml")
    shown.dials["job"].path.value = str(tmp_path)
    shown.export.click()
    assert (tmp_path / "sheet_borrower.html").is_file()


def test_a_demonstrations_page_goes_into_the_working_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    handover().export.click()
    assert [p.name for p in tmp_path.iterdir()] == ["bass_12_borrower.html"]


@pytest.mark.parametrize("name", ["job", "before"])
def test_a_job_that_cannot_be_read_is_explained_and_nothing_is_written(shown, tmp_path, name):
    dial = shown.dials[name]
    (dial.path if name == "job" else dial.field).value = "no_such.toml"
    assert "alert" in dial._message.value
    shown.export.click()
    assert "nothing was written" in shown.told.value
    assert [p.name for p in tmp_path.iterdir()] == ["mine.toml"]
