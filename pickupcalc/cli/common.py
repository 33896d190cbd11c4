"""What several commands do alike."""

from __future__ import annotations

import argparse
import datetime
import json
import shlex
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pickupcalc.errors import Fault, InputError

if TYPE_CHECKING:
    from pickupcalc.instrument.jobfile import Job


FILES = ("job", "file", "against", "before", "of")  # arguments that name a job file (or a coil's)


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


def called(*words: str) -> str:
    """How to call a command as this one was called, its words quoted where a shell needs it."""
    mine = "python -m pickupcalc" if Path(sys.argv[0]).name == "__main__.py" else sys.argv[0]
    return " ".join([mine, *map(shlex.quote, words)])


def as_asked(error: InputError, given: argparse.Namespace) -> InputError:
    """A refusal as seen from the command line: options as they were typed, all else by its job file.

    Answers know neither options nor files. What they refuse by the name of an option that
    was given is that option; any other key is one of the instrument's, whose file is named.
    """
    if error.source:
        return error
    options = (item for item in vars(given).items() if item[0] not in FILES)
    asked = {name for name, value in options if value is not None and value is not False and value != []}

    def typed(key: str) -> str:
        name = key.replace(" ", "_")
        return f"--{name.replace('_', '-')}" if name in asked else key

    faults = [Fault(typed(key), message) for key, message in error.faults]
    of_file = any(key and not key.startswith("--") for key, _ in faults)
    files = [getattr(given, name) for name in FILES if getattr(given, name, None)]
    return InputError(faults, " or ".join(files) if of_file else "")


def one_of(option: str, given: str, known: Iterable[object]) -> str:
    """Refuse a word that an option does not know."""
    words = list(map(str, known))
    if given not in words:
        raise InputError.of(option, f'"{given}" is not one of: {", ".join(words)}')
    return given


def target(option: str, given: str, *endings: str, read: str = "") -> Path:
    """The file to write; by its name's ending and by not being what was read, a slip writes over nothing."""
    path = Path(given)
    if path.suffix.lower() not in endings:
        raise InputError.of(option, f'"{given}" must end in one of: {", ".join(endings)}')
    if read and path.resolve() == Path(read).resolve():
        raise InputError.of(option, f'"{given}" is what is read; nothing is written over it')
    return path


def listed(text: str | None) -> list[str] | None:
    """The items of an option such as "250k, 500k"."""
    return None if text is None else [item.strip() for item in text.split(",") if item.strip()]


def day(given: argparse.Namespace) -> str:
    """The day to write into a job file: `--date`, or today."""
    return given.date or datetime.date.today().isoformat()


def as_json(document: Any) -> str:
    return json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1)
