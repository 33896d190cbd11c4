"""What parts do in a position: the peak, treble as the volume goes down, the tone fully down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.pots.bypass import BypassAdvice, best_bypass, with_bypass
from pickupcalc.answers.pots.shape import levels_db, resonance, second_peak
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.turning import turned
from pickupcalc.parts.controls import Bypass, Volume
from pickupcalc.units import quantity

if TYPE_CHECKING:
    from pint import Quantity

Array = NDArray[Any]
ROTATIONS = (0.75, 0.5, 0.25)
LEAST_SHARE = 0.5  # of instruments that have a peak, for its range to be told
TREBLE = 5000.0  # Hz, where the loss of treble is told, against 100 Hz


@dataclass(frozen=True)
class Outlook:
    """What a choice does in one position.

    Attributes
    ----------
    name : str
    peak_frequency : Quantity or None
    peak_height_db : float or None
        Above the level at 100 Hz, controls fully up; None where there is no peak.
    peak_between, height_between : (float, float) or None
        In Hz and dB: 95 of 100 instruments with real parts lie between.
    q : float or None
        Of the second-order low-pass alike, with or without a peak.
    level_db : float
        At 100 Hz.
    treble_db, treble_bypassed_db : mapping of float to float
        By the volumes' rotation: level at 5 kHz over that at 100 Hz, against the
        same at full volume; without and with bypass parts. Empty without a volume.
    tone_down_frequency : Quantity or None
    tone_down_height_db : float or None
        The second peak, with the tone fully down.
    """

    name: str
    peak_frequency: Quantity | None
    peak_height_db: float | None
    peak_between: tuple[float, float] | None
    height_between: tuple[float, float] | None
    q: float | None
    level_db: float
    treble_db: Mapping[float, float]
    treble_bypassed_db: Mapping[float, float]
    tone_down_frequency: Quantity | None
    tone_down_height_db: float | None

    def as_json(self) -> dict[str, Any]:
        return {
            "name": self.name,
            "peak_frequency_hz": getattr(self.peak_frequency, "magnitude", None),
            "peak_height_db": self.peak_height_db,
            "peak_between_hz": self.peak_between,
            "height_between_db": self.height_between,
            "q": self.q,
            "level_db": self.level_db,
            "treble_db": {f"{k:g}": v for k, v in self.treble_db.items()},
            "treble_bypassed_db": {f"{k:g}": v for k, v in self.treble_bypassed_db.items()},
            "tone_down_peak_hz": getattr(self.tone_down_frequency, "magnitude", None),
            "tone_down_height_db": self.tone_down_height_db,
        }


def between(values: Array) -> tuple[float, float] | None:
    """What 95 of 100 of the values that are there lie between; None where hardly any is."""
    there = values[np.isfinite(values)]
    if there.size < LEAST_SHARE * values.size:
        return None
    low, high = np.percentile(there, (2.5, 97.5))
    return float(low), float(high)


def outlook(
    instrument: Instrument,
    position: Position,
    bypass: Bypass | None,
    *,
    peak: tuple[float, float] | None = None,
    height: tuple[float, float] | None = None,
) -> Outlook:
    """What the parts of an instrument do in one position.

    A volume that already has bypass parts is told with those, and without them;
    `bypass` is tried where there are none. `peak` and `height` are the ranges
    that real parts spread over, where they are known.
    """
    up = turned(instrument)
    frequency, height_db, q = (float(x[0]) for x in resonance(up, position))
    peaked = np.isfinite(frequency)
    down = second_peak(up, position)
    down_frequency, down_height = (np.nan, np.nan) if down is None else (float(x[0]) for x in down)
    own = has_bypass(up)
    aided = up if own else with_bypass(up, bypass)
    return Outlook(
        name=position.name,
        peak_frequency=quantity(frequency, "hertz") if peaked else None,
        peak_height_db=height_db if peaked else None,
        peak_between=peak if peaked else None,
        height_between=height if peaked else None,
        q=q if np.isfinite(q) else None,
        level_db=float(levels_db(up, position, np.array([100.0]))[0, 0]),
        treble_db=_treble(with_bypass(up, None), position),
        treble_bypassed_db=_treble(aided, position) if own or bypass else {},
        tone_down_frequency=quantity(down_frequency, "hertz") if np.isfinite(down_frequency) else None,
        tone_down_height_db=down_height if np.isfinite(down_height) else None,
    )


def has_bypass(instrument: Instrument) -> bool:
    """Whether a volume has bypass parts already."""
    return any(isinstance(c, Volume) and c.bypass is not None for c in instrument.controls)


def _treble(up: Instrument, position: Position) -> dict[float, float]:
    if not up.serving(Volume, [position]):
        return {}
    levels = levels_db(turned(up, volume=np.array([1.0, *ROTATIONS])), position, np.array([100.0, TREBLE]))
    tilt = levels[:, 1] - levels[:, 0]
    return {rotation: float(t - tilt[0]) for rotation, t in zip(ROTATIONS, tilt[1:], strict=True)}


def advice(instrument: Instrument, positions: Sequence[Position]) -> BypassAdvice | None:
    """What bypass parts do for the positions that have a volume; None without any."""
    served = [p for p in positions if instrument.serving(Volume, [p])]
    return best_bypass(with_bypass(instrument, None), served) if served else None


def together(outlooks: Sequence[Outlook]) -> str:
    """Some positions in one sentence, as a repairer would say it."""
    peaks = [(o.peak_frequency.m / 1e3, o.peak_height_db) for o in outlooks if o.peak_frequency is not None]
    damped = [o.q for o in outlooks if o.q is not None]
    if peaks:
        frequencies, heights = zip(*peaks, strict=True)
        told = f"Peak at {_span(frequencies, '.1f', 'kHz')}, {_span(heights, '.1f', 'dB')} high"
        missing = len(outlooks) - len(peaks)
        told += f" (none in {missing} of {len(outlooks)} positions)" if missing else ""
    else:
        told = f"No peak{', Q ' + _span(damped, '.2f') if damped else ''}"
    return "; ".join([told, *_turning(outlooks)]) + "."


def turning_down(instrument: Instrument) -> str:
    """What volumes and tones do to an instrument's positions as they are turned down; empty without any."""
    told = "; ".join(_turning([outlook(instrument, p, None) for p in instrument.positions]))
    return f"{told[:1].upper()}{told[1:]}." if told else ""


def _turning(outlooks: Sequence[Outlook]) -> list[str]:
    told = []
    for name, key in (
        ("at half volume the treble (5 kHz) changes by", "treble_db"),
        ("with bypass parts by", "treble_bypassed_db"),
    ):
        found = [getattr(o, key)[0.5] for o in outlooks if 0.5 in getattr(o, key)]
        told += [f"{name} {_span(found, '+.1f', 'dB')}"] if found else []
    down = [o.tone_down_frequency.m for o in outlooks if o.tone_down_frequency is not None]
    return [*told, f"tone fully down, a peak at {_span(down, '.0f', 'Hz')}"] if down else told


def _span(values: Sequence[Any], style: str, unit: str = "") -> str:
    """Such as "1.6 to 4.1 kHz", or "2.3 dB" where all are alike."""
    shown = [f"{v:{style}}" for v in (min(values), max(values))]
    return f"{' to '.join(dict.fromkeys(shown))} {unit}".rstrip()
