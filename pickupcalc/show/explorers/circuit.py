"""The explorers of the notebooks on one pickup and on two."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from pickupcalc.answers.polarity.changes import changed
from pickupcalc.answers.positions import PositionReport, report
from pickupcalc.answers.response import Response, response
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.jobfile import Job
from pickupcalc.parts.pickup import Pickup
from pickupcalc.show.explorers.exchange import (
    Pair,
    coil_dials,
    coil_values,
    pair_changes,
    pair_dials,
    pair_positions,
    pair_subject,
    pickups,
    save_dialled,
    way_joined,
)
from pickupcalc.show.explorers.frame import Explorer
from pickupcalc.show.explorers.harness_dials import harness_dials, harness_values, with_harness
from pickupcalc.show.explorers.jobs import Subject
from pickupcalc.show.explorers.widgets import ChoiceDial, QuantityDial
from pickupcalc.show.plots import frequency_axes, new_figure, responses_figure
from pickupcalc.show.words import pair_sentence, peak_sentence
from pickupcalc.units import engineering

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True)
class Seen:
    """What an explorer shows: reports and curves, position by position."""

    reports: tuple[PositionReport, ...]
    curves: tuple[Response, ...]


def seen(instrument: Instrument) -> Seen:
    """Reports and curves of all positions of an instrument."""
    return Seen(
        tuple(report(instrument, p) for p in instrument.positions),
        tuple(response(instrument, p.name) for p in instrument.positions),
    )


def peak_explorer() -> Explorer:
    """One pickup, its controls, cable and amplifier: where is the peak?"""
    subject = Subject(_start_of_one, "pickup", pickups, save_dialled)
    dials = coil_dials("loss_resistance") | harness_dials()
    return Explorer(dials, _one, _one_figure, lambda s: peak_sentence(s.reports[0]), subject)


def _start_of_one(job: Job, pickup: str) -> dict[str, Any]:
    coil = coil_values(job, pickup)
    del coil["loss_resistance"]
    return coil | harness_values(job.instrument, _alone(pickup))


def _alone(pickup: str) -> tuple[Position, ...]:
    return (Position(name=pickup, wiring=pickup),)


def _one(job: Job, pickup: str, **values: Any) -> Seen:
    coil = {key: values[key] for key in ("resistance", "inductance", "capacitance")}
    alone = _alone(pickup)
    return seen(_with_coils(with_harness(job.instrument, alone, values), alone, {pickup: coil}))


def _with_coils(
    instrument: Instrument, positions: tuple[Position, ...], coils: dict[str, dict[str, Any]]
) -> Instrument:
    """The instrument with other positions, and with some values of its pickups as dialled."""
    made = tuple(replace(p, **coils.get(p.name, {}), computed=()) for p in instrument.pickups)
    return replace(instrument, pickups=made, positions=positions, observations=())


def _one_figure(s: Seen) -> Figure:
    figure, axes = new_figure()
    (curve,), (told,) = s.curves, s.reports
    axes.semilogx(curve.frequencies.m, curve.magnitude_db, color="#0072B2")
    if told.peak_frequency is not None and told.peak_height_db is not None:
        top = told.level_db + told.peak_height_db
        axes.plot([told.peak_frequency.m], [top], "o", color="#D55E00")
        label = f"{engineering(told.peak_frequency.m, 'Hz')}, {told.peak_height_db:+.1f} dB"
        axes.annotate(
            label, (told.peak_frequency.m, top), xytext=(0, 8), textcoords="offset points", ha="center"
        )
    frequency_axes(axes)
    _axes(axes, low=-30, high=15)
    return figure


def pair_explorer() -> Explorer:
    """Two pickups: side by side or one after the other, in phase or not, humming or not."""
    dials = {
        "joined": ChoiceDial("joined", ["parallel", "series"]),
        **pair_dials(),
        "first": QuantityDial("first coil", "henry", "2.45 H", "0.5 H", "12 H"),
        "second": QuantityDial("second coil", "henry", "2.8 H", "0.5 H", "12 H"),
        **harness_dials(),
    }
    return Explorer(dials, _two, _two_figure, _two_words, pair_subject(_start_of_two, "bass_12"))


def _start_of_two(job: Job, pickups: Pair) -> dict[str, Any]:
    joined = way_joined(job.instrument, pickups)
    first, second = (job.instrument.pickup(name).inductance for name in pickups)
    return {"joined": joined, "first": first, "second": second} | harness_values(
        job.instrument, pair_positions(pickups, joined)
    )


def _two(job: Job, pickups: Pair, joined: str, first: Any, second: Any, **values: Any) -> Seen:
    positions = pair_positions(pickups, joined)
    after = changed(with_harness(job.instrument, positions, values), pair_changes(pickups, **values))
    coils = {
        name: _wound_to(after.pickup(name), henries)
        for name, henries in zip(pickups, (first, second), strict=True)
    }
    return seen(_with_coils(after, positions, coils))


def _wound_to(pickup: Pickup, inductance: Any) -> dict[str, Any]:
    """A coil with more or fewer turns: its resistance goes as the turns, its inductance as their square."""
    turns = (inductance.m / pickup.inductance.m) ** 0.5
    return {"inductance": inductance, "resistance": pickup.resistance * turns}


def _two_figure(s: Seen) -> Figure:
    figure = responses_figure(s.curves)
    _axes(figure.axes[0], low=-40, high=15)
    return figure


def _two_words(s: Seen) -> str:
    first, _, both = s.reports
    return f"{pair_sentence(both, first)} {peak_sentence(both)}"


def _axes(axes: Any, low: float, high: float) -> None:
    """The same scales whatever the dials say, so that the eye sees the curve move and not the axes."""
    axes.set_xlim(50, 20e3)
    axes.set_ylim(low, high)
    axes.set_ylabel("level at the amplifier in dB")
