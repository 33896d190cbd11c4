"""The explorer of the notebook on pots: pick the aim, see the ranking, drag the parts, save the choice."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ipywidgets as ipw

from pickupcalc.answers.pots.aims import Aim, Flat, Height, Keep, Match
from pickupcalc.answers.pots.candidates import made
from pickupcalc.answers.pots.fitting import fitted, into_job, short
from pickupcalc.answers.pots.judging import Choice, Study, judge
from pickupcalc.answers.pots.ranking import Ranking, rank
from pickupcalc.answers.pots.scatter import Tolerance, scatter
from pickupcalc.answers.pots.shape import turned
from pickupcalc.answers.response import Response, response
from pickupcalc.answers.tolerance import UncertainInput, inputs_of
from pickupcalc.errors import Fault, InputError
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.jobfile import Job, read_job
from pickupcalc.parts.controls import Control, Tone, Volume
from pickupcalc.show.pots import tolerance_figure
from pickupcalc.show.widgets import ChoiceDial, Dial, Explorer, NumberDial, QuantityDial
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
    """An explorer with buttons: dial in one of the best choices, write the dialled parts into a job file."""

    def __init__(self, job: Job, save_to: Path) -> None:
        self.job, self.save_to = job, save_to
        self._aimed, self._ranked = lru_cache(64)(self._aim), lru_cache(64)(self._rank)
        self.offers = [ipw.Button(layout=ipw.Layout(width="max-content")) for _ in range(OFFERED)]
        for i, button in enumerate(self.offers):
            button.on_click(lambda _, i=i: self.dial_in(i))
        self.save_button = ipw.Button(
            description=f"write these parts into {save_to.name}", layout=ipw.Layout(width="auto")
        )
        self.save_button.on_click(lambda _: self.save())
        self.saved = ipw.HTML()
        super().__init__(_dials(job.instrument), self._look, _figure, _words)
        label = ipw.HTML("<p>Best of the tracks commonly made; press one to dial it in:</p>")
        parts = self.children  # type: ignore[has-type]
        self.children = (*parts, label, *self.offers, ipw.HBox([self.save_button, self.saved]))

    def dial_in(self, number: int) -> None:
        """Set the dials to one of the choices offered."""
        for part in self.result.ranking.choices[number].fitted:
            dial = self.dials[self.job.instrument.controls[part.index].kind]
            assert isinstance(dial, QuantityDial)
            dial.field.value = short(part.track.magnitude, "ohm")

    def save(self) -> None:
        """Write the dialled parts into the job file, and say so."""
        try:
            target = _target(self.job, self.save_to)
            into_job(target, self.result.dialled.fitted).save()
        except InputError as error:
            self.saved.value = f'<span role="alert">{escape(str(error))}</span>'
            return
        self.saved.value = f"<span>written; comments are kept: {escape(self.save_to.name)}</span>"

    def _look(self, **values: Any) -> PotsSeen:
        self.saved.value = ""
        length, percent = float(values["cable"].m), values["tolerance"]
        instrument = self._with_cable(length)
        positions = _positions(instrument, values["position"])
        aim = self._aimed(values["aim"], values["low"], values["high"])
        dialled = replace(instrument, controls=tuple(_dialled(c, values) for c in instrument.controls))
        stand = turned(dialled, volume=values["rotation"])
        curves = [
            scatter(stand, p.name, samples=STUDY.samples, inputs=_inputs(stand, [p], percent))
            for p in positions
        ]
        farads = float(values["capacitor"].m)
        ranking = self._ranked(aim, values["position"], length, percent, farads)
        today = turned(self.job.instrument, volume=values["rotation"])
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

    def _aim(self, chosen: str, low: float, high: float) -> Aim:
        if chosen == BAND:
            return Height(low, high)
        if chosen == FLAT:
            return Flat()
        today = self.job.instrument
        return Keep.of(today) if chosen == KEEP else Match.of(today, chosen.removeprefix(LIKE))

    def _rank(self, aim: Aim, position: str, length: float, percent: float, farads: float) -> Ranking:
        instrument = self._with_cable(length)
        positions = _positions(instrument, position)
        candidates = made(
            instrument, positions, capacitors=[quantity(farads, "farad")], track_fraction=percent / 100
        )
        return rank(candidates, [aim], positions, top=OFFERED, study=STUDY)

    def _with_cable(self, length: float) -> Instrument:
        instrument = self.job.instrument
        load = replace(instrument.load, cable_length=quantity(length, "meter"))
        return replace(instrument, load=load)


def pots_explorer(job: Job, save_to: str | Path) -> PotsExplorer:
    """Which pots, which capacitor?

    Parameters
    ----------
    job : Job
        Where the dials start.
    save_to : str or Path
        The job file that the button writes; made from `job` where there is none.
    """
    return PotsExplorer(job, Path(save_to))


def _dials(instrument: Instrument) -> dict[str, Dial]:
    names = [p.name for p in instrument.positions]
    volume = next((c for c in instrument.controls if isinstance(c, Volume)), None)
    tone = next((c for c in instrument.controls if isinstance(c, Tone)), None)
    if volume is None or tone is None:
        raise InputError.of("control", "these dials are for an instrument with a volume and a tone")
    cable = instrument.load.known("cable_length")
    return {
        "aim": ChoiceDial("aim", [BAND, FLAT, KEEP, *(f"{LIKE}{n}" for n in names)]),
        "position": ChoiceDial("in", [*names, ALL]),
        "volume": QuantityDial("volume track", "ohm", _text(volume.track, "ohm"), "10 kohm", "2 Mohm"),
        "tone": QuantityDial("tone track", "ohm", _text(tone.track, "ohm"), "10 kohm", "2 Mohm"),
        "capacitor": QuantityDial("tone capacitor", "farad", _text(tone.capacitor, "F"), "0.5 nF", "220 nF"),
        "cable": QuantityDial("cable length", "meter", _text(cable, "m"), "0.1 m", "12 m", linear=True),
        "rotation": NumberDial("volume, rotation", 1.0),
        "tolerance": NumberDial("track tolerance, %", 20.0, 1.0, 30.0, 1.0),
        "low": NumberDial("peak at least, dB", 2.0, -6.0, 12.0, 0.5),
        "high": NumberDial("peak at most, dB", 4.0, -6.0, 12.0, 0.5),
    }


def _text(value: Any, symbol: str) -> str:
    return f"{value.magnitude:.6g} {symbol}"


def _positions(instrument: Instrument, name: str) -> list[Position]:
    return list(instrument.positions) if name == ALL else [instrument.position(name)]


def _served(instrument: Instrument, positions: list[Position]) -> set[int]:
    return {*instrument.serving(Volume, positions), *instrument.serving(Tone, positions)}


def _dialled(control: Control, values: dict[str, Any]) -> Control:
    if isinstance(control, Tone):
        return replace(control, track=values["tone"], capacitor=values["capacitor"], resistor_across=None)
    if isinstance(control, Volume):
        return replace(control, track=values["volume"], resistor_across=None)
    return control


def _inputs(instrument: Instrument, positions: list[Position], percent: float) -> list[UncertainInput]:
    """What is uncertain, with the tolerance of tracks as dialled in."""
    return [
        replace(u, fraction=percent / 100) if u.key == "track" else u
        for u in inputs_of(instrument, positions)
    ]


def _target(job: Job, path: Path) -> Job:
    """The job file to write into: what is there, or a new one with the comments of `job`."""
    if not path.exists():
        return replace(job, path=path, original=None)
    found = read_job(path)
    if found.instrument.control_labels() != job.instrument.control_labels():
        raise InputError(Fault("control", "this file has other controls; nothing was written"), str(path))
    return found


def _figure(seen: PotsSeen) -> Figure:
    return tolerance_figure(seen.tolerances, seen.today)


def _words(seen: PotsSeen) -> str:
    where = ", ".join(seen.ranking.positions)
    return f"{where}, as dialled in, for {seen.ranking.aim}. {seen.dialled.sentence}"
