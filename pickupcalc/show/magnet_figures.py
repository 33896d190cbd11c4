"""Pictures of magnets: field map, verdict bars, compass needles."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from pickupcalc.answers.magnet.at_strings import HEARD, AtString
from pickupcalc.answers.magnet.compass import Needle
from pickupcalc.answers.magnet.field_map import FieldMap
from pickupcalc.answers.magnet.reversal import FULLY, Reversal
from pickupcalc.answers.magnet.warming import Warming
from pickupcalc.show.plots import COLOURS, head, new_figure, place
from pickupcalc.units import celsius

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

NORTH, SOUTH, STEEL = "#D55E00", "#0072B2", "#9a9a9a"
WEAKEST, STRONGEST = 1.0, 300.0  # mT, of the map's shades
# Behind words that stand on a band or a line.
READABLE = {"facecolor": "white", "edgecolor": "none", "alpha": 0.8, "pad": 1.5}
KIND_COLOURS = {"magnet": COLOURS[0], "glue": COLOURS[1], "wax": COLOURS[5], "bobbin": COLOURS[2]}


def reversal_figure(field: FieldMap, found: Reversal) -> Figure:
    """The field map above; below it what became of each pole's magnet, and why."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(8.0, 6.4), dpi=50)  # dots of the shades alone: all else is drawn
    place(figure, hspace=0.4, wspace=0.3)
    grid = figure.add_gridspec(2, 2, height_ratios=(2, 1), width_ratios=(1.7, 1))
    above, below = figure.add_subplot(grid[0, :]), figure.add_subplot(grid[1, 0])
    draw_field_map(above, field)
    draw_jig_field(figure.add_subplot(grid[1, 1]), found)
    head(above, "the field afterwards, the jig taken away")
    draw_verdict(below, found)
    return figure


def draw_field_map(axes: Axes, field: FieldMap) -> None:
    """Shades for the strength of the field, small arrows along it, the bodies outlined."""
    from matplotlib.colors import LogNorm
    from matplotlib.patches import Rectangle

    across, up = 1e3 * field.across.m, 1e3 * field.up.m
    bx, bz = 1e3 * field.b_across.m, 1e3 * field.b_up.m
    size = np.clip(np.hypot(bx, bz), WEAKEST, STRONGEST)
    shades = axes.imshow(
        size,
        norm=LogNorm(WEAKEST, STRONGEST),
        cmap="cividis",
        interpolation="bilinear",
        origin="lower",
        extent=(across[0], across[-1], up[0], up[-1]),
    )
    some = slice(2, None, max(1, len(up) // 12))
    strength = np.hypot(bx, bz)[some, some]
    axes.quiver(
        across[some],
        up[some],
        bx[some, some] / strength,
        bz[some, some] / strength,
        color="white",
        pivot="mid",
        scale=22,
        width=0.0022,
        headwidth=4,
        headlength=4,
        headaxislength=4,
    )
    for outline in field.outlines:
        left, bottom, width, height = (1e3 * v for v in outline.box)
        steel = {"fill": True, "facecolor": STEEL} if outline.kind == "steel" else {"fill": False}
        axes.add_patch(
            Rectangle((left, bottom), width, height, edgecolor="white", linewidth=1.4, zorder=3, **steel)
        )
    axes.locator_params(nbins=4)
    axes.set_xlabel(f"{field.place} in mm")
    axes.set_ylabel("toward the strings in mm")
    bar = axes.figure.colorbar(shades, ax=axes, ticks=[1, 3, 10, 30, 100, 300], format="%g")
    bar.set_label("field in mT")
    bar.minorticks_off()


def draw_jig_field(axes: Axes, found: Reversal) -> None:
    """The jig's field along the weakest rod or bar, and what it must reach everywhere."""
    axes.plot(1e3 * found.along.m, found.jig_along.m / 1e3, color=COLOURS[0], marker="o", ms=3)
    needed = found.needed.m / 1e3
    axes.axhline(needed, color="black", ls="--", lw=0.9)
    axes.text(1e3 * found.along.m.min(), needed, "needed", va="bottom", fontsize="small")
    axes.set_ylim(0, 1.2 * max(needed, found.jig_along.m.max() / 1e3))
    axes.locator_params(nbins=4)
    axes.set_xlabel(f"along the {'rod' if 'rod' in found.where else 'bar'} in mm")
    axes.set_ylabel("jig's field in kA/m")
    axes.spines[["top", "right"]].set_visible(False)


def draw_verdict(axes: Axes, found: Reversal) -> None:
    """One bar a pole: from -100 % (as it was) to +100 % (fully the other way round)."""
    strength = 100 * found.reversed_strength.m
    poles = np.arange(1, strength.size + 1)
    colours = [COLOURS[2] if s >= 100 * FULLY else COLOURS[1] for s in strength]
    axes.bar(poles, strength, color=colours, width=0.6)
    for pole, s in zip(poles, strength, strict=True):
        axes.text(pole, s, f"{s:.0f}", ha="center", va="bottom" if s >= 0 else "top", fontsize="small")
    low, high = (100 * f(found.weakest) for f in (min, max))
    axes.axhspan(low, high, color=COLOURS[3], alpha=0.18, lw=0, label="weakest place")
    axes.axhline(100 * FULLY, color="black", lw=0.9, ls="--", label="fully")
    axes.axhline(0, color="black", lw=0.8)
    most = max(115.0, 1.15 * float(np.abs(strength).max()))
    axes.set_ylim(-most, most)
    axes.set_yticks([-100, 0, 100])
    axes.set_xticks(poles)
    axes.set_xlabel("pole")
    axes.set_ylabel("reversed, in %")
    head(axes, f"verdict: {found.verdict}", weight="bold")
    axes.spines[["top", "right"]].set_visible(False)
    axes.legend(frameon=False, fontsize="small", loc="lower right", bbox_to_anchor=(1, 0.98), ncols=2)


def compass_figure(needles: Sequence[Needle]) -> Figure:
    """A compass at both ends of every pole; the needle's north end is the dark red one, marked N."""
    from matplotlib.patches import Circle, Rectangle

    poles = max(n.pole for n in needles)
    figure, axes = new_figure(max(6.0, 1.15 * poles), 5.0, left=0.1, right=0.1, below=0.1, above=0.3)
    axes.grid(False)
    for needle in needles:
        y = 2.0 if needle.end == "top" else -2.0
        away = 1.0 if needle.end == "top" else -1.0
        turn = np.radians(needle.angle)
        dx, dy = 0.38 * np.sin(turn), 0.38 * np.cos(turn) * away
        axes.add_patch(Circle((needle.pole, y), 0.46, facecolor="white", edgecolor="black", lw=1.2))
        axes.plot([needle.pole, needle.pole + dx], [y, y + dy], color=NORTH, lw=4, solid_capstyle="butt")
        axes.plot(
            [needle.pole, needle.pole - dx], [y, y - dy], color=SOUTH, lw=4, solid_capstyle="butt", alpha=0.75
        )
        axes.text(
            needle.pole + 1.28 * dx, y + 1.28 * dy, "N", ha="center", va="center", fontsize=8, weight="bold"
        )
        axes.text(needle.pole, y + 0.66 * away, needle.shows, ha="center", va="center", fontsize="small")
    for pole in range(1, poles + 1):
        axes.add_patch(Rectangle((pole - 0.2, -1.2), 0.4, 2.4, facecolor=STEEL, edgecolor="black"))
        axes.text(pole, 0, str(pole), ha="center", va="center")
    axes.set_xlim(0.3, poles + 0.7)
    axes.set_ylim(-3.1, 3.1)
    axes.set_aspect("equal")
    axes.axis("off")
    head(axes, "upper row: the ends toward the strings; N is the needle's north end")
    return figure


def warming_figure(found: Warming) -> Figure:
    """What gives way where, on one scale of temperature, with the window to work in."""
    figure, axes = new_figure(8.0, 1.6 + 0.5 * len(found.limits), left=0.15, above=0.1)
    hottest = 210.0
    for row, limit in enumerate(found.limits):
        begins, done = celsius(limit.begins), min(celsius(limit.done), hottest)
        axes.barh(row, done - begins, left=begins, height=0.5, color=KIND_COLOURS[limit.kind])
        name = f"{limit.name} ({limit.kind})"
        axes.text(begins - 2, row, name, ha="right", va="center", fontsize="small", bbox=READABLE)
    if found.window is not None:
        low, high = (celsius(w.m) for w in found.window)
        axes.axvspan(low, high, color=COLOURS[2], alpha=0.25, lw=0)
        axes.text(high + 2, -0.72, f"work here: {low:.0f} to {high:.0f} °C", fontsize="small")
    here = celsius(found.temperature.m)
    axes.axvline(here, color="black", lw=1.5)
    axes.text(here + 2, len(found.limits) - 0.4, f"{here:.0f} °C", fontsize="small", bbox=READABLE)
    axes.set_xlim(-45, hottest)
    axes.set_ylim(-0.9, len(found.limits) - 0.1)
    axes.set_yticks([])
    axes.grid(False, axis="y")
    axes.set_xlabel("temperature of the part in °C; each bar from where it begins to give way")
    axes.spines["left"].set_visible(False)
    return figure


def strings_figure(names: Sequence[str], strings: Sequence[AtString]) -> Figure:
    """Drag of one string's pitch by several magnets, with its uncertainty."""
    figure, axes = new_figure(8.0, 1.4 + 0.42 * len(names), left=3.0)
    rows = np.arange(len(names))[::-1]
    drags = np.array([s.drag for s in strings])
    doubts = [s.drag_uncertainty for s in strings]
    axes.barh(rows, drags, xerr=doubts, height=0.55, color=COLOURS[0], ecolor="black", capsize=3)
    lowest = float(min(drags - doubts)) * 1.15 - 0.3
    for row, found in zip(rows, strings, strict=True):
        axes.text(
            0.01 * -lowest,
            row,
            f"{1e3 * abs(found.field.m):.0f} mT, {1e3 * found.force.m:.1f} mN",
            va="center",
        )
    axes.axvspan(-HEARD, 0, color=COLOURS[2], alpha=0.2, lw=0)
    axes.set_yticks(rows, names)
    axes.set_xlim(lowest, -0.28 * lowest)
    axes.set_xlabel(f"shift of the fundamental in cents (green: less than {HEARD:.0f}, hard to hear)")
    axes.grid(False, axis="y")
    return figure
