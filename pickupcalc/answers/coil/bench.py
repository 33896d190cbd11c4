"""What is on the bench: readings of a coil beside what its geometry tells, and what may be wrong with it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from pickupcalc.answers.coil.report import CoilReport, coil_report
from pickupcalc.answers.coil.suspects import shown, suspects
from pickupcalc.answers.measurement.meter import copper_factor
from pickupcalc.parts.coil import Coil
from pickupcalc.parts.fields import Amount, MaybeAmount, Part, measured, number
from pickupcalc.tables import table
from pickupcalc.units import engineering

OPEN = 20.0  # times the computed resistance: no winding reads that much
SURE = 0.7  # share of belief that is worth acting on
METER_Q = 0.10  # a hand-held bridge's Q, two standard deviations; common practice, no source
METER = table("uncertainty")["measured"]


@dataclass(frozen=True, kw_only=True)
class Readings(Part):
    """What was read off the meters, the pickup disconnected from its pots.

    Parameters
    ----------
    resistance : Quantity or str, optional
        Direct current, at `temperature`. An open coil reads megohms.
    temperature : Quantity or str
        Of the winding, -50 to 150 degC.
    inductance : Quantity or str, optional
        As an inductance meter shows it (series), at `frequency`.
    frequency : Quantity or str
    quality : float, optional
        The meter's Q at the same frequency (1/D).
    """

    resistance: MaybeAmount = measured("ohm", default=None, above=0)
    temperature: Amount = measured("kelvin", default="20 degC", above=200)
    inductance: MaybeAmount = measured("henry", default=None, above=0)
    frequency: Amount = measured("hertz", default="1 kHz", above=0)
    quality: Any = number(default=None, at_least=0.01, at_most=1000)


@dataclass(frozen=True)
class Explanation:
    """One thing that may be the case, how much the readings speak for it, and what it would be."""

    name: str
    belief: float
    told: str


@dataclass(frozen=True)
class Examination:
    """The outcome.

    Attributes
    ----------
    rows : tuple of (name, measured, computed, deviation, expected spread)
        Side by side, in SI, windings at 20 degC; deviation and the spread to expect of a healthy
        coil (two standard deviations) as fractions.
    explanations : tuple of Explanation
        Best first; the beliefs add up to 1.
    verdict, next_step : str
    report : CoilReport
    """

    rows: tuple[tuple[str, float, float, float, float], ...]
    explanations: tuple[Explanation, ...]
    verdict: str
    next_step: str
    report: CoilReport

    def as_json(self) -> dict[str, Any]:
        return {
            "readings": [
                {"name": n, "measured": m, "computed": c, "deviation": d, "expected_spread": s}
                for n, m, c, d, s in self.rows
            ],
            "explanations": [{"name": e.name, "belief": e.belief, "told": e.told} for e in self.explanations],
            "verdict": self.verdict,
            "next_step": self.next_step,
        }


class HealthyCoil:
    """A coil's geometry worked out once for a meter's frequency, ready for any readings."""

    def __init__(self, coil: Coil, frequency: Any = "1 kHz") -> None:
        self.coil = coil
        self.report = coil_report(coil, [frequency])
        self.hertz = float(self.report.frequencies.m[0])
        self.healthy = shown(self.report, self.hertz)
        self.spread = _spread(self.report)
        self.explanations = list(suspects(self.coil, self.report, self.healthy, self.hertz))

    def examine(self, readings: Readings) -> Examination:
        """Compare readings, taken at its frequency, with the geometry; see `examine`."""
        seen = _seen(readings)
        rows = tuple(
            (
                key,
                value,
                getattr(self.healthy, key),
                value / getattr(self.healthy, key) - 1,
                2 * self.spread[key],
            )
            for key, value in seen.items()
        )
        if not seen:
            step = "Measure the resistance with the pots disconnected."
            return Examination((), (), "Nothing was read yet.", step, self.report)
        if seen.get("resistance", 0.0) > OPEN * self.healthy.resistance:
            told = "the winding is open, or a lead is off"
            step = "Look for a broken lead or start of the winding under a glass before anything is unwound."
            return Examination(rows, (Explanation("open", 1.0, told),), f"Open: {told}.", step, self.report)
        scored = []
        for name, told, expected, surprise in self.explanations:
            misfit = sum((np.log(v / getattr(expected, k)) / self.spread[k]) ** 2 for k, v in seen.items())
            scored.append((misfit / 2 + surprise, name, told))
        return _finding(scored, rows, readings, self.report)


def examine(coil: Coil, readings: Readings) -> Examination:
    """Compare readings with a coil's geometry.

    Every explanation predicts the readings; its misfit, in units of what tolerances and meters leave open,
    and how much it takes for granted decide its share of belief. The shares rank suspicions; they are no
    statistics of real repairs.

    Parameters
    ----------
    coil : Coil
        As it should be.
    readings : Readings

    Returns
    -------
    Examination

    Raises
    ------
    InputError
        For a temperature out of range, or a frequency above 200 kHz.
    """
    return HealthyCoil(coil, readings.frequency).examine(readings)


def _finding(
    scored: list[tuple[float, str, str]], rows: Any, readings: Readings, report: CoilReport
) -> Examination:
    best_of: dict[str, tuple[float, str]] = {}
    for score, name, told in scored:
        if name not in best_of or score < best_of[name][0]:
            best_of[name] = (score, told)
    lowest = min(score for score, _ in best_of.values())
    weights = {name: float(np.exp(lowest - score)) for name, (score, _) in best_of.items()}
    total = sum(weights.values())
    found = sorted(
        (Explanation(n, w / total, best_of[n][1]) for n, w in weights.items()), key=lambda e: -e.belief
    )
    best = found[0]
    if lowest > 8.0:
        verdict = "None of the usual explanations fits: check the geometry and the readings."
    elif best.belief < SURE:
        verdict = f"Weak evidence: {best.told}, but {found[1].told} is possible too."
    else:
        verdict = f"{best.told[0].upper()}{best.told[1:]}."
    return Examination(rows, tuple(found), verdict, _next(found, readings), report)


def _next(found: list[Explanation], readings: Readings) -> str:
    """The reading that would separate the two most likely explanations."""
    if readings.resistance is None:
        return "Measure the resistance, pots disconnected, and note the room's temperature."
    if readings.inductance is None:
        return "Measure the inductance at 1 kHz or lower: it tells turns from wire and shows wrong poles."
    names = {e.name for e in found[:2] if e.belief > 0.1}
    if "shorted turns" in names and readings.quality is None:
        return "Read Q at the same frequency: shorted turns cost Q long before they show in the resistance."
    if "other wire" in names:
        return "Measure the wire at a loose end with a micrometer; 1 um in 63 um is 3 % of resistance."
    if "other poles" in names:
        return "Hold steel to a pole taken out: an alnico pole is a magnet itself, a steel one is not."
    if names == {"healthy"}:
        return "Nothing more is needed; note the readings on the instrument's card."
    return "Measure at a second frequency (100 Hz, 10 kHz), or with the metal off, to tell these apart."


def _seen(readings: Readings) -> dict[str, float]:
    seen = {}
    if readings.resistance is not None:
        warm = copper_factor(readings.temperature.m, "temperature")
        seen["resistance"] = float(readings.resistance.m / warm)
    if readings.inductance is not None:
        seen["inductance"] = float(readings.inductance.m)
        if readings.quality is not None:
            omega = 2 * np.pi * float(readings.frequency.m)
            seen["series_resistance"] = omega * seen["inductance"] / float(readings.quality)
    return seen


def _spread(report: CoilReport) -> dict[str, float]:
    """One standard deviation of the logarithm of each reading of a healthy coil: tolerances and meter."""
    of = {key: share.fraction for key, share in report.uncertainty.items()}
    return {
        "resistance": np.hypot(of["resistance_ohm"], METER["resistance"]) / 2,
        "inductance": np.hypot(of["inductance_h"], METER["inductance"]) / 2,
        "series_resistance": np.hypot(of["resistance_ohm"], METER_Q) / 2,
    }


def rows_text(finding: Examination) -> list[str]:
    """The readings beside the computed figures, one line each."""
    shown = {
        "resistance": ("resistance at 20 degC", "Ω"),
        "inductance": ("inductance", "H"),
        "series_resistance": ("series resistance", "Ω"),
    }
    told = []
    for key, m, c, d, s in finding.rows:
        name, symbol = shown[key]
        pair = f"measured {engineering(m, symbol)}, computed {engineering(c, symbol)}"
        within = f"{100 * d:+.0f} % (a healthy coil: within {100 * s:.0f} %)"
        told.append(f"{name}: {pair}, {within}")
    return told
