"""Reference data, one TOML or CSV file a subject, each value with its source."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def table(subject: str) -> dict[str, Any]:
    """A reference table by its subject: "cables", "tracks" ... Do not change what it returns."""
    return tomllib.loads((files(__name__) / f"{subject}.toml").read_text(encoding="utf-8"))
