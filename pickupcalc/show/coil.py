"""A coil shown: its table, its inductance and losses over frequency, and a drawing to scale."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.answers.coil.report import CoilReport
from pickupcalc.errors import Fault, InputError
from pickupcalc.show.plots import COLOURS, head
from pickupcalc.units import engineering

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from pickupcalc.parts.coil import Coil

COPPER, STEEL, MAGNET, PLATE = "#E69F00", "#8c8c8c", "#b9c4cf", "#009E73"
SAMPLES = (100.0, 300.0, 1e3, 3e3, 10e3)  # Hz, told in the table if the report covers them
SUFFIXES = (".svg", ".png", ".pdf")
SPOOL = 500.0  # g of fine wire as commonly sold; common practice, no source


def coil_text(report: CoilReport) -> str:
    """The report as a table, every figure marked as computed."""
    rows = report.rows()
    width = max(len(name) for name, _ in rows)
    lines = ["Computed from geometry, not measured; give or take two standard deviations.", ""]
    lines += [f"{name.ljust(width)}  {told}" for name, told in rows]
    grams = report.wire_mass.m * 1e3
    share = f"{100 * grams / SPOOL:.2g} % of a spool of {SPOOL:g} g"
    lines += ["", f"wire {report.coil.wire.told()}: {grams:.3g} g of copper, {share}"]
    lines += [f"packing {report.coil.packed:.2f} (scattered by hand 0.6, machine-laid 0.9, closest 1.15)", ""]
    lines += ["frequency   inductance   series resistance"]
    for i in _shown(report):
        f, x, r = (report.frequencies.m[i], report.inductance_at.m[i], report.resistance_at.m[i])
        lines.append(f"{engineering(f, 'Hz'):>9}   {engineering(x, 'H'):>10}   {engineering(r, 'Ω'):>10}")
    lines += ["", network_sentence(report), *report.notes]
    return "\n".join(lines)


def network_sentence(report: CoilReport) -> str:
    """The short network in words."""
    net = report.network
    parts = [f"{engineering(report.resistance.m, 'Ω')}", engineering(net.inductance, "H")]
    parts += [f"({engineering(x, 'H')} across {engineering(r, 'Ω')})" for r, x in net.sections]
    return f"As a circuit, 20 Hz to 20 kHz within {100 * net.error:.2g} %, all in series: {', '.join(parts)}."


def _shown(report: CoilReport) -> list[int]:
    hertz = report.frequencies.m
    if hertz.size <= 12:
        return list(range(hertz.size))
    return sorted({int(np.argmin(abs(np.log(hertz / f)))) for f in SAMPLES if hertz[0] <= f <= hertz[-1]})


def plain_axes(axes: Axes) -> None:
    """The grid and frame of all plots."""
    axes.grid(True, which="major", alpha=0.35)
    axes.grid(True, which="minor", alpha=0.12)
    axes.spines[["top", "right"]].set_visible(False)


def coil_figure(report: CoilReport) -> Figure:
    """L, R and |Z| over frequency, one above the other."""
    from matplotlib.figure import Figure
    from matplotlib.ticker import EngFormatter

    figure = Figure(figsize=(7.5, 8.0), layout="constrained")
    order = np.argsort(report.frequencies.m)
    hertz = report.frequencies.m[order]
    curves = [
        ("inductance in H", report.inductance_at.m, "series inductance with its metal"),
        ("resistance in Ω", report.resistance_at.m, "series resistance: wire and eddy currents"),
        ("impedance in Ω", abs(report.impedance), "impedance of the coil, own capacitance included"),
    ]
    for i, (label, values, title) in enumerate(curves):
        axes = figure.add_subplot(3, 1, i + 1)
        draw = axes.semilogx if i == 0 else axes.loglog
        draw(hertz, values[order], color=COLOURS[i], marker="o" if hertz.size < 12 else None)
        plain_axes(axes)
        axes.set_ylabel(label)
        head(axes, title)
        axes.xaxis.set_major_formatter(EngFormatter())
        if i:
            axes.yaxis.set_major_formatter(EngFormatter())
        else:
            axes.axhline(report.air_inductance.m, color="#555555", linestyle=":", linewidth=1)
            axes.annotate("without metal", (hertz[0], report.air_inductance.m), xytext=(4, 4),
                          textcoords="offset points", fontsize="small", color="#555555")  # fmt: skip
            axes.set_ylim(0, 1.1 * max(values.max(), report.air_inductance.m))
    axes.set_xlabel("frequency in Hz")
    return figure


def drawing(report: CoilReport) -> Figure:
    """The coil to scale, in millimetres: in plan from the strings' side, and cut across its middle."""
    from matplotlib.figure import Figure

    coil = report.coil
    figure = Figure(figsize=(9.0, 4.6), layout="constrained")
    plan, section = figure.subplots(1, 2, width_ratios=[3, 1.4])
    draw_plan(plan, coil)
    draw_section(section, coil)
    for axes, title in ((plan, "plan, from the strings"), (section, "section across the middle")):
        axes.set_aspect("equal")
        head(axes, title)
        axes.set_xlabel("mm")
        axes.spines[["top", "right"]].set_visible(False)
        axes.autoscale_view()
        axes.margins(0.08)
    handles, labels = section.get_legend_handles_labels()
    unique = dict(zip(labels, handles, strict=True))
    figure.legend(unique.values(), unique.keys(), loc="outside lower center", ncols=5, frameon=False)
    return figure


def _stadium(straight: float, radius: float, points: int = 40) -> np.ndarray:
    t = np.linspace(-np.pi / 2, np.pi / 2, points)
    right = np.stack((straight / 2 + radius * np.cos(t), radius * np.sin(t)), 1)
    return np.concatenate((right, -right))


def draw_plan(axes: Axes, coil: Coil) -> None:
    """The coil from the strings' side: winding, poles, plates (dashed) and bar (dotted), in mm."""
    from matplotlib.patches import Circle, PathPatch, Rectangle
    from matplotlib.path import Path as Outline

    g = coil.geometry
    s, inner, outer = 1e3 * g.straight, 1e3 * g.inner_radius, 1e3 * (g.inner_radius + g.build)
    for plate in coil.plates:
        length, width = (1e3 * side for side in plate.sides)
        shape: Any
        if plate.diameter is not None:
            shape = Circle((0, 0), length / 2)
        else:
            shape = Rectangle((-length / 2, -width / 2), length, width)
        shape.set(fill=False, edgecolor=PLATE, linestyle="--", linewidth=1.5)
        axes.add_patch(shape)
        for slot in plate.slots:
            _slot(axes, plate, slot)
    if coil.bar is not None:
        length, width = 1e3 * coil.bar.length.m, 1e3 * coil.bar.width.m
        axes.add_patch(
            Rectangle(
                (-length / 2, -width / 2), length, width, fill=False, edgecolor="#56708a", linestyle=":"
            )
        )
    rim, hole = _stadium(s, outer), _stadium(s, inner)[::-1]
    path = Outline.make_compound_path(Outline(rim, closed=True), Outline(hole, closed=True))
    axes.add_patch(PathPatch(path, facecolor=COPPER, edgecolor="#7a5200", linewidth=0.8))
    if coil.poles is not None:
        for k in range(coil.poles.count):
            x = 1e3 * coil.poles.step * (k - (coil.poles.count - 1) / 2)
            axes.add_patch(Circle((x, 0), 500 * coil.poles.diameter.m, facecolor=STEEL, edgecolor="black"))


def _slot(axes: Axes, plate: Any, slot: Any) -> None:
    reach = plate.sides[0 if slot.along == "length" else 1] / 2
    start = -reach if slot.start is None else slot.start.m
    end = reach if slot.end is None else slot.end.m
    along, across = 1e3 * np.array([start, end]), 1e3 * np.array([slot.at.m, slot.at.m])
    axes.plot(*((along, across) if slot.along == "length" else (across, along)), color=PLATE, linewidth=2.5)


def draw_section(axes: Axes, coil: Coil) -> None:
    """The coil cut across its middle, strings above, in mm."""
    from matplotlib.patches import Rectangle

    g = coil.geometry
    inner, build, height = 1e3 * g.inner_radius, 1e3 * g.build, 1e3 * g.height

    def box(left: float, bottom: float, width: float, tall: float, colour: str, label: str) -> None:
        axes.add_patch(
            Rectangle(
                (left, bottom), width, tall, facecolor=colour, edgecolor="black", linewidth=0.7, label=label
            )
        )

    for left in (-inner - build, inner):
        box(left, -height / 2, build, height, COPPER, "winding")
    for plate in coil.plates:
        low, high = (1e3 * z for z in plate.span)
        width = 1e3 * plate.sides[1]
        box(-width / 2, low, width, high - low, PLATE, f"plate: {plate.material.name or 'metal'}")
    if coil.bar is not None:
        top, width, thick = 1e3 * coil.bar_top, 1e3 * coil.bar.width.m, 1e3 * coil.bar.thickness.m
        box(-width / 2, top - thick, width, thick, MAGNET, f"bar: {coil.bar.material.name or 'magnet'}")
    if coil.poles is not None:
        d, low, tall = (1e3 * v for v in (coil.poles.diameter.m, coil.poles.bottom, coil.poles.length.m))
        box(-d / 2, low, d, tall, STEEL, f"pole: {coil.poles.material.name or 'metal'}")
    axes.axhline(0, color="black", linewidth=0.6, linestyle="-.")
    axes.set_ylabel("mm, strings above")


def save(figure: Figure, path: Path) -> None:
    """Write a figure; the ending of the name, one of `SUFFIXES`, chooses the kind."""
    try:
        figure.savefig(path, dpi=150, metadata={"Date": None} if path.suffix == ".svg" else None)
    except OSError as error:
        raise InputError(Fault("", f"cannot be written: {error.strerror or error}"), str(path)) from error
