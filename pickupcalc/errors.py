"""The one error for input that is refused."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import Any, NamedTuple

LONGEST_MESSAGE = 2_000  # characters; what a file holds may be quoted in it
MOST_SHOWN = 20  # faults; whoever mends these will see the others


def slip_of(given: Any, known: Iterable[str]) -> str | None:
    """Which known word a slip of the pen may have meant."""
    return next(iter(difflib.get_close_matches(str(given), list(known), n=1, cutoff=0.75)), None)


def quoted(options: Iterable[object]) -> str:
    """What is accepted, as a message lists it."""
    return ", ".join(f'"{option}"' for option in options)


class Fault(NamedTuple):
    """One thing that is wrong: where it stands and what would be right."""

    key: str
    message: str

    def __str__(self) -> str:
        """On one line, whatever was quoted: a terminal obeys control characters."""
        text = f"{self.key}: {self.message}" if self.key else self.message
        if len(text) > LONGEST_MESSAGE:
            text = f"{text[: LONGEST_MESSAGE // 2]} ... {text[-LONGEST_MESSAGE // 2 :]}"
        return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text)


class InputError(ValueError):
    """Input that was refused, with everything found wrong in it.

    Parameters
    ----------
    faults : Fault or list of Fault
        What is wrong. Several faults are reported together, so that a job
        file is mended in one go.
    source : str, optional
        The file (or other place) the input came from.
    """

    def __init__(self, faults: Fault | list[Fault], source: str = "") -> None:
        self.faults = [faults] if isinstance(faults, Fault) else list(faults)
        self.source = source
        super().__init__(str(self))

    @classmethod
    def of(cls, key: str, message: str) -> InputError:
        return cls(Fault(key, message))

    def under(self, prefix: str) -> list[Fault]:
        """The same faults, as seen from one level further out."""
        return [Fault(f"{prefix}, {key}" if key else prefix, message) for key, message in self.faults]

    def __str__(self) -> str:
        where = f"{self.source}: " if self.source else ""
        if len(self.faults) == 1:
            return f"{where}{self.faults[0]}"
        lines = "".join(f"\n  - {fault}" for fault in self.faults[:MOST_SHOWN])
        more = len(self.faults) - MOST_SHOWN
        return f"{where}{len(self.faults)} faults:{lines}" + (f"\n  and {more} more" if more > 0 else "")
