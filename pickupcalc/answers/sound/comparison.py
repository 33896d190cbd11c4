"""What changes from one sound to another: in decibels, and in sentences that carry their figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from pickupcalc.answers.response import FLOOR_DB
from pickupcalc.answers.sound.heard import OCTAVES, Sound
from pickupcalc.errors import InputError

ALIKE = 0.05  # dB: below this nothing is said to differ
FAINT = 60.0  # dB below the strongest octave: not compared


@dataclass(frozen=True)
class Difference:
    """What changes from one sound to another, in decibels (second minus first).

    Attributes
    ----------
    first, second : Sound
    loudness, fundamental, share : float
        Of the K-weighted level (LU), the first partials, and their share of the whole.
    bands : mapping of float to float
        By the octave's middle frequency, Hz; octaves that carry less than a
        millionth of the louder sound are left out.
    """

    first: Sound
    second: Sound
    loudness: float
    fundamental: float
    share: float
    bands: Mapping[float, float]

    def sentences(self) -> list[str]:
        """What the figures say; no word of judgement without its figure."""
        a, b = self.first, self.second
        for one in (b, a):
            if one.silent:
                why = "nothing reaches the amplifier"
                if one.fundamental_loss_db <= FLOOR_DB:
                    why = "its pickups cancel each other completely"
                return [f"{one.position!r} is silent: {why}."]
        assert a.centroid is not None and b.centroid is not None  # neither is silent
        if max(abs(self.loudness), abs(self.fundamental), *map(abs, self.bands.values())) < ALIKE:
            return [f"{b.position!r} sounds like {a.position!r}: no figure differs by 0.1 dB."]
        lines = [
            f"{b.position!r} is {_more(self.loudness, 'louder', 'quieter', 'LU')} than {a.position!r}"
            f"{self._sure('loudness_db')}.",
            f"Its fundamentals are {_more(self.fundamental, 'stronger', 'weaker', 'dB')}, and stand "
            f"{b.fundamental_share_db:+.1f} dB to all other partials together, "
            f"against {a.fundamental_share_db:+.1f} dB: {_body(self.share)}.",
            f"The centre of its spectrum moves from {a.centroid.m:.0f} Hz to {b.centroid.m:.0f} Hz: "
            f"{_brightness(b.centroid.m / a.centroid.m)}.",
        ]
        if b.fundamental_loss_db < -1:
            lines.append(
                f"Against the same pickups in phase, {b.position!r} loses {-b.fundamental_loss_db:.1f} dB "
                "of the fundamentals."
            )
        most = max(self.bands, key=lambda f: abs(self.bands[f]))
        lines.append(f"The octave around {_hz(most)} changes most, by {self.bands[most]:+.1f} dB.")
        return lines

    def _sure(self, key: str) -> str:
        """The uncertainty of a difference, where it was worked out: what moves both alike does not count."""
        first, second = (s.shifts.get(key, {}) for s in (self.first, self.second))
        apart = [second.get(label, 0.0) - first.get(label, 0.0) for label in {**first, **second}]
        return f" (±{float(np.linalg.norm(apart)):.1f})" if apart else ""

    def as_json(self) -> dict[str, Any]:
        return {
            "first": self.first.position,
            "second": self.second.position,
            "loudness_lu": self.loudness,
            "fundamental_db": self.fundamental,
            "fundamental_share_db": self.share,
            "bands_db": {f"{f:g}": change for f, change in self.bands.items()},
            "sentences": self.sentences(),
        }


def compare(first: Sound, second: Sound) -> Difference:
    """What changes from one position, or from before a change, to another.

    Raises
    ------
    InputError
        For sounds of different frets or strings.
    """
    if first.fret != second.fret or [n.string for n in first.notes] != [n.string for n in second.notes]:
        raise InputError.of("second", "is not of the same strings at the same fret; compare like with like")
    floor = max(*first.bands_db.values(), *second.bands_db.values()) - FAINT
    bands = {
        f: second.bands_db[f] - first.bands_db[f]
        for f in OCTAVES
        if max(first.bands_db[f], second.bands_db[f]) > floor
    }
    return Difference(
        first,
        second,
        loudness=second.loudness_db - first.loudness_db,
        fundamental=second.fundamental_db - first.fundamental_db,
        share=second.fundamental_share_db - first.fundamental_share_db,
        bands=bands,
    )


def _more(change: float, up: str, down: str, unit: str) -> str:
    return f"{abs(change):.1f} {unit} {up if change >= 0 else down}"


def _body(share: float) -> str:
    if abs(share) < 1:
        return f"as full, within {abs(share):.1f} dB"
    return f"{abs(share):.1f} dB {'fuller' if share > 0 else 'thinner'}"


def _brightness(ratio: float) -> str:
    if 0.97 < ratio < 1.03:
        return f"as bright, within {100 * abs(ratio - 1):.0f} %"
    return f"{'brighter' if ratio > 1 else 'darker'} by a factor of {max(ratio, 1 / ratio):.2f}"


def _hz(f: float) -> str:
    return f"{f / 1000:g} kHz" if f >= 1000 else f"{f:g} Hz"
