"""Making do with what is in the drawer: a resistor across a track, and what a marking is worth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.answers.pots.shape import natural_frequency, resonance
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.turning import turned
from pickupcalc.parts.controls import Tone, Volume
from pickupcalc.parts.drawer import TrackPiece
from pickupcalc.parts.preferred import nearest
from pickupcalc.units import engineering, quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity


@dataclass(frozen=True)
class Across:
    """A resistor to solder across a track.

    Attributes
    ----------
    resistor : Quantity
        Of a preferred series.
    acts_as : Quantity
        What the track with it measures from end lug to end lug.
    off : float
        How far that is from what was wanted, as a fraction.
    """

    resistor: Quantity
    acts_as: Quantity
    off: float

    @property
    def sentence(self) -> str:
        resistor, acts = (engineering(x.magnitude, "Ω") for x in (self.resistor, self.acts_as))
        return f"Solder {resistor} from end lug to end lug: it then acts as {acts} ({100 * self.off:+.1f} %)."


def resistor_across(track: Any, wanted: Any, *, series: str = "E24") -> Across:
    """The resistor that makes a track act as a lower one.

    A volume loads its pickup as the lower track would, and divides as before.
    At part rotation its wiper still stands behind the larger track, so it loses
    more treble into the cable than a real lower track. As a rheostat (a tone)
    its taper bends toward the end.

    Parameters
    ----------
    track, wanted : Quantity or str
        What there is, as measured, and what it is to act as.
    series : str
        Of preferred values (IEC 60063).

    Raises
    ------
    InputError
        If what is wanted is not below the track.

    Examples
    --------
    >>> resistor_across("500 kohm", "250 kohm").sentence
    'Solder 510 kΩ from end lug to end lug: it then acts as 252 kΩ (+1.0 %).'
    """
    have, want = to_si(track, "ohm", "track"), to_si(wanted, "ohm", "wanted")
    if not 0 < want < have:
        told = f"{wanted} must be above 0 and below the track of {track}: a resistor across it only lowers it"
        raise InputError.of("wanted", told)
    exact = 1 / (1 / want - 1 / have)
    resistor = nearest(series, quantity(exact, "ohm"), "ohm")
    acts = 1 / (1 / resistor.magnitude + 1 / have)
    return Across(resistor, quantity(acts, "ohm"), acts / want - 1)


@dataclass(frozen=True)
class MarkingReport:
    """What a measured track does in a position against what its marking promises.

    Attributes
    ----------
    piece : TrackPiece
    control, position : str
    frequency_change : float
        Of the resonance's natural frequency, as a fraction.
    height_change_db : float
        Of the peak; through the flat response as in `shape.Resonance`.
    """

    piece: TrackPiece
    control: str
    position: str
    frequency_change: float
    height_change_db: float

    def as_json(self) -> dict[str, Any]:
        return {
            "marked_ohm": to_si(self.piece.marked, "ohm"),
            "reads_ohm": to_si(self.piece.reads, "ohm"),
            "control": self.control,
            "position": self.position,
            "frequency_change": self.frequency_change,
            "height_change_db": self.height_change_db,
        }

    @property
    def sentence(self) -> str:
        marked, reads = (engineering(to_si(x, "ohm"), "Ω") for x in (self.piece.marked, self.piece.reads))
        change = f"{self.height_change_db:+.1f} dB and {100 * self.frequency_change:+.1f} %"
        where = f"{self.control} at {self.position}"
        return f"Marked {marked}, reads {reads}: as {where} it moves the peak's height and place by {change}."


def against_marking(
    instrument: Instrument, position: Position, pieces: Sequence[TrackPiece]
) -> list[MarkingReport]:
    """Fit each measured track, and one exactly of its marking, and compare the peaks.

    Each piece that bears a marking is tried in each volume and tone that serves
    the position, the others staying as they are, all fully up.
    """
    marked = [p for p in pieces if p.marked is not None]
    if not marked:
        return []
    ohms = np.array([[to_si(p.marked, "ohm"), to_si(p.reads, "ohm")] for p in marked]).ravel()
    found = []
    for i in (*instrument.serving(Volume, [position]), *instrument.serving(Tone, [position])):
        controls = list(instrument.controls)
        controls[i] = replace(controls[i], track=quantity(ohms, "ohm"), resistor_across=None)
        tried = turned(replace(instrument, controls=tuple(controls)))
        height = resonance(tried, position).height_db.reshape(-1, 2)
        frequency = natural_frequency(tried, position).reshape(-1, 2)
        label = instrument.control_labels()[i]
        found += [
            MarkingReport(piece, label, position.name, float(f[1] / f[0] - 1), float(h[1] - h[0]))
            for piece, f, h in zip(marked, frequency, height, strict=True)
        ]
    return found
