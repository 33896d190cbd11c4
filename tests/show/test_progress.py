"""The line that tells how far a long computation is."""

from __future__ import annotations

import io

from pickupcalc.show.progress import ProgressBar


class Terminal(io.StringIO):
    def isatty(self):
        return True


def test_the_bar_waits_a_second_and_cleans_up(monkeypatch):
    clock = iter([0.0, 0.5, 1.5, 1.55, 2.0])
    monkeypatch.setattr("pickupcalc.show.progress.time.monotonic", lambda: next(clock))
    with ProgressBar(Terminal()) as bar:
        for done in (1, 2, 3, 4):
            bar.show(done, 4)
    drawn = bar.stream.getvalue()
    assert drawn.count("%") == 2 and "50 %" in drawn and "100 %" in drawn
    assert drawn.endswith("\r\033[K")


def test_no_bar_where_nobody_watches():
    with ProgressBar(io.StringIO()) as bar:
        bar.next = 0
        bar.show(1, 2)
    assert bar.stream.getvalue() == ""
