"""What several commands do alike."""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self, TextIO

if TYPE_CHECKING:
    from pickupcalc.instrument.jobfile import Job


def add_job(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", help="job file (TOML)")


def add_json(parser: argparse._ActionsContainer) -> None:
    parser.add_argument("--json", action="store_true", help="one JSON document and nothing else")


def open_job(path: str) -> Job:
    """Read a job file; what a person should know of the reading goes to standard error."""
    from pickupcalc.instrument.jobfile import read_job

    job = read_job(path)
    for note in job.notes:
        print(f"pickupcalc: note: {path}: {note}", file=sys.stderr)
    return job


def called() -> str:
    """How this command was called, to be called so again."""
    return "python -m pickupcalc" if Path(sys.argv[0]).name == "__main__.py" else sys.argv[0]


def as_json(document: Any) -> str:
    return json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1)


class ProgressBar:
    """A line on standard error while work takes longer than a second; nothing where nobody watches."""

    WIDTH = 30
    PATIENCE = 1.0  # seconds
    EVERY = 0.1

    def __init__(self, stream: TextIO | None = None) -> None:
        self.stream = sys.stderr if stream is None else stream
        self.drawn = False
        self.next = time.monotonic() + self.PATIENCE

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self.drawn:
            self.stream.write("\r\033[K")
            self.stream.flush()

    def show(self, done: int, total: int) -> None:
        now = time.monotonic()
        if now < self.next or not self.stream.isatty():
            return
        self.next = now + self.EVERY
        self.drawn = True
        full = self.WIDTH * done // total
        self.stream.write(f"\r[{'#' * full}{'.' * (self.WIDTH - full)}] {100 * done // total:3d} %")
        self.stream.flush()
