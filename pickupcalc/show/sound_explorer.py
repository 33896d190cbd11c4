"""The explorer of the notebook on two pickups heard together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import ipywidgets as ipw

from pickupcalc.answers.sound.comparison import compare
from pickupcalc.answers.sound.heard import Sound, sound
from pickupcalc.answers.sound.listening import Listening, listen, takes
from pickupcalc.answers.sound.notches import FretMap, fret_map
from pickupcalc.instrument.instrument import About, Instrument, Position
from pickupcalc.parts.controls import Taper, Tone, Volume
from pickupcalc.parts.load import Load
from pickupcalc.parts.performance import Performance, Record
from pickupcalc.parts.pickup import Pickup
from pickupcalc.parts.sensing import Pluck
from pickupcalc.parts.strings import String
from pickupcalc.show.sound import sound_figure
from pickupcalc.show.widgets import ChoiceDial, Explorer, NumberDial, QuantityDial
from pickupcalc.units import quantity

if TYPE_CHECKING:
    from matplotlib.figure import Figure

STRINGS = ("E2", "A2", "D3", "G3", "B3", "E4")
PARTIALS = 20
SHORT = Record(rate=quantity(24e3, "hertz"), level="true")  # what an audio player in a page needs
HIGHEST_FRET = 21


@dataclass(frozen=True)
class Heard:
    """What the explorer shows: each pickup alone and both, the comb of both, and how they sound."""

    sounds: tuple[Sound, ...]
    comb: FretMap
    listening: Listening
    string: int
    fret: float


class SoundExplorer(Explorer):
    """An explorer with audio players between its words and its picture."""

    def __init__(self, *arguments: Any) -> None:
        self.players = ipw.HTML()
        super().__init__(*arguments)
        *above, picture = self.children
        self.children: tuple[ipw.Widget, ...] = (*above, self.players, picture)

    def _show(self) -> None:
        super()._show()
        self.players.value = self.result.listening._repr_html_()


def sound_explorer() -> SoundExplorer:
    """Two pickups: where they stand, how they are joined, which string, fret and pluck."""
    dials = {
        "joined": ChoiceDial("joined", ["parallel", "series"]),
        "phase": ChoiceDial("phase", ["in phase", "out of phase"]),
        "first": QuantityDial("first to bridge", "meter", "158 mm", "30 mm", "180 mm", linear=True),
        "second": QuantityDial("second to bridge", "meter", "42 mm", "30 mm", "180 mm", linear=True),
        "aperture": QuantityDial("aperture", "meter", "12 mm", "2 mm", "40 mm", linear=True),
        "string": ChoiceDial("string", STRINGS, "A2"),
        "fret": NumberDial("fret", 0.0, 0.0, HIGHEST_FRET, 1.0),
        "pluck": QuantityDial("pluck to bridge", "meter", "108 mm", "5 mm", "182 mm", linear=True),
    }
    return SoundExplorer(dials, hear, _figure, words)


def pair(joined: str, phase: str, first: Any, second: Any, aperture: Any) -> Instrument:
    """Two alike pickups on a 648 mm scale, with usual controls and load (invented)."""
    coil = {
        "resistance": "6 kohm",
        "inductance": "2.4 H",
        "capacitance": "110 pF",
        "loss_resistance": "1.5 Mohm",
        "aperture": aperture,
    }
    other = "positive" if phase == "in phase" else "negative"
    pickups = tuple(
        Pickup(name=name, distance_from_bridge=at, magnet=magnet, tap=tap, **coil)
        for name, at, magnet, tap in (
            ("first", first, "north", "positive"),
            ("second", second, "south", other),
        )
    )
    audio = Taper.of("audio")
    return Instrument(
        About(name="two pickups", scale_length="648 mm"),
        pickups,
        (Volume(track="250 kohm", taper=audio), Tone(track="250 kohm", taper=audio, capacitor="22 nF")),
        tuple(
            Position(name=name, wiring=wiring)
            for name, wiring in (
                ("first", "first"),
                ("second", "second"),
                ("both", {joined: ["first", "second"]}),
            )
        ),
        Load(cable_length="3 m", cable_capacitance="100 pF/m", amplifier_resistance="1 Mohm"),
        tuple(String(note=note) for note in STRINGS),
    )


def hear(string: str, fret: float, pluck: Any, **values: Any) -> Heard:
    """Everything the explorer shows, for one string at one fret."""
    instrument, index = pair(**values), STRINGS.index(string)
    hand = Pluck(distance_from_bridge=pluck)
    chosen = takes(instrument)
    note = Performance(scene="note", string=index + 1, fret=fret, seconds=quantity(2.0, "second"), pluck=hand)
    return Heard(
        sounds=tuple(sound(instrument, t.position, fret=fret, pluck=hand, spread=False) for t in chosen),
        comb=fret_map(instrument, "both", index, frets=HIGHEST_FRET, partials=PARTIALS),
        listening=listen(chosen, note, SHORT),
        string=index,
        fret=fret,
    )


def _figure(heard: Heard) -> Figure:
    return sound_figure(heard.sounds, heard.comb, heard.string, heard.fret)


def words(heard: Heard) -> str:
    """What changes from the first pickup alone to both, in one paragraph."""
    first, _, both = heard.sounds
    missing = heard.comb.partials[heard.comb.heard_db[int(heard.fret)] < -20]
    told = compare(first, both).sentences()
    if missing.size:
        numbers = ", ".join(map(str, missing))
        told.append(f"At fret {heard.fret:.0f} both together miss partials {numbers} by more than 20 dB.")
    return f"All strings at fret {heard.fret:.0f}: " + " ".join(told)
