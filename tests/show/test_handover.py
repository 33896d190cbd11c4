"""Handing an instrument back from a notebook."""

from __future__ import annotations

import shutil

import pytest

from pickupcalc.show.handover import Handover
from tests.conftest import DEMOS


@pytest.fixture
def job(tmp_path):
    return shutil.copy(DEMOS[0], tmp_path / "job.toml")


def test_preview_follows_the_reader_and_the_job(job):
    shown = Handover(str(job))
    assert "Good to know" in shown.page
    assert "srcdoc=" in shown.preview.value
    shown.reader.menu.value = "bench"
    assert "Circuit and joints" in shown.page
    shown.before.value = str(DEMOS[0])
    assert "alert" not in shown.told.value


def test_the_page_is_written_beside_the_job(job):
    shown = Handover(str(job))
    shown.write.click()
    assert shown.written == job.parent / "job_borrower.html"
    assert shown.written.read_text(encoding="utf-8") == shown.page
    in_folder = Handover(str(job.parent))
    in_folder.write.click()
    assert in_folder.written == job.parent / "sheet_borrower.html"


@pytest.mark.parametrize("path", ["", "no_such.toml", "/"])
def test_a_job_that_cannot_be_read_is_explained_and_nothing_is_written(path):
    shown = Handover(path)
    assert "alert" in shown.told.value
    shown.write.click()
    assert shown.written is None
