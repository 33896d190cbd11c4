"""What the package promises as a whole: light to import, typed, its tables inside, its names there."""

from __future__ import annotations

import subprocess
import sys
from importlib.resources import files

import pytest

import pickupcalc
from pickupcalc.tables import table
from tests.conftest import DEMOS

TABLES = sorted(p.name for p in files("pickupcalc.tables").iterdir() if p.name.endswith(".toml"))

# All used late, if at all.
HEAVY = ["matplotlib", "sympy", "IPython", "ipywidgets", "scipy.optimize", "scipy.special"]


def test_importing_loads_nothing_heavy():
    code = f"import sys, pickupcalc; print([m for m in {[*HEAVY, 'numpy', 'pint']} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_sheet_needs_neither_plots_nor_symbols():
    code = (
        "import sys; from pickupcalc.cli import main; main(['sheet', sys.argv[1]]);"
        f"print([m for m in {HEAVY} if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(DEMOS[0])], capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize("name", pickupcalc.__all__)
def test_public_names_are_there_and_documented(name):
    assert getattr(pickupcalc, name).__doc__


def test_an_unknown_name_is_an_attribute_error():
    with pytest.raises(AttributeError):
        _ = pickupcalc.nonsense


def test_the_package_is_typed():
    assert (files("pickupcalc") / "py.typed").is_file()


@pytest.mark.parametrize("path", TABLES)
def test_every_table_tells_its_source(path):
    text = (files("pickupcalc.tables") / path).read_text(encoding="utf-8").lower()
    assert "source" in text
    assert table(path[:-5])
