"""The stored table of outside checks is what the checks tell, and the README what the table tells."""

from __future__ import annotations

import ast

import numpy as np
import pytest

from pickupcalc.show.trust import KINDS, STATUSES, Check, outside_checks
from tests.conftest import ROOT
from tests.outside.agreement import Outside, merged
from tests.tell_checks import in_order, summary, write

TABLE = ROOT / "data" / "checks" / "outside.csv"


def functions_of(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            yield node


def told_by(test):
    """First words of every call of the fixture; they are literals, so nothing has to run."""
    calls = [node for node in ast.walk(test) if isinstance(node, ast.Call)]
    return [ast.literal_eval(c.args[0]) for c in calls if getattr(c.func, "id", "") == "outside"]


def test_the_table_has_every_check_and_no_other():
    """What stands in a row is compared by the fixture whenever the check runs."""
    told = set()
    for path in sorted((ROOT / "tests" / "outside").glob("test_*.py")):
        for test in functions_of(path):
            what = told_by(test)
            larger_run = any(ast.unparse(d) == "pytest.mark.long" for d in test.decorator_list)
            assert what or larger_run, f"{path.name}::{test.name} reports nothing"
            told |= {(f"{path.name}::{test.name}", w) for w in what}
    stored = [(c.test, c.what) for c in outside_checks()]
    assert len(stored) == len(set(stored))
    assert set(stored) == told


def test_the_table_is_in_order_and_stored_as_it_is_written(tmp_path):
    checks = outside_checks()
    assert tuple(checks) == in_order(checks)
    write(checks, tmp_path / "again.csv")
    assert (tmp_path / "again.csv").read_bytes() == TABLE.read_bytes()


def test_every_row_holds():
    for check in outside_checks():
        assert check.status in STATUSES and check.kind in KINDS
        assert check.source and check.values > 0
        if check.off is not None:
            assert check.off <= check.allowed


def test_the_readme_tells_what_the_table_does():
    assert summary(outside_checks()) in (ROOT / "README.md").read_text(encoding="utf-8")


SOURCE = {"source": "a book", "status": "published"}


@pytest.fixture
def kept():
    return []


@pytest.fixture
def outside(kept):
    return Outside("a subject", "a test", kept.append)


def test_the_worst_pair_is_kept(outside, kept):
    outside("numbers", ours=[1.0, 2.02, 3.0], theirs=[1.0, 2.0, 3.0], rtol=0.02, unit="H", **SOURCE)
    outside("of a whole", ours=0.001, theirs=0.0, of=10.0, rtol=1e-3, **SOURCE)
    outside("decibels", ours=[-3.0, 0.02], theirs=[-3.0, 0.0], db=0.1, **SOURCE)
    outside("exact", ours=[1j, 2 + 6e-12j], theirs=[1j, 2.0], rtol=1e-9, **SOURCE)
    outside("a range", ours=[3.0, 4.0], between=(2, None), **SOURCE)
    found = [(c.theirs, c.ours, c.kind, c.deviation, c.values) for c in kept]
    assert found == [
        ("2", "2.02", "of the value", 0.01, 3),
        ("0", "0.001", "of the whole", 1e-4, 1),
        ("0", "0.02", "dB", 0.02, 2),
        ("2", "2", "of the value", 1e-11, 2),
        ("at least 2", "3 to 4", "range", None, 2),
    ]
    assert kept[2].off == pytest.approx(0.0023, abs=1e-5)


@pytest.mark.parametrize(
    "pair",
    [
        {"ours": 1.1, "theirs": 1.0, "rtol": 0.09},
        {"ours": [1.0, np.nan], "theirs": [1.0, 1.0], "rtol": 0.1},
        {"ours": 0.2, "theirs": 0.0, "db": 0.1},
        {"ours": 1e-9, "theirs": 0.0, "rtol": 1e-3},
        {"ours": "+", "theirs": "-"},
        {"ours": [1.0, 5.0], "between": (0, 4)},
        {"ours": np.nan, "between": (0, None)},
    ],
)
def test_what_does_not_agree_is_refused_and_not_kept(outside, kept, pair):
    with pytest.raises(AssertionError, match="a book says"):
        outside("one", **pair, **SOURCE)
    assert not kept


def test_cases_of_one_test_become_one_row(outside, kept):
    for ours in (2.0, 2.01, 2.002):
        outside("numbers", ours=ours, theirs=2.0, rtol=0.1, **SOURCE)
    row = merged(merged(kept[0], kept[1]), kept[2])
    assert isinstance(row, Check)
    assert (row.ours, row.deviation, row.values) == ("2.01", 0.005, 3)
    outside("numbers", ours=2.0, theirs=2.0, rtol=0.2, **SOURCE)
    with pytest.raises(AssertionError, match="two of tolerance"):
        merged(row, kept[3])
