"""The explorer of the notebook on two pickups heard together."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import ipywidgets as ipw

from pickupcalc.answers.polarity.changes import changed
from pickupcalc.answers.sound.comparison import compare
from pickupcalc.answers.sound.heard import Sound, sound
from pickupcalc.answers.sound.listening import Listening, listen, takes
from pickupcalc.answers.sound.notches import FretMap, fret_map
from pickupcalc.answers.sound.playing import place, pluck_place
from pickupcalc.errors import Fault, InputError
from pickupcalc.instrument.jobfile import Job
from pickupcalc.parts.performance import Performance, Record
from pickupcalc.parts.sensing import Pluck
from pickupcalc.show.explorers.exchange import (
    Pair,
    pair_changes,
    pair_dials,
    pair_positions,
    pair_subject,
    way_joined,
)
from pickupcalc.show.explorers.frame import Explorer
from pickupcalc.show.explorers.widgets import ChoiceDial, Dial, NumberDial, Offer, QuantityDial
from pickupcalc.show.sound import sound_figure
from pickupcalc.units import quantity

if TYPE_CHECKING:
    from matplotlib.figure import Figure

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

    def __init__(self, dials: dict[str, Dial]) -> None:
        self.players = ipw.HTML()
        subject = pair_subject(_start, "bass_12")
        super().__init__(dials, hear, _figure, words, subject, [self.players])

    def _show(self) -> None:
        super()._show()
        self.players.value = self.result.listening._repr_html_()


def sound_explorer() -> SoundExplorer:
    """Two pickups: where they stand, how they are joined, which string, fret and pluck."""
    dials: dict[str, Dial] = {
        "joined": ChoiceDial("joined", ["parallel", "series"]),
        **pair_dials(),
        "first": QuantityDial("first to bridge", "meter", "158 mm", "30 mm", "180 mm", linear=True),
        "second": QuantityDial("second to bridge", "meter", "42 mm", "30 mm", "180 mm", linear=True),
        "aperture": QuantityDial("aperture", "meter", "12 mm", "2 mm", "40 mm", linear=True),
        "string": ChoiceDial("string", ["E2"]),
        "fret": NumberDial("fret", 0.0, 0.0, HIGHEST_FRET, 1.0),
        "pluck": QuantityDial("pluck to bridge", "meter", "108 mm", "5 mm", "182 mm", linear=True),
    }
    return SoundExplorer(dials)


def _start(job: Job, pickups: Pair) -> dict[str, Any]:
    """Places, strings, and a pluck clear of the pickups; refused where a job tells too little of them."""
    instrument = job.instrument
    if not instrument.strings:
        raise InputError(Fault("instrument, strings", "are missing; a sound needs them"), str(job.path))
    (first, aperture), (second, _) = (place(instrument, instrument.pickup(name)) for name in pickups)
    notes = [s.note for s in instrument.strings]
    return {
        "joined": way_joined(instrument, pickups),
        "first": quantity(first, "meter"),
        "second": quantity(second, "meter"),
        "aperture": quantity(aperture, "meter"),
        "string": Offer({f"{note}, string {i}": i for i, note in enumerate(notes, 1)}, min(2, len(notes))),
        "pluck": quantity(pluck_place(instrument, Pluck()), "meter"),
    }


def hear(
    job: Job,
    pickups: Pair,
    joined: str,
    first: Any,
    second: Any,
    aperture: Any,
    string: int,
    fret: float,
    pluck: Any,
    **done: Any,
) -> Heard:
    """Everything the explorer shows, for one string at one fret."""
    after = changed(job.instrument, pair_changes(pickups, **done))
    moved = {
        name: replace(after.pickup(name), distance_from_bridge=at, aperture=aperture)
        for name, at in zip(pickups, (first, second), strict=True)
    }
    instrument = replace(
        after,
        pickups=tuple(moved.get(p.name, p) for p in after.pickups),
        positions=pair_positions(pickups, joined),
        observations=(),
    )
    hand = Pluck(distance_from_bridge=pluck)
    chosen = takes(instrument)
    note = Performance(scene="note", string=string, fret=fret, seconds=quantity(2.0, "second"), pluck=hand)
    return Heard(
        sounds=tuple(sound(instrument, t.position, fret=fret, pluck=hand, spread=False) for t in chosen),
        comb=fret_map(instrument, "both", string - 1, frets=HIGHEST_FRET, partials=PARTIALS),
        listening=listen(chosen, note, SHORT),
        string=string - 1,
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
