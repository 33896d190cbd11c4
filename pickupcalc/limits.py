"""How much may come from outside: every bound on work and memory, looked at before any is spent.

What a part can be in this world (turns, poles, frets) stands with the part. Here is
what a file, an option or an argument can ask for. Each is far above what a bench needs.
"""

from __future__ import annotations

from collections.abc import Sized
from operator import index
from pathlib import Path
from typing import Any

from pickupcalc.errors import Fault, InputError

JOB_BYTES = 200_000  # of a job or coil file; one written by hand has a few thousand
CURVE_BYTES = 20_000_000  # of a CSV or Touchstone file
CURVE_POINTS = 100_000  # in such a file
HEADER_CHUNKS = 1_000  # of a WAV file; a recorder writes a handful
SECONDS_AT_ONCE = 600.0  # of a recording that is held in memory whole
SOUND_SAMPLES = 30_000_000  # made at a time, some 10 minutes at 48 kHz

PICKUPS = 32  # of an instrument, a coil each; the work grows with the third power
LIST = 100  # entries of any other list in a job: controls, positions, strings, pieces in the drawer
NESTED = 32  # levels of a position's wiring; no selector joins more

VALUES = 10_000_000  # numbers in one array of quantities
SETS = 100_000  # variants of a part solved at once
SAMPLES = 100_000  # instruments drawn at random
COMBINATIONS = 200_000  # of parts to choose from in one ranking
FREQUENCIES = 100_000  # of a response
RESPONSE = 20_000_000  # sets times frequencies
COIL_FREQUENCIES = 2_000  # each solves a field problem
POINTS_PER_DECADE = 10_000  # of a SPICE deck


def whole(key: str, value: Any, least: int, most: int) -> int:
    """A whole number from `least` to `most`, given as such or as text; refused in words otherwise."""
    number = value
    if isinstance(value, str) and value.isascii() and value.isdecimal() and len(value) <= len(str(most)):
        number = int(value)
    try:
        number = most + 1 if isinstance(number, bool) else index(number)
    except TypeError:
        number = most + 1
    if not least <= number <= most:
        shown = f'"{value}"' if isinstance(value, str) else f"{value}"
        shown = shown if len(shown) <= 40 else f"{shown[:40]}..."
        raise InputError.of(key, f"{shown} is not a whole number from {least} to {most}")
    return int(number)


def at_most(key: str, found: float | Sized, most: int, of: str) -> None:
    """Refuse more than `most` of something."""
    count = len(found) if isinstance(found, Sized) else found
    if not count <= most:
        raise InputError.of(key, f"has {count:.12g} {of}; at most {most} are taken")


def read_text(path: Path, most: int = JOB_BYTES) -> str:
    """The text of a file, its size looked at before it is read.

    Raises
    ------
    InputError
        For more than `most` bytes (a pipe tells no size: no more than that is
        read of it), what cannot be read, and what is not UTF-8.
    """
    try:
        size = path.stat().st_size
        if size <= most:
            with path.open("rb") as file:
                content = file.read(most + 1)
            size = len(content)
        if size > most:
            told = f"has {size} bytes" if size > most + 1 else f"has more than {most} bytes"
            raise InputError(Fault("", f"{told}; at most {most} are read"), str(path))
        return content.decode("utf-8-sig")
    except OSError as error:
        raise InputError(Fault("", f"cannot be read: {error.strerror or error}"), str(path)) from error
    except UnicodeDecodeError as error:
        raise InputError(Fault("", "is not text in UTF-8"), str(path)) from error
