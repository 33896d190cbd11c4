"""What the package promises as a whole: light to import, typed, its tables inside, its names there."""

from __future__ import annotations

import ast
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

import pickupcalc
from pickupcalc.tables import table
from tests.conftest import DEMOS

TABLES = sorted(p.name for p in files("pickupcalc.tables").iterdir() if p.name.endswith(".toml"))

SOURCES = sorted(Path(pickupcalc.__file__).parent.rglob("*.py"))
# What would make code or objects out of text or bytes. `lambdify` gets a formula of ours, made of symbols.
EVALUATING = {
    "eval", "exec", "compile", "__import__", "literal_eval", "sympify", "parse_expr", "parse_expression",
    "loads", "genfromtxt", "from_string", "Markup", "system", "popen",
}  # fmt: skip
UNPICKLING = {"pickle", "marshal", "shelve", "dill", "joblib", "yaml", "numexpr", "code", "runpy"}

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


def evaluating(node):
    """Whether a piece of source would make code or objects out of what it is given."""
    if isinstance(node, ast.Call):
        called = getattr(node.func, "id", getattr(node.func, "attr", ""))
        # re.compile makes a pattern, not code; tables of ours are TOML
        owner = getattr(getattr(node.func, "value", None), "id", "")
        trusting = {k.arg for k in node.keywords} & {"shell", "allow_pickle"}
        return trusting or (called in EVALUATING and owner not in ("re", "tomllib"))
    names = [a.name for a in node.names] if isinstance(node, (ast.Import, ast.ImportFrom)) else []
    names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
    return UNPICKLING & {name.partition(".")[0] for name in names}


def test_nothing_evaluates_what_comes_in():
    assert len(SOURCES) > 100
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            assert not evaluating(node), f"{path.name}, line {node.lineno}"


def test_text_from_outside_never_reaches_pints_parser(monkeypatch):
    """pint gets names of our own list only; its grammar would take "500k" for 500 Boltzmann constants."""
    from pickupcalc import units
    from pickupcalc.units import text as grammar

    given = []
    units.registry().Unit("ohm")  # a lazy one is there now
    kind = type(units.registry().get())
    for name in ("parse_expression", "parse_units", "parse_unit_name"):
        real = getattr(kind, name)

        def seen(self, text, *args, _real=real, **kwargs):
            given.append(str(text))
            return _real(self, text, *args, **kwargs)

        monkeypatch.setattr(kind, name, seen)
    for text in ("500k", "2,5 H", "3 nohm", "4k7", "1 m^9", "5 boltzmann_constant", "1 ohm*exit()", "7 fs"):
        for unit in ("ohm", "henry", "second"):
            try:
                units.parse.__wrapped__(text, unit)
            except pickupcalc.InputError:
                continue
    ours = {p + s for p in ("", *grammar._PREFIXES.values()) for s in grammar._SYMBOLS.values()}
    assert set(given) <= ours | {"dimensionless", "degree_Celsius", "", "henry", "second"}
