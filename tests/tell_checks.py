"""Run the outside checks and store what they found.

    python tests/tell_checks.py

writes data/checks/outside.csv and the summary in the README. Nothing is written
unless every check ran and passed, so ngspice and all of the extra `test` are needed.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterable
from dataclasses import astuple, fields
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from pickupcalc.show.trust import PLACE, Check, Checks  # noqa: E402
from tests.outside.agreement import merged  # noqa: E402

BEGIN, END = "<!-- written by tests/tell_checks.py -->", "<!-- end -->"


class Teller:
    """A plugin of pytest that collects the rows."""

    __name__ = "tell_checks"  # by which the fixture finds it

    def __init__(self) -> None:
        self.rows: dict[tuple[str, str], Check] = {}
        self.skipped: list[str] = []

    def keep(self, row: Check) -> None:
        key = row.test, row.what
        self.rows[key] = merged(self.rows[key], row) if key in self.rows else row

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.skipped:
            self.skipped.append(report.nodeid)


def in_order(checks: Iterable[Check]) -> tuple[Check, ...]:
    return tuple(sorted(checks, key=lambda c: (c.subject, c.test, c.what)))


def write(checks: Checks, path: Path) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(f.name for f in fields(Check))
        out.writerows(astuple(c) for c in checks)


def summary(checks: Checks) -> str:
    """The part of the README that is written by this command."""
    return f"{BEGIN}\n{checks.sentence()}\n\n{checks.markdown()}\n{END}"


def into_readme(checks: Checks) -> None:
    readme = ROOT / "README.md"
    before, rest = readme.read_text(encoding="utf-8").split(BEGIN)
    readme.write_text(before + summary(checks) + rest.split(END)[1], encoding="utf-8")


def main() -> int:
    teller = Teller()
    arguments = [str(ROOT / "tests" / "outside"), "-n", "0", "-q", *sys.argv[1:]]
    code = pytest.main(arguments, plugins=[teller])
    if code or teller.skipped:
        print("Nothing is written. Skipped:", ", ".join(teller.skipped) or "none")
        return 1
    checks = Checks(in_order(teller.rows.values()))
    write(checks, ROOT / PLACE)
    into_readme(checks)
    return 0


if __name__ == "__main__":
    sys.exit(main())
