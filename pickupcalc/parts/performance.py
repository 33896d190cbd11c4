"""What is played, and how it is put on record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pickupcalc.errors import Fault, InputError
from pickupcalc.parts.fields import (
    Amount,
    Checked,
    Inner,
    MaybeAmount,
    SinglePart,
    checked,
    choice,
    measured,
    number,
    part,
    true_or_false,
    whole,
)
from pickupcalc.parts.sensing import Pluck
from pickupcalc.units import engineering, quantity, single

SCENES = ("note", "chord", "scale", "strum", "strings")
MAJOR = (0, 2, 4, 5, 7, 9, 11, 12)  # semitones


def _within(unit: str, symbol: str, low: float, high: float) -> Any:
    """A check of a quantity between two bounds, told with them."""

    def check(given: Any) -> Any:
        value = single(given, unit)
        if not low <= value <= high:
            bounds = f"{engineering(low, symbol)} to {engineering(high, symbol)}"
            raise InputError.of("", f'"{given}" must be from {bounds}')
        return quantity(value, unit)

    return check


def _frets(given: Any) -> tuple[float | None, ...]:
    """A fret for each string; None, or "x", for one that is not played."""
    if isinstance(given, str) or not isinstance(given, (list, tuple)):
        raise InputError.of("", f'{given!r} must be a list such as [0, 2, 2, 1, 0, "x"]')
    made: list[float | None] = []
    for fret in given:
        if fret is None or fret == "x":
            made.append(None)
        elif isinstance(fret, (int, float)) and not isinstance(fret, bool) and 0 <= fret <= 36:
            made.append(float(fret))
        else:
            raise InputError.of("", f'{fret!r} is not a fret from 0 to 36, nor "x" for a string not played')
    return tuple(made)


@dataclass(frozen=True, kw_only=True)
class Performance(SinglePart):
    """What the hands do.

    Parameters
    ----------
    scene : {"strum", "chord", "note", "scale", "strings"}
        All strings one shortly after the other, all at once, one string, a major
        scale on one string, or all strings one by one.
    string : int
        Counted from 1 in the order of the job file; for a note and a scale.
    fret : float
        Of a note, a scale's first note, or all strings.
    frets : sequence, optional
        One for each string, "x" for a string not played; instead of `fret`.
    seconds : Quantity or str
        Length of the whole.
    stroke : Quantity or str
        From one string of a strum to the next.
    pluck : Pluck or mapping
    """

    scene: str = choice(*SCENES, default="strum")
    string: int = whole(1, 100, default=1)
    fret: Any = number(default=0, at_least=0, at_most=36)
    frets: Checked[tuple[float | None, ...] | None, Sequence[float | str | None] | None] = checked(
        _frets, default=None
    )
    seconds: Amount = checked(_within("second", "s", 0.1, 60.0), default="4 s")
    stroke: Amount = checked(_within("second", "s", 0.0, 1.0), default="0.03 s")
    pluck: Inner[Pluck] = part(Pluck, default=Pluck())

    def events(self, strings: int) -> list[tuple[int, float, float]]:
        """(string, fret, start in seconds) of everything plucked; the string counts from 0."""
        length, stroke = float(self.seconds.magnitude), float(self.stroke.magnitude)
        frets = (float(self.fret),) * strings if self.frets is None else self.frets
        if self.frets is not None and len(frets) != strings:
            raise InputError.of("frets", f"has {len(frets)} entries for {strings} strings")
        played = [(i, fret) for i, fret in enumerate(frets) if fret is not None]
        one = self.string - 1
        if self.scene == "note":
            return [(one, float(self.fret), 0.0)]
        if self.scene == "scale":
            return [(one, float(self.fret) + s, k * length / len(MAJOR)) for k, s in enumerate(MAJOR)]
        apart = {"strum": stroke, "chord": 0.0, "strings": length / max(len(played), 1)}[self.scene]
        return [(i, fret, k * apart) for k, (i, fret) in enumerate(played)]

    def _contradictions(self) -> list[Fault]:
        if self.frets is not None and self.scene in ("note", "scale"):
            return [Fault("frets", f'a {self.scene} is played at "fret", on "string"')]
        return []


@dataclass(frozen=True, kw_only=True)
class Record(SinglePart):
    """How what is played becomes a file.

    Parameters
    ----------
    rate : Quantity or str
        Samples a second, 8 kHz to 192 kHz. Partials from half of it on are left out.
    level : {"matched", "true"}
        All positions equally loud (ITU-R BS.1770), or as loud against each other as they are.
    hum : bool
        Whether the room's hum field comes in too.
    room : Quantity or str, optional
        Effective flux density at the mains frequency; a usual one if left out.
    distortion : bool
        Whether the flux follows the string's motion as bent as it does, or straight.
    low_pass : Quantity or str, optional
        Corner of a low-pass as a loudspeaker would be; off if left out.
    gap : Quantity or str
        Silence between two positions.
    """

    rate: Amount = checked(_within("hertz", "Hz", 8e3, 192e3), default="48 kHz")
    level: str = choice("matched", "true", default="matched")
    hum: bool = checked(true_or_false, default=False)
    room: MaybeAmount = measured("tesla", default=None, at_least=0)
    distortion: bool = checked(true_or_false, default=False)
    low_pass: MaybeAmount = checked(_within("hertz", "Hz", 100.0, 100e3), default=None)
    gap: Amount = checked(_within("second", "s", 0.0, 5.0), default="0.4 s")
