"""A progress bar in plain text."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TextIO

WIDTH = 40


def bar(label: str = "", stream: TextIO | None = None) -> Callable[[int, int], None]:
    """A callable for `progress=`: draws done of all on one line of standard error."""
    out = stream or sys.stderr

    def draw(done: int, total: int) -> None:
        filled = round(WIDTH * done / total)
        end = "\n" if done == total else ""
        out.write(f"\r{label}[{'#' * filled}{'.' * (WIDTH - filled)}] {done}/{total}{end}")
        out.flush()

    return draw
