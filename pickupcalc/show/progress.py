"""How far a long computation is, in plain text."""

from __future__ import annotations

import sys
import time
from typing import Self, TextIO


class ProgressBar:
    """A line on standard error while work takes longer than a second; nothing where nobody watches.

    `show` is what a library function takes as `progress`.
    """

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
