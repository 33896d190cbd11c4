"""A string over one pickup or two: where it is, the flux it sends, the voltages that follow."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pickupcalc.answers.polarity.apprentice import State, Traces
from pickupcalc.show.plots import COLOURS, LINES, place
from pickupcalc.show.polarity_drawing import NORTH, SOUTH

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PITCH = 3.7  # of the pickups in the drawing


def string_figure(found: Traces, moment: float = 0.0) -> Figure:
    """Pickups from the side above, traces below, with a mark at the moment shown.

    Parameters
    ----------
    found : Traces
    moment : float
        From 0 to 1 along the time of the traces.
    """
    from matplotlib.figure import Figure

    figure = Figure(figsize=(8.2, 6.4))
    place(figure, left=1.25, right=1.15, above=0.05)
    scene, flux, signal, hum = figure.subplots(4, 1, height_ratios=(1.7, 1, 1, 1))
    now = round(moment * (found.time.m.size - 1))
    _scene(scene, found, now)
    milliseconds = found.time.m_as("ms")
    _traces(flux, milliseconds, found.flux.m_as("nWb"), None, "flux of a\nturn in nWb")
    _traces(signal, milliseconds, found.signal.m_as("mV"), found.signal_out.m_as("mV"), "signal\nin mV")
    _traces(hum, milliseconds, found.hum.m_as("mV"), found.hum_out.m_as("mV"), "hum at\n1 µT in mV")
    for axes in (flux, signal, hum):
        axes.axvline(milliseconds[now], color="#444444", linewidth=0.8)
        axes.set_xlim(milliseconds[0], milliseconds[-1])
    flux.tick_params(labelbottom=False)
    signal.tick_params(labelbottom=False)
    hum.set_xlabel("time in ms")
    signal.legend(frameon=False, fontsize="small", loc="center left", bbox_to_anchor=(1, 0.5))
    return figure


def _scene(axes: Axes, found: Traces, now: int) -> None:
    axes.set(xlim=(-1.6, PITCH * len(found.states) - 1.6), ylim=(-1.75, 1.5), aspect="equal")
    axes.axis("off")
    low, high = found.height.m.min(), found.height.m.max()
    y = 0.35 + 0.75 * (found.height.m[now] - low) / (high - low)
    axes.plot([-1.5, PITCH * len(found.states) - 1.7], [y, y], color="#666666", linewidth=3)
    rising = np.gradient(found.height.m)[now]
    for i, state in enumerate(found.states):
        x = PITCH * i
        _side_view(axes, x, state)
        if abs(rising) > 0.1 * np.abs(np.gradient(found.height.m)).max():
            tip = y + (0.35 if rising > 0 else -0.3)
            axes.annotate("", xy=(x + 0.9, tip), xytext=(x + 0.9, y), arrowprops={"arrowstyle": "-|>"})
        volts = found.signal.m_as("mV")[i, now]
        word = "+" if volts > 0.05 * found.signal.m_as("mV").max() else ""
        word = "\N{MINUS SIGN}" if volts < -0.05 * found.signal.m_as("mV").max() else word
        axes.text(x + 1.42, -0.72, f"hot {word}", ha="left", va="center", fontsize="small")


def _side_view(axes: Axes, x: float, state: State) -> None:
    """Cut through rod and winding: a dot where the wire, from cold to hot, comes out of the paper."""
    from matplotlib.patches import Rectangle

    top, bottom = ("N", "S") if state.magnet == "north" else ("S", "N")
    colours = {"N": NORTH, "S": SOUTH}
    for letter, y in ((top, -0.75), (bottom, -1.6)):
        axes.add_patch(
            Rectangle((x - 0.22, y), 0.44, 0.85, facecolor=colours[letter], edgecolor="black", alpha=0.8)
        )
        axes.text(x, y + 0.42, letter, ha="center", va="center", color="white", weight="bold")
    for side in (-1, 1):
        axes.add_patch(
            Rectangle((x + side * 0.8 - 0.42, -1.3), 0.84, 1.1, facecolor="#f0e0cc", edgecolor="#8a5a2b")
        )
        # Seen from above a counter-clockwise turn comes towards us on the near side and, in this cut,
        # leaves the paper away from us at the right and towards us at the left.
        towards = side * state.h < 0
        for dy in (-0.95, -0.55):
            spot = x + side * 0.8
            axes.plot(spot, dy, "o", markersize=8, markerfacecolor="white", markeredgecolor="#8a5a2b")
            axes.plot(spot, dy, "." if towards else "x", markersize=4, color="#8a5a2b")


def _traces(axes: Axes, t: np.ndarray, each: np.ndarray, out: np.ndarray | None, label: str) -> None:
    for i, trace in enumerate(each):
        name = ("first", "second")[i] if len(each) > 1 else "the pickup"
        axes.plot(t, trace, color=COLOURS[i], linestyle=LINES[i], label=name)
    if out is not None and len(each) > 1:
        axes.plot(t, out, color="#aaaaaa", linewidth=6, zorder=1, label="together")
    axes.set_ylabel(label, rotation=0, ha="right", va="center", fontsize="small")
    axes.axhline(0, color="#999999", linewidth=0.5)
    axes.spines[["top", "right"]].set_visible(False)
