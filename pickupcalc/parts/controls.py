"""Volume, tone and blend: a track, its taper, where it stands and how it is wired."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from pickupcalc.errors import Fault, InputError, quoted
from pickupcalc.parts.fields import (
    Amount,
    Inherited,
    Inner,
    MaybeAmount,
    Part,
    choice,
    measured,
    names,
    number,
    part,
    text,
)
from pickupcalc.tables import table

if TYPE_CHECKING:
    from pint import Quantity


@dataclass(frozen=True, kw_only=True)
class Taper(Part):
    """How the wiper divides a track as the knob turns.

    The share of the track below the wiper is exponential in the rotation, through
    0, `percent_at_half` and 1. Real tracks are two or three straight pieces near
    that curve (common practice, no source), so figures at part rotation are good
    to some 20 %.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> float(pc.Taper(percent_at_half=15).share_below(0.5))
    0.15
    """

    percent_at_half: Any = number(at_least=0.1, at_most=99.9)

    @classmethod
    def of(cls, given: Any) -> Taper:
        """From a table {percent_at_half = 15} or the name of a taper."""
        named = table("tracks")["tapers"]
        if isinstance(given, str) and given in named:
            return cls(percent_at_half=named[given]["percent_at_half"])
        if isinstance(given, Mapping) and set(given) == {"percent_at_half"}:
            return cls(**given)
        raise InputError.of("", f"{given!r} is not one of: {quoted(named)}, {{percent_at_half = 15}}")

    def share_below(self, rotation: Any) -> Any:
        """Share of the track between wiper and turned-down end; exactly 0 and 1 at the ends."""
        half = np.asarray(self.percent_at_half) / 100
        x = np.asarray(rotation, dtype=float)
        base = (1 / half - 1) ** 2
        straight = np.isclose(half, 0.5)
        with np.errstate(invalid="ignore"):
            curved = (base**x - 1) / np.where(straight, 1, base - 1)
        share = np.where(straight, x, curved)
        return np.where(x >= 1, 1.0, share)[()]


@dataclass(frozen=True, kw_only=True)
class Bypass(Part):
    """Parts from a volume control's end lug to its wiper that keep the treble as it is turned down."""

    capacitor: Amount = measured("farad", above=0)
    resistor: MaybeAmount = measured("ohm", default=None, above=0)
    joined: str = choice("series", "parallel", default="series")


@dataclass(frozen=True, kw_only=True)
class Control(Part):
    """What all controls have: a track, its taper, the rotation it stands at, and whom it serves.

    `resistor_across` is soldered from end lug to end lug, to make a track act as a lower one.
    """

    kind: ClassVar[str]
    track: Inherited[Quantity] = measured("ohm", above=0)
    taper: Inherited[Taper] = part(Taper, default="linear")
    setting: Any = number(default=1.0, at_least=0, at_most=1)
    pickups: Inherited[tuple[str, ...] | None] = names(default=None)
    name: str | None = text(default=None)
    resistor_across: Inherited[Quantity | None] = measured("ohm", default=None, above=0)

    @property
    def below(self) -> Quantity:
        """Resistance between wiper and the turned-down end."""
        return self.track * self.taper.share_below(self.setting)

    @property
    def above(self) -> Quantity:
        """Resistance between wiper and the turned-up end."""
        return self.track * (1 - self.taper.share_below(self.setting))


@dataclass(frozen=True, kw_only=True)
class Volume(Control):
    """A divider.

    `fed_at` "end": the source on the end lug, the output from the wiper.
    "wiper": the other way round, so that two volumes in parallel do not turn
    each other down.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> volume = pc.Volume(track="250k", taper="audio", setting=0.5)
    >>> f"{volume.below.m_as('kohm'):.1f} of {volume.track.m_as('kohm'):.0f} kohm"
    '37.5 of 250 kohm'
    """

    kind: ClassVar[str] = "volume"
    fed_at: str = choice("end", "wiper", default="end")
    bypass: Inner[Bypass | None] = part(Bypass, default=None)


@dataclass(frozen=True, kw_only=True)
class Tone(Control):
    """A rheostat in series with a capacitor, across the signal; fully down it leaves the capacitor."""

    kind: ClassVar[str] = "tone"
    capacitor: Amount = measured("farad", above=0)
    placed: str = choice("before volume", "after volume", default="before volume")

    @property
    def in_series(self) -> Quantity:
        """Resistance before the capacitor: the track below the wiper, with what lies across it."""
        if self.resistor_across is None:
            return self.below
        way_round = self.above + self.resistor_across
        return self.below * way_round / (self.track + self.resistor_across)


@dataclass(frozen=True, kw_only=True)
class Blend(Control):
    """Two tracks on one shaft between two pickups: 0 is the first alone, 0.5 both full, 1 the second alone.

    Each track turns down over one half of the rotation and stays full over the
    other. It is fed at the wiper unless said otherwise: fed at the end, the
    silent one would short the other.
    """

    kind: ClassVar[str] = "blend"
    fed_at: str = choice("end", "wiper", default="wiper")

    def gang(self, pickup: str) -> Volume:
        """The volume control that this blend is for one of its two pickups."""
        assert self.pickups is not None
        x = np.asarray(self.setting, dtype=float)
        rotation = np.clip(2 * (1 - x) if pickup == self.pickups[0] else 2 * x, 0, 1)[()]
        return Volume(
            track=self.track,
            taper=self.taper,
            setting=rotation,
            fed_at=self.fed_at,
            name=self.name,
            resistor_across=self.resistor_across,
        )

    def _contradictions(self) -> list[Fault]:
        if self.pickups is None or len(set(self.pickups)) != 2:
            return [Fault("pickups", "a blend stands between two pickups; name both")]
        return []


KINDS: dict[str, type[Control]] = {c.kind: c for c in (Volume, Tone, Blend)}
