"""What there is to hear, on a terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from pickupcalc.answers.sound.comparison import Difference
from pickupcalc.answers.sound.heard import OUTPUT_FACTOR, Sound
from pickupcalc.answers.sound.listening import CAUTION, Listening, Segment
from pickupcalc.answers.sound.notches import Notch
from pickupcalc.units import engineering

HEADINGS = ("from", "position", "one string", "centre", "loudness", "matched by", "hum")


def listening_text(
    title: str,
    heard: Listening,
    sounds: Sequence[Sound],
    differences: Sequence[Difference],
    unheard: Mapping[str, Sequence[Notch]],
    path: str | None,
) -> str:
    """The takes as a table, what differs between them in sentences, and what to beware of."""
    rows = [HEADINGS, *(_row(*pair) for pair in zip(heard.segments, sounds, strict=True))]
    widths = [max(len(row[i]) for row in rows) for i in range(len(HEADINGS))]
    lines = [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    ]
    lines.insert(1, "-" * max(map(len, lines)))
    told = [" ".join(d.sentences()) for d in differences]
    told += ["", *(_notches(label, found) for label, found in unheard.items() if found)]
    notes = [
        "One string: effective voltage at the amplifier in the first 0.4 s, mean of the strings, right "
        f"within a factor of {OUTPUT_FACTOR:g}; what differs between positions is far surer.",
        "Loudness: K-weighted as in ITU-R BS.1770, against 1 mV, so differences are loudness units. "
        "Matched by: what was done to a position's level in the file, 0 dB being the loudest at true level.",
    ]
    if heard.assumed:
        notes.append(f"Assumed, not measured: {'; '.join(heard.assumed)}.")
    if path:
        notes.append(f"Written: {path}. {CAUTION}")
    return "\n".join([title, "", *lines, "", *told, "", *notes]).replace("\n\n\n", "\n\n")


def _notches(label: str, found: Sequence[Notch]) -> str:
    """Where the comb's first teeth are, and which partials fall into them."""
    told = ", ".join(
        f"{n.frequency.m:.0f} Hz (next to partial {n.partials(0)} open, {n.partials(12)} at fret 12)"
        for n in found[:3]
    )
    return f"{label!r} is deaf on the {found[0].string} string at {told}{' ...' if len(found) > 3 else '.'}"


def _row(segment: Segment, sound: Sound) -> tuple[str, ...]:
    return (
        f"{segment.start:.1f} s",
        segment.label,
        engineering(sound.output.m, "V", 2),
        "none" if sound.centroid is None else engineering(sound.centroid.m, "Hz"),
        f"{sound.loudness_db:+.1f} dB" if np.isfinite(segment.loudness) else "silent",
        f"{segment.gain_db:+.1f} dB",
        "" if segment.hum_db is None else f"{segment.hum_db:+.0f} dB",
    )
