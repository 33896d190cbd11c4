"""Pictures of readings: what meters show, an impedance with its error bars, hum before and after."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pickupcalc.answers.measurement.hum_change import Comparison
from pickupcalc.answers.measurement.hum_recording import Hum
from pickupcalc.answers.measurement.impedance import Measured
from pickupcalc.answers.measurement.meter import METER_FREQUENCIES, meter_curve
from pickupcalc.parts.pickup import Pickup
from pickupcalc.show.plots import COLOURS, hertz_axis, new_figure, place
from pickupcalc.units import engineering, quantity, to_si

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

LOWEST_SHOWN = -130.0  # dB below a full-scale sine


def meter_figure(pickup: Pickup) -> Figure:
    """Inductance shown in both modes over the meter's frequency, with the usual meters marked."""
    from matplotlib.ticker import LogLocator

    figure, axes = new_figure()
    hertz = np.geomspace(50, 20e3, 400)
    marks = np.array([to_si(f, "hertz") for f in METER_FREQUENCIES])
    true = pickup.inductance.m
    for mode, colour, line in (("series", COLOURS[0], "-"), ("parallel", COLOURS[1], "--")):
        shown, read = (meter_curve(pickup, quantity(f, "hertz"), mode).m for f in (hertz, marks))
        axes.loglog(hertz, np.where(shown > 0, shown, np.nan), line, color=colour, label=f"{mode} mode")
        axes.plot(marks, np.where(read > 0, read, np.nan), "o", color=colour)
    axes.axhline(true, color="#666666", linewidth=1)
    axes.annotate(f"true, {engineering(true, 'H')}", (180, true), xytext=(0, -13), textcoords="offset points")
    axes.yaxis.set_major_locator(LogLocator(subs=(1, 2, 5)))
    axes.yaxis.set_major_formatter("{x:g}")
    axes.set_ylim(0.3 * true, 40 * true)
    hertz_axis(axes)
    axes.set_ylabel("inductance shown in H")
    axes.legend(frameon=False, loc="upper center")
    return figure


def impedance_figure(measured: Measured) -> Figure:
    """Size of the impedance with error bars, its fit, and what the fit leaves below."""
    from matplotlib.figure import Figure as NewFigure
    from matplotlib.ticker import EngFormatter, LogLocator

    figure = NewFigure(figsize=(8.0, 5.4))
    place(figure, above=0.1, hspace=0.1)
    axes, below = figure.subplots(2, 1, sharex=True, height_ratios=(3, 1))
    hertz, z = measured.frequency.m, measured.impedance
    size = np.abs(z)
    bars = 2 * measured.deviation * size
    axes.errorbar(
        hertz, size, bars, fmt=".", color=COLOURS[0], ecolor=COLOURS[4], markersize=3, label="measured"
    )
    axes.plot(hertz, np.abs(measured.fitted), color=COLOURS[1], linewidth=1.2, label="fit")
    axes.set_yscale("log")
    axes.yaxis.set_major_locator(LogLocator(subs=(1, 2, 5)))
    axes.yaxis.set_major_formatter(EngFormatter())
    axes.set_ylabel("impedance in Ω")
    axes.legend(frameon=False, loc="upper left")
    left = 100 * (np.abs(z) / np.abs(measured.fitted) - 1)
    below.fill_between(
        hertz, -200 * measured.deviation, 200 * measured.deviation, color=COLOURS[4], alpha=0.4
    )
    below.plot(hertz, left, ".", color=COLOURS[0], markersize=3)
    limit = max(0.5, 1.3 * float(np.percentile(np.abs(left), 98)))
    below.set_ylim(-limit, limit)
    below.set_ylabel("off the fit in %")
    for a in (axes, below):
        a.grid(True, which="major", alpha=0.35)
        a.spines[["top", "right"]].set_visible(False)
        hertz_axis(a)
    axes.set_xlabel("")
    return figure


def hum_figure(comparison: Comparison) -> Figure:
    """Each line of the mains before and after, and the floor under both."""
    figure, axes = new_figure()
    _lines(axes, comparison.before, -1, COLOURS[1], "before (left)")
    _lines(axes, comparison.after, 1, COLOURS[0], "after (right)")
    axes.set_ylim(LOWEST_SHOWN, max(-20.0, comparison.before.level_db + 5))
    axes.set_xlim(20, 2050)
    axes.set_xlabel("frequency in Hz")
    axes.set_ylabel("level in dB (full-scale sine: 0)")
    axes.legend(frameon=False, loc="upper right")
    return figure


def _lines(axes: Axes, hum: Hum, side: int, colour: str, label: str) -> None:
    clear = [x for x in hum.lines if x.clear]
    width = 9.0
    hertz = np.array([float(x.frequency.m) for x in clear]) + side * width / 2
    height = np.array([x.level_db for x in clear]) - LOWEST_SHOWN
    lost = "" if clear else " (no line stands out)"
    axes.bar(hertz, height, width, bottom=LOWEST_SHOWN, color=colour, label=f"{label}{lost}")
