"""Sentences a repairer would say, made from the numbers; no adjective without its figure."""

from __future__ import annotations

from pickupcalc.answers.positions import PositionReport
from pickupcalc.units import engineering

SILENT_DB = -150.0  # below this nothing is left of a signal but rounding


def begun(sentence: str) -> str:
    """With a capital, although a pickup's or a position's name may come first."""
    return sentence[:1].upper() + sentence[1:]


def peak_sentence(report: PositionReport) -> str:
    """Where the peak is, how high it stands, how sure that is, and what an ohmmeter shows."""
    jack = ""
    if report.dc_resistance is not None:
        jack = f" An ohmmeter at the jack shows {engineering(report.dc_resistance.m, 'Ω')}."
    if report.level_db <= SILENT_DB:
        return f"{begun(report.name)}: silent with the controls as they stand.{jack}"
    if report.peak_frequency is None:
        return f"{begun(report.name)}: no peak; the load damps it away.{_cutoff(report)}{jack}"
    hertz = report.peak_frequency.m
    spread = report.spread["peak_frequency"]
    return (
        f"{begun(report.name)}: the peak is at {engineering(hertz, 'Hz')} (give or take "
        f"{100 * spread.amount / hertz:.0f} %, mostly {spread.dominated_by}), "
        f"{report.peak_height_db:.1f} dB above the level at 100 Hz.{_cutoff(report)}{jack}"
    )


def pair_sentence(pair: PositionReport, single: PositionReport) -> str:
    """What two together do, next to one of them alone."""
    level = pair.level_db - single.level_db
    told = f"{begun(pair.name)} against {single.name} alone: {level:+.1f} dB at 100 Hz"
    if pair.phase == "out of phase":
        told += ", out of phase: what the strings move alike cancels, so it sounds thin"
    hum = {
        "cancelling": "their hum cancels",
        "not cancelling": "their hum adds",
        "partly": "part of their hum cancels",
    }.get(pair.hum, "whether their hum cancels is not known yet")
    return f"{told}; {hum} ({pair.hum_relative_db:+.0f} dB against the louder alone)."


def _cutoff(report: PositionReport) -> str:
    if report.cutoff_frequency is None:
        return ""
    return f" It has fallen by 3 dB at {engineering(report.cutoff_frequency.m, 'Hz')}."
