"""Notebook pages on polarity: a string over pickups, seen and heard, and the table of eight rows."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from typing import Any

import ipywidgets as ipw

from pickupcalc.answers.hum.chance import Chance, chance_of_quiet
from pickupcalc.answers.polarity.apprentice import (
    SIGN_TABLE,
    Row,
    State,
    Traces,
    check,
    pair_sound,
    string_over,
)
from pickupcalc.answers.polarity.changes import Change, changed
from pickupcalc.answers.polarity.planner import plan
from pickupcalc.answers.polarity.truth import Truth, truth
from pickupcalc.answers.sound.listening import wav_bytes
from pickupcalc.instrument.jobfile import Job
from pickupcalc.show.explorers.exchange import (
    AS_IT_IS,
    Pair,
    joined_positions,
    pair_changes,
    pair_dials,
    pair_subject,
    save_changes,
)
from pickupcalc.show.explorers.frame import Explorer
from pickupcalc.show.explorers.jobs import Subject
from pickupcalc.show.explorers.widgets import TWO_COLUMNS, ChoiceDial, NumberDial, Offer
from pickupcalc.show.polarity_drawing import quiet_figure
from pickupcalc.show.string_drawing import string_figure

RATE = 22_050  # Hz
MOST_PLANS = 6
BOTH, SECOND = "both pickups", "the second alone"
TURNED = "wound the other way"
_OPEN, _PLUS, _MINUS = "?", "+", "\N{MINUS SIGN}"


class StringExplorer(Explorer):
    """A string over one pickup or two, with signal and hum to be heard apart."""

    def __init__(self) -> None:
        self._heard: tuple[State, ...] = ()
        self.signal = ipw.Audio(format="wav", autoplay=False, loop=False)
        self.hum = ipw.Audio(format="wav", autoplay=False, loop=False)
        self._players = {"signal": self.signal, "hum": self.hum}
        sounds = [
            ipw.VBox([ipw.Label(f"{what}, heard alone"), player]) for what, player in self._players.items()
        ]
        super().__init__(
            {
                "over": ChoiceDial("string over", [BOTH, SECOND]),
                **pair_dials(),
                "winding": ChoiceDial("second's winding", [AS_IT_IS, TURNED]),
                "moment": NumberDial("moment", 0.1),
            },
            self._over,
            lambda found: string_figure(found, self.dials["moment"].value),
            Traces.words,
            pair_subject(lambda job, pair: {"winding": AS_IT_IS}, "baritone_5"),
            [ipw.HBox(sounds)],
        )

    @staticmethod
    def _over(job: Job, pickups: Pair, over: str, winding: str, moment: float, **done: Any) -> Traces:
        after = changed(job.instrument, pair_changes(pickups, **done))
        first, second = (State.of(after.pickup(name)) for name in pickups)
        if winding == TURNED:
            second = second.wound_the_other_way()
        return string_over(second) if over == SECOND else string_over(first, second)

    def _show(self) -> None:
        super()._show()
        if self.result.states == self._heard:
            return
        self._heard = self.result.states
        for what, player in self._players.items():
            sound = pair_sound(*self.result.states, what=what, rate=RATE)
            player.value = wav_bytes(sound, RATE, 16)


class EightRows(ipw.VBox):
    """The sign table to fill in; each row, once filled in, says whether it is right, and why not."""

    def __init__(self) -> None:
        self.rows = [_RowToFill(row, self._count) for row in SIGN_TABLE]
        self.score = ipw.HTML()
        head = ipw.HTML(
            "<p>Which way does the hot lead swing: as steel is pulled off the pole (signal), and as an "
            "outside field through the coil, from below upwards, falls (hum)?</p>"
        )
        super().__init__([head, *self.rows, self.score])
        self._count()

    def _count(self) -> None:
        right = sum(row.right for row in self.rows)
        self.score.value = f'<p aria-live="polite">{right} of {len(self.rows)} right</p>'


class _RowToFill(ipw.VBox):
    def __init__(self, row: Row, tell: Any) -> None:
        self.row, self._tell, self.right = row, tell, False
        options = [_OPEN, _PLUS, _MINUS]
        width = ipw.Layout(width="130px")
        self.signal = ipw.Dropdown(options=options, description="signal", layout=width)
        self.hum = ipw.Dropdown(options=options, description="hum", layout=width)
        self.message = ipw.HTML()
        label = ipw.Label(str(row), layout=ipw.Layout(width="340px"))
        super().__init__([ipw.HBox([label, self.signal, self.hum]), self.message])
        for menu in (self.signal, self.hum):
            menu.observe(self._filled, "value")

    def _filled(self, _: Any) -> None:
        if _OPEN in (self.signal.value, self.hum.value):
            self.right, self.message.value = False, ""
        else:
            given = (1 if menu.value == _PLUS else -1 for menu in (self.signal, self.hum))
            answer = check(self.row, *given)
            self.right, self.message.value = answer.right, f'<span role="status">{escape(answer.why)}</span>'
        self._tell()


def string_explorer() -> StringExplorer:
    """A string over pickups: flip the magnet, swap the leads, turn the winding; see it and hear it."""
    return StringExplorer()


@dataclass(frozen=True)
class Planned:
    """A position as it is or after a plan."""

    truth: Truth
    chance: Chance | None

    def words(self) -> str:
        """The verdict, and for a quiet position how quiet."""
        told = " ".join(self.truth.sentences()[-2:])
        return f"{told} {self.chance}." if self.chance and self.truth.hum == "cancelling" else told


def plan_explorer() -> Explorer:
    """Every joined position of an instrument, as it is and after each of its plans.

    The last dial is how far turns times area of two windings may differ, two
    standard deviations: 3 % for two of a kind, 10 % and more for two of different make.
    """
    subject = Subject(
        lambda job, position: {"when": Offer(list(_plans(job)))},
        "position",
        joined_positions,
        lambda job, _, values: save_changes(job, _plans(job)[values["when"]]),
        demo="baritone_5",
        afresh=True,
        lacking="a position of two pickups",
    )
    dials = {
        "when": ChoiceDial("what is done", [AS_IT_IS], layout=TWO_COLUMNS),
        "mismatch": NumberDial("windings within %", 3.0, 0.5, 20.0, 0.5),
    }
    return Explorer(dials, _planned, lambda p: quiet_figure(p.truth, p.chance), Planned.words, subject)


def _plans(job: Job) -> dict[str, tuple[Change, ...]]:
    """What may be done, in words, and the changes that it is."""
    found = plan(job.instrument).plans[:MOST_PLANS]
    return {AS_IT_IS: ()} | {f"plan {i}: {p}": p.changes for i, p in enumerate(found, 1) if p.changes}


def _planned(job: Job, position: str, when: str, mismatch: float) -> Planned:
    made = changed(job.instrument, _plans(job)[when])
    table = truth(made, made.position(position))
    known = table.hum != "unknown"
    return Planned(table, chance_of_quiet(made, position, mismatch=mismatch / 100) if known else None)


def eight_rows() -> EightRows:
    """The table of eight rows for the apprentice."""
    return EightRows()
