"""A drawing of a position's polarity: magnets, winding arrows, leads, signal and hum at the output."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pickupcalc.answers.hum.chance import Chance
from pickupcalc.answers.polarity.truth import Row, Truth
from pickupcalc.show.plots import as_it_is, place

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SIGNAL, HUM = "#0072B2", "#D55E00"
NORTH, SOUTH, UNKNOWN = "#b3341f", "#1f5fb3", "#777777"
LONGEST = 0.46  # of the arrow for the largest share


def polarity_figure(found: Truth) -> Figure:
    """The pickups of a position side by side, seen from the strings, and their sum at the right."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(1.9 * _columns(found) + 0.9, 3.9))
    place(figure, left=0.05, right=0.05, below=0.05, above=0.05)
    draw_polarity(figure.add_subplot(), found)
    return figure


def quiet_figure(found: Truth, chance: Chance | None) -> Figure:
    """The same picture with, below it, how many of such instruments get how quiet."""
    from matplotlib.figure import Figure

    if chance is None:
        return polarity_figure(found)
    figure = Figure(figsize=(1.9 * _columns(found) + 0.9, 6.4))
    place(figure, left=0.9, above=0.05)
    above, below = figure.subplots(2, 1, height_ratios=(3.4, 2))
    draw_polarity(above, found)
    below.plot(chance.percentiles_db, range(1, 100), color=HUM)
    below.axvline(-chance.reduction_db, color="#444444", linestyle="--", linewidth=1)
    told = f" {chance.reduction_db:.0f} dB quieter"
    below.text(-chance.reduction_db, 3, told, fontsize="small", va="bottom")
    below.set(xlim=(-60, 3), ylim=(0, 100), xlabel="hum left in dB against the loudest alone, as heard")
    below.set_ylabel("of 100 such\ninstruments")
    below.spines[["top", "right"]].set_visible(False)
    below.grid(alpha=0.3)
    return figure


def _columns(found: Truth) -> int:
    """One for each pickup, and one for the output where there are several."""
    return len(found.rows) + (len(found.rows) > 1)


def draw_polarity(axes: Axes, found: Truth) -> None:
    """Put the picture into axes."""
    columns = _columns(found)
    axes.set(xlim=(-0.45, columns), ylim=(-1.12, 1.42), aspect="equal")
    axes.axis("off")
    largest = max(r.share for r in found.rows)
    for i, row in enumerate(found.rows):
        _pickup(axes, i + 0.5, row)
        _arrows(axes, i + 0.5, row.signal, row.hum, row.share, row.share, largest)
    if len(found.rows) > 1:
        _output(axes, columns - 0.5, found)
    axes.plot([-0.1, columns - 0.05], [-0.55, -0.55], color="#444444", linewidth=0.8)
    axes.text(-0.16, -0.3, "+", ha="center", va="center")
    axes.text(-0.16, -0.8, "\N{MINUS SIGN}", ha="center", va="center")


def _pickup(axes: Axes, x: float, row: Row) -> None:
    from matplotlib.patches import FancyBboxPatch

    axes.text(x, 1.36, as_it_is(_short(row.pickup)), ha="center", va="top", fontsize="medium", weight="bold")
    for grow in (0.0, 0.035, 0.07):
        box = (x - 0.33 - grow, 0.63 - grow), 0.66 + 2 * grow, 0.24 + 2 * grow
        rounded = f"round,pad=0,rounding_size={0.12 + grow}"
        axes.add_patch(FancyBboxPatch(*box, boxstyle=rounded, fill=False, edgecolor="#8a5a2b", linewidth=1))
    letter = {1: "N", -1: "S", None: "?"}[row.magnet]
    colour = {1: NORTH, -1: SOUTH, None: UNKNOWN}[row.magnet]
    for k in range(4):
        spot = x - 0.24 + 0.16 * k
        axes.plot(spot, 0.75, "o", markersize=12, markerfacecolor="white", markeredgecolor=colour)
        axes.text(spot, 0.745, letter, ha="center", va="center", fontsize="x-small", color=colour)
    if row.sense is None:
        axes.text(x, 1.03, "winding ?", ha="center", va="center", fontsize="small")
    else:
        for y, way in ((1.03, -row.sense), (0.47, row.sense)):
            arrow = {"arrowstyle": "->", "color": "#8a5a2b", "linewidth": 1.6}
            axes.annotate("", xy=(x + 0.2 * way, y), xytext=(x - 0.2 * way, y), arrowprops=arrow)
    _leads(axes, x, row)


def _leads(axes: Axes, x: float, row: Row) -> None:
    hot, cold = "hot", "cold"
    if row.start_is_hot is not None:
        hot, cold = ("hot: start", "cold: finish") if row.start_is_hot else ("hot: finish", "cold: start")
    turned = "\nends exchanged by selector" if row.placed < 0 else ""
    axes.text(
        x, 0.3, f"{cold}  \N{RIGHTWARDS ARROW}  {hot}{turned}", ha="center", va="center", fontsize="x-small"
    )


def _arrows(
    axes: Axes,
    x: float,
    signal: int | None,
    hum: int | None,
    signal_share: Fraction,
    hum_share: Fraction,
    largest: Fraction,
) -> None:
    """Signal drawn solid, hum drawn wavy: told apart without colour."""
    for dx, sign, share, colour, word in (
        (-0.16, signal, signal_share, SIGNAL, "signal"),
        (0.16, hum, hum_share, HUM, "hum"),
    ):
        if sign is None:
            axes.text(x + dx, -0.55, "?", ha="center", va="center", backgroundcolor="white")
        elif share:
            _arrow(axes, x + dx, sign * LONGEST * float(share / largest), colour, word == "hum")
        else:
            axes.plot(x + dx, -0.55, "o", color=colour, markersize=5)
        axes.text(x + dx, -1.1, word, ha="center", va="bottom", fontsize="x-small", color=colour)


def _arrow(axes: Axes, x: float, length: float, colour: str, wavy: bool) -> None:
    from matplotlib.patches import FancyArrowPatch

    head = 0.11 if length > 0 else -0.11
    shaft = axes.plot([x, x], [-0.55, -0.55 + length - head], color=colour, linewidth=2.2)[0]
    if wavy:
        shaft.set_sketch_params(scale=3.5, length=9, randomness=1)
    axes.add_patch(
        FancyArrowPatch(
            (x, -0.55 + length - head), (x, -0.55 + length), arrowstyle="-|>", mutation_scale=13,
            color=colour, shrinkA=0, shrinkB=0,
        )
    )  # fmt: skip


def _output(axes: Axes, x: float, found: Truth) -> None:
    axes.text(x, 1.36, "at the output", ha="center", va="top", weight="bold")
    phase = {"in phase": "in phase:\nfull sound", "out of phase": "out of phase:\nthin sound"}
    hum = {"cancelling": "hum cancels", "not cancelling": "hum adds", "partly": "some hum is left"}
    first = phase.get(found.phase, f"phase: {found.phase}")
    told = f"{first}\n\n{hum.get(found.hum, f'hum: {found.hum}')}"
    axes.text(x, 0.72, told, ha="center", va="center", fontsize="small")
    signal, hums = found.signal_left, found.hum_left
    most = sum((r.share for r in found.rows), Fraction(0))
    _arrows(
        axes, x, _sign(signal), _sign(hums), abs(signal or Fraction(0)), abs(hums or Fraction(0)), most
    )  # fmt: skip


def _sign(total: Fraction | None) -> int | None:
    return None if total is None else (1 if total >= 0 else -1)


def _short(name: str) -> str:
    """A long name on two lines."""
    if len(name) <= 14 or " " not in name:
        return name
    middle = min((i for i, c in enumerate(name) if c == " "), key=lambda i: abs(i - len(name) / 2))
    return f"{name[:middle]}\n{name[middle + 1 :]}"
