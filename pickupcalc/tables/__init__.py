"""Reference data, one TOML or CSV file a subject, each value with its source."""

from __future__ import annotations

import csv
import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def table(subject: str) -> dict[str, Any]:
    """A reference table by its subject: "cables", "tracks" ... Do not change what it returns."""
    return tomllib.loads(_text(f"{subject}.toml"))


def rows(subject: str) -> list[dict[str, str]]:
    """The rows of a table kept as CSV, "magnet_wire"; lines that begin with # are remarks."""
    lines = _text(f"{subject}.csv").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def _text(name: str) -> str:
    return (files(__name__) / name).read_text(encoding="utf-8")
