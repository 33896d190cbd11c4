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
from pickupcalc.answers.polarity.planner import plan
from pickupcalc.answers.polarity.truth import Truth, truth
from pickupcalc.answers.sound.listening import wav_bytes
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.show.polarity_drawing import quiet_figure
from pickupcalc.show.string_drawing import string_figure
from pickupcalc.show.widgets import ChoiceDial, Explorer, NumberDial

RATE = 22_050  # Hz
MOST_PLANS = 6
AS_IT_WAS = "as it was"
_OPEN, _PLUS, _MINUS = "?", "+", "\N{MINUS SIGN}"


class StringExplorer(Explorer):
    """A string over one pickup or two, with signal and hum to be heard apart."""

    def __init__(self) -> None:
        self._heard: tuple[State, ...] = ()
        self.signal = ipw.Audio(format="wav", autoplay=False, loop=False)
        self.hum = ipw.Audio(format="wav", autoplay=False, loop=False)
        super().__init__(
            {
                "pickups": ChoiceDial("pickups", ["one", "two"], "two"),
                "magnet": ChoiceDial("magnet of the last", [AS_IT_WAS, "reversed"]),
                "leads": ChoiceDial("leads of the last", [AS_IT_WAS, "swapped"]),
                "winding": ChoiceDial("winding of the last", [AS_IT_WAS, "wound the other way"]),
                "moment": NumberDial("moment", 0.1),
            },
            self._over,
            lambda found: string_figure(found, self.dials["moment"].value),
            Traces.words,
        )
        sounds = [
            ipw.VBox([ipw.Label(f"{what}, heard alone"), player])
            for what, player in (("signal", self.signal), ("hum", self.hum))
        ]
        self.children: tuple[ipw.Widget, ...] = (*self.children, ipw.HBox(sounds))

    @staticmethod
    def _over(pickups: str, magnet: str, leads: str, winding: str, moment: float) -> Traces:
        changed = State(
            "north" if magnet == AS_IT_WAS else "south",
            "counter-clockwise" if winding == AS_IT_WAS else "clockwise",
            "finish" if leads == AS_IT_WAS else "start",
        )
        return string_over(changed) if pickups == "one" else string_over(State(), changed)

    def _show(self) -> None:
        super()._show()
        if self.result.states == self._heard:
            return
        self._heard = self.result.states
        for what, player in (("signal", self.signal), ("hum", self.hum)):
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


def plan_explorer(instrument: Instrument) -> Explorer:
    """Every joined position of an instrument, as it is and after each of its plans.

    The last dial is how far turns times area of two windings may differ, two
    standard deviations: 3 % for two of a kind, 10 % and more for two of different make.
    """
    found = plan(instrument)
    after = {"as it is": instrument} | {
        f"plan {i}: {p}": p.apply(instrument) for i, p in enumerate(found.plans[:MOST_PLANS], 1) if p.changes
    }
    joined = [p.name for p in instrument.positions if len(p.wiring.pickups()) > 1]

    def look(position: str, when: str, mismatch: float) -> Planned:
        made = after[when]
        table = truth(made, made.position(position))
        known = table.hum != "unknown"
        return Planned(table, chance_of_quiet(made, position, mismatch=mismatch / 100) if known else None)

    dials = {
        "position": ChoiceDial("position", joined),
        "when": ChoiceDial("what is done", list(after)),
        "mismatch": NumberDial("windings within %", 3.0, 0.5, 20.0, 0.5),
    }
    return Explorer(dials, look, lambda p: quiet_figure(p.truth, p.chance), Planned.words)


def eight_rows() -> EightRows:
    """The table of eight rows for the apprentice."""
    return EightRows()
