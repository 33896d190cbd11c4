"""The explorers of the notebooks on one pickup and on two."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pickupcalc.answers.positions import PositionReport, report
from pickupcalc.answers.response import Response, response
from pickupcalc.instrument.instrument import About, Instrument, Position
from pickupcalc.parts.controls import Taper, Tone, Volume
from pickupcalc.parts.load import Load
from pickupcalc.parts.pickup import Pickup
from pickupcalc.show.plots import frequency_axes, new_figure, responses_figure
from pickupcalc.show.widgets import ChoiceDial, Dial, Explorer, NumberDial, QuantityDial
from pickupcalc.show.words import pair_sentence, peak_sentence
from pickupcalc.tables import table
from pickupcalc.units import engineering, quantity

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


def harness_dials() -> dict[str, Dial]:
    """The controls and the load that every pickup meets."""
    return {
        "volume": QuantityDial("volume track", "ohm", "250 kohm", "10 kohm", "10 Mohm"),
        "tone": QuantityDial("tone track", "ohm", "250 kohm", "10 kohm", "10 Mohm"),
        "capacitor": QuantityDial("tone capacitor", "farad", "22 nF", "0.5 nF", "220 nF"),
        "volume_setting": NumberDial("volume, rotation", 1.0),
        "tone_setting": NumberDial("tone, rotation", 1.0),
        "cable": ChoiceDial("cable", {row["description"]: key for key, row in table("cables").items()}),
        "length": QuantityDial("cable length", "meter", "3 m", "0.1 m", "12 m", linear=True),
        "amplifier": ChoiceDial(
            "amplifier", {row["description"]: key for key, row in table("amplifiers").items()}
        ),
    }


def harness(values: dict[str, Any]) -> dict[str, Any]:
    """Controls and load, as an instrument takes them, from the values of `harness_dials`."""
    amplifier = table("amplifiers")[values["amplifier"]]
    audio = Taper.of("audio")
    return {
        "controls": (
            Volume(track=values["volume"], taper=audio, setting=values["volume_setting"]),
            Tone(
                track=values["tone"],
                taper=audio,
                setting=values["tone_setting"],
                capacitor=values["capacitor"],
            ),
        ),
        "load": Load(
            cable_length=values["length"],
            cable_capacitance=table("cables")[values["cable"]]["capacitance"],
            amplifier_resistance=amplifier["resistance"],
            amplifier_capacitance=amplifier["capacitance"],
        ),
    }


def peak_explorer() -> Explorer:
    """One pickup, its controls, cable and amplifier: where is the peak?"""
    dials = {
        "resistance": QuantityDial("coil resistance", "ohm", "6.1 kohm", "1 kohm", "20 kohm"),
        "inductance": QuantityDial("coil inductance", "henry", "2.45 H", "0.5 H", "12 H"),
        "capacitance": QuantityDial("own capacitance", "farad", "110 pF", "20 pF", "400 pF"),
        **harness_dials(),
    }
    return Explorer(dials, _one, _one_figure, lambda s: peak_sentence(s.reports[0]))


def _one(resistance: Any, inductance: Any, capacitance: Any, **values: Any) -> Seen:
    pickup = Pickup(name="pickup", resistance=resistance, inductance=inductance, capacitance=capacitance)
    return seen(Instrument(About(name="one pickup"), (pickup,), **harness(values)))


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
        "leads": ChoiceDial("second's leads", ["as built", "swapped"]),
        "magnet": ChoiceDial("second's magnet", ["other way up", "same way up"]),
        "first": QuantityDial("first coil", "henry", "2.45 H", "0.5 H", "12 H"),
        "second": QuantityDial("second coil", "henry", "2.8 H", "0.5 H", "12 H"),
        **harness_dials(),
    }
    return Explorer(dials, _two, _two_figure, _two_words)


def _two(joined: str, leads: str, magnet: str, first: Any, second: Any, **values: Any) -> Seen:
    """The second pickup is built to aid the first and cancel its hum: other magnet, other hum sign."""
    south = magnet == "other way up"
    swapped = leads == "swapped"
    one = _coil("first", first, magnet="north", tap="positive")
    other = _coil("second", second, magnet="south" if south else "north", tap=_tap(south, swapped))
    alone = [Position(name=p.name, wiring=p.name) for p in (one, other)]
    both = Position(name="both", wiring={joined: ["first", "second"]})
    about = About(name="two pickups")
    return seen(Instrument(about, (one, other), positions=(*alone, both), **harness(values)))


def _coil(name: str, inductance: Any, *, magnet: str, tap: str) -> Pickup:
    """A coil whose resistance goes with its inductance: 2.5 kilohm a henry, common practice, no source."""
    resistance = quantity(2500.0 * inductance.m, "ohm")
    return Pickup(name=name, resistance=resistance, inductance=inductance, magnet=magnet, tap=tap)


def _tap(south: bool, swapped: bool) -> str:
    return "positive" if south != swapped else "negative"


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
