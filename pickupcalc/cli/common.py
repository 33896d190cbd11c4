"""What several commands do alike."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

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
