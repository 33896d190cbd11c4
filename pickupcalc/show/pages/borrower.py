"""The page that goes home with the instrument: one page, plain words, each with its figure."""

from __future__ import annotations

from collections.abc import Sequence

from pickupcalc.answers.positions import PositionReport
from pickupcalc.units import engineering

QUIETER = -10.0  # dB below one pickup alone, from which people speak of quiet


def position_words(report: PositionReport) -> tuple[str, str]:
    """What a position sounds like and whether it hums, for somebody who reads no circuits."""
    return _sound(report), _hum(report)


def change_words(before: Sequence[PositionReport], after: Sequence[PositionReport]) -> list[str]:
    """A sentence for each position that is not as it was."""
    old = {r.name: r for r in before}
    told = []
    for new in after:
        was = old.get(new.name)
        if was is None:
            continue
        parts = []
        if was.phase != new.phase:
            parts.append(
                f"was {was.phase}, is {new.phase} ({new.level_db - was.level_db:+.0f} dB in the bass)"
            )
        if was.hum != new.hum:
            change = new.hum_relative_db - was.hum_relative_db
            parts.append(f"hum {was.hum} before, {new.hum} now ({change:+.0f} dB predicted)")
        if not parts:
            parts = _moved(was, new)
        if parts:
            told.append(f"{new.name}: {'; '.join(parts)}.")
    return told


def _moved(was: PositionReport, new: PositionReport) -> list[str]:
    """A peak that moved by more than 2 %, which is about what an ear tells apart."""
    if was.peak_frequency is None or new.peak_frequency is None:
        return []
    if abs(new.peak_frequency.m / was.peak_frequency.m - 1) < 0.02:
        return []
    ends = (engineering(f.m, "Hz") for f in (was.peak_frequency, new.peak_frequency))
    return [f"its peak moved from {' to '.join(ends)}"]


def _sound(report: PositionReport) -> str:
    named = " and ".join(report.pickups) if len(report.pickups) < 3 else ", ".join(report.pickups)
    sound = {
        "single": "",
        "in phase": ", full: they work together",
        "out of phase": f", thin: they work against each other ({report.level_db:+.0f} dB in the bass)",
        "mixed": f", partly against each other ({report.level_db:+.0f} dB in the bass)",
    }.get(report.phase, "")
    peak = "no peak"
    if report.peak_frequency is not None and report.peak_height_db is not None:
        where = engineering(report.peak_frequency.m, "Hz", 2)
        peak = f"strongest near {where} ({report.peak_height_db:+.0f} dB)"
    return f"{named}{sound}; {peak}"


def _hum(report: PositionReport) -> str:
    if report.hum == "single":
        return "hums as one coil does"
    if report.hum == "unknown":
        return "not known yet"
    level = f"{max(report.hum_relative_db, -40):+.0f} dB against one alone"
    return f"quiet: {level}" if report.hum_relative_db <= QUIETER else f"hums: {level}"
