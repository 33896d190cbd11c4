"""Plots, in one style: told apart by colour, by line and by a label at the line's end."""

from __future__ import annotations

from collections.abc import Sequence
from io import StringIO
from itertools import cycle
from typing import TYPE_CHECKING

from pickupcalc.answers.response import Response

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Okabe and Ito's colours for readers who do not see all of them (from memory), darkest first.
COLOURS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#56B4E9", "#E69F00", "#000000")
LINES = ("-", "--", "-.", (0, (1, 1.2)), (0, (6, 1, 1, 1, 1, 1)), (0, (8, 2)), (0, (3, 1)))


def new_figure(width: float = 8.0, height: float = 4.5) -> tuple[Figure, Axes]:
    """A figure that no window or global state holds on to."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width, height), layout="constrained")
    axes = figure.add_subplot()
    axes.grid(True, which="major", alpha=0.35)
    axes.grid(True, which="minor", alpha=0.12)
    axes.spines[["top", "right"]].set_visible(False)
    return figure, axes


def responses_figure(responses: Sequence[Response]) -> Figure:
    """Magnitude of several positions over frequency, in one picture."""
    figure, axes = new_figure()
    draw_responses(axes, responses)
    return figure


def draw_responses(axes: Axes, responses: Sequence[Response]) -> None:
    """Put responses into axes; the lowest level shown is 40 dB below the highest."""
    from matplotlib.ticker import EngFormatter

    highest = max(float(r.magnitude_db.max()) for r in responses)
    for response, colour, line in zip(responses, cycle(COLOURS), cycle(LINES), strict=False):
        hertz = response.frequencies.m_as("hertz")
        axes.semilogx(hertz, response.magnitude_db, color=colour, linestyle=line, label=response.position)
    axes.set_xlim(hertz[0], hertz[-1])
    axes.set_ylim(max(highest - 40, -120), highest + 3)
    axes.xaxis.set_major_formatter(EngFormatter())
    axes.set_xlabel("frequency in Hz")
    axes.set_ylabel("level at the amplifier in dB")
    axes.legend(frameon=False, fontsize="small", loc="lower left")


def svg(figure: Figure) -> str:
    """The figure as an SVG element, the same bytes for the same content."""
    import matplotlib as mpl

    out = StringIO()
    with mpl.rc_context({"svg.hashsalt": "pickupcalc", "svg.fonttype": "none"}):
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    text = out.getvalue()
    return text[text.index("<svg") :]
