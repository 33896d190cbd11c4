"""What every benchmark is made of: a timed step, beside a peer, with its memory and its growth with size."""

from __future__ import annotations

import subprocess
import sys
import time
import tracemalloc
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from pickupcalc.units import engineering

ROOT = Path(__file__).parents[2]
BARITONE, BASS = (ROOT / "data" / f"{name}.toml" for name in ("baritone_5", "bass_12"))
REPEATS, FEWER = 5, 3
SHORTEST = 2e-3  # s; a quicker step is done several times and shared out
HEADINGS = ("what", "time", "limit", "beside", "as long", "memory", "growth")

Step = Callable[[], object]


@dataclass(frozen=True)
class Peer:
    """Who does the same, in how many seconds; `at_least` is how many times as long it should take."""

    name: str
    seconds: float
    at_least: float | None = None


@dataclass(frozen=True)
class Growth:
    """Seconds at several sizes."""

    of: str
    sizes: Sequence[float]
    seconds: Sequence[float]

    def __str__(self) -> str:
        exponent = np.polyfit(np.log(self.sizes), np.log(self.seconds), 1)[0]
        sizes = ", ".join(f"{s:,.0f}" for s in self.sizes)
        return f"{self.of} {sizes}: {', '.join(map(told, self.seconds))}; exponent {exponent:.2f}"


@dataclass(frozen=True)
class Figure:
    """One row of the table; seconds, and megabytes at the peak."""

    what: str
    seconds: float
    limit: float | None = None
    peer: Peer | None = None
    memory: float | None = None
    growth: Growth | None = None

    def row(self) -> tuple[str, ...]:
        ratio = "" if self.peer is None else f"{self.peer.seconds / self.seconds:.3g}"
        if self.peer is not None and self.peer.at_least is not None:
            ratio += f" (at least {self.peer.at_least:g})"
        return (
            self.what,
            told(self.seconds),
            "" if self.limit is None else told(self.limit),
            "" if self.peer is None else f"{self.peer.name}, {told(self.peer.seconds)}",
            ratio,
            "" if self.memory is None else f"{self.memory:.3g} MB",
            "" if self.growth is None else str(self.growth),
        )

    @property
    def missed(self) -> bool:
        """Whether the step is slower than wished."""
        late = self.limit is not None and self.seconds > self.limit
        peer = self.peer
        return late or bool(peer and peer.at_least and peer.seconds < peer.at_least * self.seconds)


def told(seconds: float) -> str:
    return engineering(float(seconds), "s", 2)


def best(step: Step, repeats: int = REPEATS, before: Step | None = None) -> float:
    """Shortest of several runs, s; `before` is done ahead of each and not counted."""
    count, times = 1, []
    while len(times) < repeats:
        if before:
            before()
        start = time.perf_counter()
        for _ in range(count):
            step()
        took = (time.perf_counter() - start) / count
        if took * count < SHORTEST and not before:
            count = int(2 * SHORTEST / max(took, 1e-7)) + 1
            continue
        times.append(took)
    return min(times)


def memory(step: Step) -> float:
    """Most that a step holds at once, MB, as Python's and NumPy's allocations are traced."""
    tracemalloc.start()
    step()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak / 1e6


def growth(of: str, sizes: Sequence[int], step_at: Callable[[int], Step]) -> Growth:
    """Time of a step at several sizes; making the step does not count."""
    return Growth(of, sizes, [best(step_at(n), FEWER) for n in sizes])


def timed(
    what: str,
    step: Step,
    *,
    limit: float | None = None,
    peer: Peer | None = None,
    growth: Growth | None = None,
    repeats: int = REPEATS,
    before: Step | None = None,
) -> Figure:
    """A step in this process; `before` empties what it would find from last time."""
    step()
    return Figure(what, best(step, repeats, before), limit, peer, memory(step), growth)


def process(what: str, *arguments: str, limit: float | None = None, peer: Peer | None = None) -> Figure:
    """A Python process with its start-up; memory is what was resident at its peak, libraries included."""
    found = [run(sys.executable, *arguments) for _ in range(FEWER)]
    seconds, resident = np.min(found, axis=0)
    return Figure(what, float(seconds), limit, peer, float(resident))


def run(*command: str, folder: Path = ROOT, check: bool = True) -> tuple[float, float]:
    """Seconds of a command and its peak memory, MB; `check` that it ended well."""
    # By way of a small process: a child's peak counts what its parent held when it was born.
    code = (
        "import resource, subprocess, sys, time; quiet = subprocess.DEVNULL; start = time.perf_counter();"
        f"subprocess.run(sys.argv[1:], stdout=quiet, stderr=quiet, check={check});"
        "took = time.perf_counter() - start;"
        "print(took, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1e3)"
    )
    wrapped = [sys.executable, "-I", "-S", "-c", code, *command]
    done = subprocess.run(wrapped, cwd=folder, check=True, capture_output=True, text=True)
    seconds, resident = map(float, done.stdout.split())
    return seconds, resident


def table(figures: Sequence[Figure]) -> str:
    """One aligned table; a step slower than wished is marked."""
    rows = [HEADINGS, *(f.row() for f in figures)]
    widths = [max(len(row[i]) for row in rows) for i in range(len(HEADINGS) - 1)]
    marks = [" ", *("!" if f.missed else " " for f in figures)]
    lines = [
        f"{mark} "
        + "  ".join([*(cell.ljust(w) for cell, w in zip(row, widths, strict=False)), row[-1]]).rstrip()
        for mark, row in zip(marks, rows, strict=True)
    ]
    return "\n".join([lines[0], "-" * max(map(len, lines)), *lines[1:]])
