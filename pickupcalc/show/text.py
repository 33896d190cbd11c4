"""The sheet on a terminal."""

from __future__ import annotations

from pickupcalc.answers.positions import PositionReport
from pickupcalc.answers.pots.outlook import turning_down
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.show.plan_text import plan_line
from pickupcalc.show.words import SILENT_DB
from pickupcalc.units import engineering

HEADINGS = ("position", "at the jack", "inductance", "peak", "height", "level", "phase", "hum")

BEST_CANCELLING = -40


def sheet_text(instrument: Instrument, reports: list[PositionReport]) -> str:
    """All positions as a table, what the figures rest on, and what was assumed."""
    rows = [HEADINGS, *(cells(r) for r in reports)]
    widths = [max(len(row[i]) for row in rows) for i in range(len(HEADINGS))]
    lines = [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    ]
    lines.insert(1, "-" * max(map(len, lines)))
    return "\n".join([instrument.about.name, "", *lines, "", *notes(instrument, reports)])


def cells(report: PositionReport) -> tuple[str, ...]:
    """One row of the table, each figure as a repairer would say it."""
    return (
        report.name,
        _resistance(report),
        engineering(report.inductance.m, "H"),
        _peak(report),
        "" if report.peak_height_db is None else f"{report.peak_height_db:+.1f} dB",
        "silent" if report.level_db <= SILENT_DB else f"{report.level_db:+.1f} dB",
        report.phase,
        _hum(report),
    )


def notes(instrument: Instrument, reports: list[PositionReport]) -> list[str]:
    """Sentences below the table: what it means, what dominates its uncertainty, what was assumed."""
    lines = [
        "At the jack: by ohmmeter, nothing else plugged in, controls as set, coils at 20 degC (10 K is 4 %).",
        "Peak: with controls, cable and amplifier; height and level are of and at 100 Hz.",
    ]
    causes = dict.fromkeys(
        r.spread["peak_frequency"].dominated_by for r in reports if "peak_frequency" in r.spread
    )
    if causes:
        lines.append(f"What the peaks are least sure of: {', '.join(causes)}.")
    if turning := turning_down(instrument):
        lines.append(turning)
    if planned := plan_line(instrument):
        lines.append(planned)
    lines += computed_notes(instrument)
    assumed = assumptions(instrument)
    if assumed:
        lines.append(f"Assumed, not measured: {'; '.join(assumed)}.")
    return lines


def computed_notes(instrument: Instrument) -> list[str]:
    """What was computed from geometry, and where a reading exists beside it, how the two compare."""
    names = {"resistance": "Ω", "inductance": "H", "capacitance": "F"}
    computed, beside = [], []
    for p in instrument.pickups:
        computed += [f"{p.name}'s {key} {engineering(getattr(p, key).m, names[key])}" for key in p.computed]
        for key, geometric in p.geometric().items():
            if key not in p.computed:
                measured = getattr(p, "resistance_at_20_degc" if key == "resistance" else key).m
                told = f"{engineering(measured, names[key])}, computed {engineering(geometric, names[key])}"
                beside.append(f"{p.name}'s {key} measured {told} ({100 * (measured / geometric - 1):+.0f} %)")
    lines = [f"Computed from the coil's geometry, not measured: {'; '.join(computed)}."] if computed else []
    return lines + ([f"Measured beside computed: {'; '.join(beside)}."] if beside else [])


def assumptions(instrument: Instrument) -> list[str]:
    """Every usual value that stands in for a reading, with its size."""
    told = []
    for p in instrument.pickups:
        told += [f"{p.name}'s own {key} {_known(p, key, 'F')}" for key in p.assumed()]
    symbols = {"cable_length": "m", "cable_capacitance": "F/m", "amplifier_resistance": "Ω"}
    for key in instrument.load.assumed():
        told.append(f"{key.replace('_', ' ')} {_known(instrument.load, key, symbols.get(key, 'F'))}")
    return told


def _known(part: object, key: str, symbol: str) -> str:
    return engineering(part.known(key).m, symbol)  # type: ignore[attr-defined]


def _resistance(report: PositionReport) -> str:
    if report.dc_resistance is None:
        return "blocked"
    return engineering(report.dc_resistance.m, "Ω")


def _peak(report: PositionReport) -> str:
    if report.peak_frequency is None:
        return "none"
    shown = engineering(report.peak_frequency.m, "Hz")
    spread = report.spread.get("peak_frequency")
    return f"{shown} ±{100 * spread.amount / report.peak_frequency.m:.0f} %" if spread else shown


def _hum(report: PositionReport) -> str:
    if report.hum in ("single", "unknown"):
        return report.hum
    # No two windings match better than about a percent, so a prediction ends there.
    size = (
        f"below {BEST_CANCELLING} dB"
        if report.hum_relative_db < BEST_CANCELLING
        else f"{report.hum_relative_db:+.0f} dB"
    )
    return f"{report.hum}, {size}"
