"""The explorer of the notebook on pots: pick the aim, see the ranking, drag the parts, save the choice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import ipywidgets as ipw

from pickupcalc.answers.pots.aims import Aim, Flat, Height, Keep, Match
from pickupcalc.answers.pots.candidates import made
from pickupcalc.answers.pots.fitting import fitted, into_job
from pickupcalc.answers.pots.judging import Choice, Study, judge
from pickupcalc.answers.pots.ranking import Ranking, rank
from pickupcalc.answers.pots.scatter import Tolerance, scatter
from pickupcalc.answers.response import Response, response
from pickupcalc.answers.tolerance import UncertainInput, inputs_of
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.jobfile import Job
from pickupcalc.instrument.turning import turned
from pickupcalc.parts.controls import Tone, Volume
from pickupcalc.show.explorers.frame import Explorer
from pickupcalc.show.explorers.harness_dials import controls_as_dialled, first_serving
from pickupcalc.show.explorers.jobs import Subject
from pickupcalc.show.explorers.widgets import ChoiceDial, Dial, NumberDial, Offer, QuantityDial
from pickupcalc.show.pots import tolerance_figure
from pickupcalc.units import quantity

if TYPE_CHECKING:
    from matplotlib.figure import Figure

ALL = "all positions"
BAND, FLAT, KEEP, LIKE = "a peak of this height", "maximally flat", "as it is today", "like "
STUDY = Study(samples=200)  # enough for a picture that follows the hand; the command draws more
OFFERED = 3


@dataclass(frozen=True)
class PotsSeen:
    """What the explorer shows.

    Attributes
    ----------
    dialled : Choice
        The parts as dialled in, against the aim.
    tolerances : tuple of Tolerance
        Of the positions, with the volume where it stands.
    today : tuple of Response
        Of the positions as the job has them.
    ranking : Ranking
        The best of the tracks commonly made.
    """

    dialled: Choice
    tolerances: tuple[Tolerance, ...]
    today: tuple[Response, ...]
    ranking: Ranking


class PotsExplorer(Explorer):
    """An explorer with buttons that dial in one of the best choices."""

    def __init__(self) -> None:
        self._of: Job | None = None
        self._known: dict[Any, Any] = {}
        self.offers = [ipw.Button(layout=ipw.Layout(width="max-content")) for _ in range(OFFERED)]
        for i, button in enumerate(self.offers):
            button.on_click(lambda _, i=i: self.dial_in(i))
        subject = Subject(_start, "position", _where, _save)
        label = ipw.HTML("Best of the tracks commonly made; press one to dial it in:")
        super().__init__(_dials(), self._look, _figure, _words, subject, [label, *self.offers])

    def dial_in(self, number: int) -> None:
        """Set the dials to one of the choices offered."""
        controls = self.values()["job"].instrument.controls
        for part in self.result.ranking.choices[number].fitted:
            self.dials[controls[part.index].kind].put(part.track)
        self.redraw()

    def _look(self, job: Job, **values: Any) -> PotsSeen:
        if job is not self._of:
            self._of, self._known = job, {}
        length, percent = float(values["cable"].m), values["tolerance"]
        instrument = _with_cable(job.instrument, length)
        positions = _positions(instrument, values["position"])
        aim = self._once(_aim, job.instrument, values["aim"], values["low"], values["high"])
        dialled = replace(instrument, controls=controls_as_dialled(instrument, positions, values))
        stand = turned(dialled, volume=values["rotation"])
        curves = [
            scatter(stand, p.name, samples=STUDY.samples, inputs=_inputs(stand, [p], percent))
            for p in positions
        ]
        farads = float(values["capacitor"].m)
        ranking = self._once(_rank, job.instrument, aim, values["position"], length, percent, farads)
        today = turned(job.instrument, volume=values["rotation"])
        for button, choice in zip(self.offers, ranking.choices, strict=False):
            button.description = f"{choice.parts_text}: {100 * choice.chance:.0f} of 100 meet the aim"
        inputs = _inputs(dialled, positions, percent)
        judged = judge(dialled, [aim], positions, study=STUDY, inputs=inputs)
        return PotsSeen(
            dialled=replace(judged, fitted=fitted(dialled, _served(dialled, positions))),
            tolerances=tuple(curves),
            today=tuple(response(today, p.name) for p in positions),
            ranking=ranking,
        )

    def _once(self, work: Callable[..., Any], instrument: Instrument, *given: Any) -> Any:
        """What does not change while other dials turn is worked out once for a job."""
        if (work, given) not in self._known:
            self._known[work, given] = work(instrument, *given)
        return self._known[work, given]


def pots_explorer() -> PotsExplorer:
    """Which pots, which capacitor?"""
    return PotsExplorer()


def _aim(today: Instrument, chosen: str, low: float, high: float) -> Aim:
    if chosen == BAND:
        return Height(low, high)
    if chosen == FLAT:
        return Flat()
    return Keep.of(today) if chosen == KEEP else Match.of(today, chosen.removeprefix(LIKE))


def _rank(
    instrument: Instrument, aim: Aim, position: str, length: float, percent: float, farads: float
) -> Ranking:
    instrument = _with_cable(instrument, length)
    positions = _positions(instrument, position)
    capacitors = [quantity(farads, "farad")]
    candidates = made(instrument, positions, capacitors=capacitors, track_fraction=percent / 100)
    return rank(candidates, [aim], positions, top=OFFERED, study=STUDY)


def _with_cable(instrument: Instrument, length: float) -> Instrument:
    load = replace(instrument.load, cable_length=quantity(length, "meter"))
    return replace(instrument, load=load)


def _where(instrument: Instrument) -> dict[str, str]:
    return {p.name: p.name for p in instrument.positions} | {ALL: ALL}


def _save(job: Job, seen: PotsSeen, _: dict[str, Any]) -> tuple[Job, str]:
    parts = seen.dialled.fitted
    return into_job(job, parts), "; ".join(f"{p.control}: {p.text}" for p in parts)


def _dials() -> dict[str, Dial]:
    return {
        "aim": ChoiceDial("aim", [BAND]),
        "volume": QuantityDial("volume track", "ohm", "250 kohm", "10 kohm", "2 Mohm"),
        "tone": QuantityDial("tone track", "ohm", "250 kohm", "10 kohm", "2 Mohm"),
        "capacitor": QuantityDial("tone capacitor", "farad", "22 nF", "0.5 nF", "220 nF"),
        "cable": QuantityDial("cable length", "meter", "3 m", "0.1 m", "12 m", linear=True),
        "rotation": NumberDial("volume, rotation", 1.0),
        "tolerance": NumberDial("track tolerance, %", 20.0, 1.0, 30.0, 1.0),
        "low": NumberDial("peak at least, dB", 2.0, -6.0, 12.0, 0.5),
        "high": NumberDial("peak at most, dB", 4.0, -6.0, 12.0, 0.5),
    }


def _start(job: Job, position: str) -> dict[str, Any]:
    instrument = job.instrument
    here = _positions(instrument, position)
    volume, tone = (first_serving(instrument, kind, here) for kind in (Volume, Tone))
    if volume is None:
        raise InputError.of("control", f"{position} has no volume control, so there is no track to choose")
    return {
        "aim": Offer([BAND, FLAT, KEEP, *(f"{LIKE}{p.name}" for p in instrument.positions)]),
        "volume": volume.track,
        "tone": tone and tone.track,
        "capacitor": tone and tone.capacitor,
        "cable": instrument.load.known("cable_length"),
    }


def _positions(instrument: Instrument, name: str) -> list[Position]:
    return list(instrument.positions) if name == ALL else [instrument.position(name)]


def _served(instrument: Instrument, positions: list[Position]) -> set[int]:
    return {*instrument.serving(Volume, positions), *instrument.serving(Tone, positions)}


def _inputs(instrument: Instrument, positions: list[Position], percent: float) -> list[UncertainInput]:
    """What is uncertain, with the tolerance of tracks as dialled in."""
    return [
        replace(u, fraction=percent / 100) if u.key == "track" else u
        for u in inputs_of(instrument, positions)
    ]


def _figure(seen: PotsSeen) -> Figure:
    return tolerance_figure(seen.tolerances, seen.today)


def _words(seen: PotsSeen) -> str:
    where = ", ".join(seen.ranking.positions)
    return f"{where}, as dialled in, for {seen.ranking.aim}. {seen.dialled.sentence}"
