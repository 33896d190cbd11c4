"""Every figure of speed: time, the same by a peer in the same run, memory, growth with size.

    python -m tests.benchmarks              all topics but the last two, in some minutes
    python -m tests.benchmarks coil sound   these topics
    python -m tests.benchmarks browser      from a key on a slider to the new picture, in a real browser
    python -m tests.benchmarks hour         the hum of an hour at 96 kHz (700 MB of disk)

Run from the top folder, on a quiet machine.
"""

from __future__ import annotations

import os
import sys

for library in ("OPENBLAS", "OMP", "MKL"):
    # Before NumPy is loaded: matrices are small here, and threads would only wait for each other.
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")

from importlib import import_module  # noqa: E402

from tests.benchmarks.frame import FEWER, REPEATS, Figure, table  # noqa: E402

TOPICS = ("start", "circuit", "planner", "coil", "magnet", "measure", "sound", "redraw")
ASKED_FOR = ("browser", "hour")


def main(topics: list[str]) -> None:
    unknown = set(topics) - {*TOPICS, *ASKED_FOR}
    if unknown:
        sys.exit(f"{', '.join(sorted(unknown))}: topics are {', '.join((*TOPICS, *ASKED_FOR))}")
    found: list[Figure] = []
    for topic in topics or TOPICS:
        for figure in import_module(f"tests.benchmarks.{topic}").figures():
            print(f"{topic}: {figure.what} ...", file=sys.stderr, flush=True)
            found.append(figure)
    print(
        f"Time: best of {REPEATS}; of {FEWER} for growth, whole processes and what takes seconds; "
        "of the browser the median. One thread for matrices."
    )
    print("Memory: what the step itself holds at its peak; of a whole process, what is resident.")
    print("As long: how many times as long the peer takes. !: slower than wished.\n")
    print(table(found))


if __name__ == "__main__":
    main(sys.argv[1:])
