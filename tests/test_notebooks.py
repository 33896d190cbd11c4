"""How notebooks are stored; nbval runs them."""

from __future__ import annotations

import copy
import re

import nbformat
import pytest

from tests.conftest import ROOT
from tests.refresh_notebooks import stored, tidy

NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
MOST_CELLS = 14
MOST_BYTES = 40_000


@pytest.fixture(params=NOTEBOOKS, ids=lambda p: p.name)
def path(request):
    return request.param


def test_stored_as_refresh_stores_it(path):
    notebook = nbformat.read(path, as_version=4)
    assert path.read_text(encoding="utf-8") == stored(tidy(copy.deepcopy(notebook)))


def test_nbval_has_something_to_compare(path):
    """A notebook with its outputs cleared would pass without a comparison."""
    notebook = nbformat.read(path, as_version=4)
    compared = [c for c in notebook.cells if c.cell_type == "code" and "NBVAL_IGNORE" not in c.source]
    assert any(c.outputs for c in compared)


def test_short_and_clean(path):
    notebook = nbformat.read(path, as_version=4)
    text = path.read_text(encoding="utf-8")
    assert len(notebook.cells) <= MOST_CELLS
    assert len(text) <= MOST_BYTES
    assert not re.search(r"/(home|root|work|tmp)/", text)
    assert not any(o.output_type == "error" for c in notebook.cells for o in c.get("outputs", []))
    assert not any(o.get("name") == "stderr" for c in notebook.cells for o in c.get("outputs", []))


def test_no_logic(path):
    """Functions and classes belong into the package, where they are tested."""
    notebook = nbformat.read(path, as_version=4)
    code = "\n".join(c.source for c in notebook.cells if c.cell_type == "code")
    assert not re.search(r"^\s*(class|while) ", code, re.MULTILINE)
    assert len(re.findall(r"^\s*def ", code, re.MULTILINE)) <= 1
