"""The explorers of the notebooks on a coil: how many henries, and what is on the bench."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.answers.coil.bench import Bench, Finding, Readings, rows_text
from pickupcalc.answers.coil.report import CoilReport, coil_report
from pickupcalc.parts.coil import Coil
from pickupcalc.parts.metal import Plate, Poles
from pickupcalc.parts.wire import Wire
from pickupcalc.show.coil import draw_plan, draw_section, plain_axes
from pickupcalc.show.plots import head, hertz_axis
from pickupcalc.show.widgets import ChoiceDial, Explorer, NumberDial, QuantityDial
from pickupcalc.units import engineering, quantity

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

POLE_METALS = ["alnico 5", "low-carbon steel", "none"]
COVERS = ["none", "nickel silver", "brass", "brass, slotted"]
BLUE, RED = "#0072B2", "#D55E00"
FREQUENCIES = np.geomspace(50, 20e3, 24)
PITCH, DIAMETER = "10.4 mm", "4.8 mm"


def henries_explorer() -> Explorer:
    """Bobbin, wire and metal by dials; the coil to scale, its inductance and its losses."""
    dials = {
        "turns": NumberDial("turns", 7900, 3000, 10000, 50),
        "build": QuantityDial("build", "meter", "3.2 mm", "2.6 mm", "6 mm", linear=True),
        "gauge": ChoiceDial("wire", ["41 AWG", "42 AWG", "43 AWG", "44 AWG"], "42 AWG"),
        "height": QuantityDial("winding height", "meter", "11 mm", "9 mm", "14 mm", linear=True),
        "poles": ChoiceDial("poles", POLE_METALS),
        "length": QuantityDial("pole length", "meter", "17 mm", "6 mm", "26 mm", linear=True),
        "cover": ChoiceDial("cover", COVERS),
    }
    return Explorer(dials, bobbin, henries_figure, henries_words)


def bobbin(
    turns: float, build: Any, gauge: str, height: Any, poles: str, length: Any, cover: str
) -> CoilReport:
    """The report on a bobbin as the dials describe it."""
    row = None
    if poles != "none":
        row = Poles(count=6, diameter=DIAMETER, length=length, pitch=PITCH, material=poles)
    top = max(float(height.m), float(length.m) if row else 0.0) / 2
    metal = cover.partition(",")[0]
    plates = [] if cover == "none" else [_cover(metal, top + 1.25e-3, "slotted" in cover)]
    coil = Coil(
        straight="55 mm",
        inner_radius="2.5 mm",
        height=height,
        build=build,
        turns=turns,
        wire=Wire(awg=float(gauge.split()[0])),
        poles=row,
        plates=plates,
    )
    return coil_report(coil, quantity(FREQUENCIES, "hertz"), uncertain=False)


def _cover(metal: str, z: float, slotted: bool) -> Plate:
    return Plate.of(
        {
            "material": metal,
            "thickness": "0.5 mm",
            "length": "70 mm",
            "width": "20 mm",
            "height_above_centre": quantity(z, "meter"),
            "slots": [{"along": "length"}] if slotted else [],
        }
    )


def henries_figure(report: CoilReport) -> Figure:
    """Plan and section to scale, L and R over frequency, L and R over turns."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.0, 6.4))  # placed by hand: an automatic layout would draw everything twice
    plan, section = figure.add_axes((0.06, 0.58, 0.62, 0.36)), figure.add_axes((0.75, 0.58, 0.22, 0.36))
    draw_plan(plan, report.coil)
    draw_section(section, report.coil)
    for axes, title in ((plan, "plan, mm"), (section, "section, mm")):
        axes.set_aspect("equal")
        head(axes, title)
        axes.locator_params(nbins=5)
    plan.set_xlim(-40, 40)
    plan.set_ylim(-13, 13)
    section.set_xlim(-11, 11)
    section.set_ylim(-15, 16)
    figure.legend(*_labels(section), loc="upper left", bbox_to_anchor=(0.05, 0.545), ncols=3, frameon=False)
    over_f, over_n = figure.add_axes((0.08, 0.09, 0.34, 0.36)), figure.add_axes((0.58, 0.09, 0.34, 0.36))
    hertz = report.frequencies.m
    _pair(over_f, hertz, report.inductance_at.m, report.resistance_at.m / 1e3)
    hertz_axis(over_f)
    turns = np.linspace(2000, 11000, 30)
    share = turns / report.turns  # the same space filled looser or closer: L as the square, R as the turns
    _pair(over_n, turns, report.inductance.m * share**2, report.resistance.m / 1e3 * share)
    over_n.set_xlabel("turns, same build")
    over_n.axvline(report.turns, color="#555555", linewidth=0.8, linestyle=":")
    return figure


def _labels(axes: Axes) -> tuple[list[Any], list[str]]:
    """Handles and labels of what was drawn, each once."""
    handles, labels = axes.get_legend_handles_labels()
    unique = dict(zip(labels, handles, strict=True))
    return list(unique.values()), list(unique)


def _pair(axes: Axes, x: Any, henries: Any, kilohm: Any) -> None:
    """Inductance on the left scale and resistance on the right, told apart by colour, line and label."""
    plain_axes(axes)
    axes.plot(x, henries, color=BLUE)
    axes.set_ylabel("L in H", color=BLUE)
    axes.set_ylim(0, 1.15 * henries.max())
    axes.locator_params(nbins=5)
    other = axes.twinx()
    other.plot(x, kilohm, color=RED, linestyle="--")
    other.set_ylabel("R in kΩ (dashed)", color=RED)
    other.set_ylim(0, 1.15 * kilohm.max())
    other.locator_params(axis="y", nbins=5)
    other.spines["top"].set_visible(False)


def henries_words(report: CoilReport) -> str:
    """What the figures mean at the bench."""
    gain = report.inductance.m / report.air_inductance.m
    i = int(np.argmin(abs(report.frequencies.m - 5e3)))
    lost = 1 - report.inductance_at.m[i] / report.inductance.m
    added = report.resistance_at.m[i] / report.resistance.m
    told = (
        f"{engineering(report.inductance.m, 'H')} and {engineering(report.resistance.m, 'Ω')}: "
        f"{report.turns:.0f} turns, {report.wire_length.m:.0f} m of {report.coil.wire.told()}, "
        f"packing {report.coil.packed:.2f}. The metal makes it {gain:.2f} times that of the bare winding. "
        f"At 5 kHz {100 * lost:.0f} % of it is gone and the series resistance is {added:.1f} times that "
        "of the wire: the more, the lower and broader the peak."
    )
    return " ".join([told, *(f"Note: {note}." for note in report.notes)])


def bench_explorer() -> Explorer:
    """Readings by dials, beside what the geometry tells; the geometry is that of the demonstration bobbin."""
    dials = {
        "resistance": QuantityDial("resistance", "ohm", "5.9 kohm", "1 kohm", "300 kohm"),
        "temperature": NumberDial("room, degC", 20, 0, 40, 1),
        "inductance": QuantityDial("inductance", "henry", "2.3 H", "0.3 H", "8 H"),
        "frequency": ChoiceDial("meter's frequency", ["100 Hz", "120 Hz", "1 kHz"], "1 kHz"),
        "quality": NumberDial("meter's Q (0: not read)", 0.0, 0.0, 12.0, 0.05),
    }
    return Explorer(dials, bench, bench_figure, bench_words)


@lru_cache(maxsize=1)
def demonstration_coil() -> Coil:
    """Six alnico rods in a racetrack; invented."""
    return Coil.of(
        {
            "straight": "55 mm",
            "inner_radius": "2.5 mm",
            "height": "11 mm",
            "build": "3.2 mm",
            "turns": 7900,
            "wire": {"awg": 42},
            "poles": {
                "count": 6,
                "diameter": DIAMETER,
                "length": "17 mm",
                "pitch": PITCH,
                "material": "alnico 5",
            },
        }
    )


@lru_cache(maxsize=4)
def _bench_at(frequency: str) -> Bench:
    return Bench(demonstration_coil(), frequency)


def bench(resistance: Any, temperature: float, inductance: Any, frequency: str, quality: float) -> Finding:
    """The finding for the demonstration coil and these readings."""
    readings = Readings(
        resistance=resistance,
        temperature=quantity(temperature + 273.15, "kelvin"),
        inductance=inductance,
        frequency=frequency,
        quality=quality or None,
    )
    return _bench_at(frequency).examine(readings)


def bench_figure(finding: Finding) -> Figure:
    """Readings against the band of a healthy coil, and how the explanations share the belief."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.0, 3.6), layout="constrained")
    left, right = figure.subplots(1, 2)
    plain_axes(left)
    names = [row[0].replace("_", " ") for row in finding.rows]
    for i, (_, _, _, deviation, spread) in enumerate(finding.rows):
        left.barh(i, 200 * spread, left=-100 * spread, height=0.5, color="#cfe3f2")
        left.plot(np.clip(100 * deviation, -100, 100), i, "D", color=RED)
    left.set_yticks(range(len(names)), names)
    left.set_ylim(len(names) - 0.5, -0.5)
    left.set_xlim(-105, 105)
    left.set_xlabel("measured against computed, %")
    head(left, "band: a healthy coil; diamond: the reading")
    plain_axes(right)
    shown = finding.explanations[:5]
    right.barh([e.name for e in shown], [100 * e.belief for e in shown], color=BLUE, height=0.5)
    right.invert_yaxis()
    right.set_xlim(0, 100)
    right.set_xlabel("share of belief, %")
    head(right, "what it may be")
    return figure


def bench_words(finding: Finding) -> str:
    """The verdict, the readings and what to do next."""
    return f"{finding.verdict} {'; '.join(rows_text(finding))}. Next: {finding.next_step}"
