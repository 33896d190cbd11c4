"""Plots, in one style: told apart by colour, by line and by a label at the line's end."""

from __future__ import annotations

import re
import warnings
from collections.abc import Sequence
from io import StringIO
from itertools import cycle
from typing import TYPE_CHECKING, Any

from pickupcalc.answers.response import Response

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Okabe and Ito's colours for readers who do not see all of them (from memory), darkest first.
COLOURS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#56B4E9", "#E69F00", "#000000")
LINES = ("-", "--", "-.", (0, (1, 1.2)), (0, (6, 1, 1, 1, 1, 1)), (0, (8, 2)), (0, (3, 1)))


def new_figure(width: float = 8.0, height: float = 4.5, **margins: float) -> tuple[Figure, Axes]:
    """A figure that no window or global state holds on to; margins as in `place`."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width, height))
    place(figure, **margins)
    axes = figure.add_subplot()
    axes.grid(True, alpha=0.35)
    axes.spines[["top", "right"]].set_visible(False)
    return figure, axes


def as_it_is(name: str) -> str:
    """A name as matplotlib draws it letter by letter: no mathematics, and never left out of a legend."""
    text = name.replace("$", r"\$")
    return f" {text}" if text.startswith("_") else text


def head(axes: Axes, title: str, **text: Any) -> None:
    """A small title at the left; told its height, since looking for it measures all labels."""
    axes.set_title(title, loc="left", fontsize="medium", y=1.0, **text)


def place(
    figure: Figure,
    *,
    left: float = 0.8,
    right: float = 0.15,
    below: float = 0.55,
    above: float = 0.4,
    **gaps: float,
) -> None:
    """Margins in inches, gaps between axes in shares of theirs.

    By hand, since an automatic layout measures every text several times, which takes as long as drawing.
    """
    width, height = figure.get_size_inches()
    figure.subplots_adjust(
        left=left / width, right=1 - right / width, bottom=below / height, top=1 - above / height, **gaps
    )


def responses_figure(responses: Sequence[Response], height: float = 4.5) -> Figure:
    """Magnitude of several positions over frequency, in one picture."""
    figure, axes = new_figure(height=height)
    draw_responses(axes, responses)
    return figure


def draw_responses(axes: Axes, responses: Sequence[Response]) -> None:
    """Put responses into axes; the lowest level shown is 40 dB below the highest."""
    highest = max(float(r.magnitude_db.max()) for r in responses)
    for response, colour, line in zip(responses, cycle(COLOURS), cycle(LINES), strict=False):
        hertz = response.frequencies.m_as("hertz")
        name = as_it_is(response.position)
        axes.semilogx(hertz, response.magnitude_db, color=colour, linestyle=line, label=name)
    axes.set_xlim(hertz[0], hertz[-1])
    axes.set_ylim(max(highest - 40, -120), highest + 3)
    frequency_axes(axes)
    axes.set_ylabel("level at the amplifier in dB")
    axes.legend(frameon=False, fontsize="small", loc="lower left")


def comparison_figure(pairs: Sequence[tuple[Response, Response]]) -> Figure:
    """Positions before (thin, dashed) and after (full), a colour for each."""
    figure, axes = new_figure()
    draw_responses(axes, [after for _, after in pairs])
    for line in axes.get_lines():
        line.set_linestyle("-")
    lowest, highest = axes.get_ylim()
    for (before, _), colour in zip(pairs, cycle(COLOURS), strict=False):
        hertz = before.frequencies.m_as("hertz")
        axes.plot(hertz, before.magnitude_db, color=colour, linestyle="--", linewidth=0.9)
        highest = max(highest, float(before.magnitude_db.max()) + 3)
    axes.set_ylim(lowest, highest)
    return figure


def frequency_axes(axes: Axes) -> None:
    """Hertz below, and above them the note names of the octaves of A, for who thinks in notes."""
    from matplotlib.ticker import FixedLocator, NullLocator

    hertz_axis(axes)
    notes = axes.secondary_xaxis("top")
    octaves = range(10)
    notes.xaxis.set_major_locator(FixedLocator([27.5 * 2.0**k for k in octaves]))
    notes.xaxis.set_minor_locator(NullLocator())
    notes.set_xticklabels([f"A{k}" for k in octaves], fontsize="small", color="#555")
    notes.tick_params(length=3, color="#999")
    notes.spines["top"].set_visible(False)


def hertz_axis(axes: Axes) -> None:
    """Hertz below, over decades. The fine grid is one collection: a minor tick would cost a millisecond."""
    from matplotlib.collections import LineCollection
    from matplotlib.ticker import EngFormatter

    axes.set_xscale("log")
    axes.minorticks_off()
    hertz = (k * decade for decade in (10, 100, 1000, 10_000) for k in range(2, 10))
    fine = [[(f, 0.0), (f, 1.0)] for f in hertz]
    lines = LineCollection(
        fine, transform=axes.get_xaxis_transform(), color="#b0b0b0", linewidth=0.8, alpha=0.12, zorder=0.5
    )
    axes.add_collection(lines, autolim=False)
    axes.xaxis.set_major_formatter(EngFormatter())
    axes.set_xlabel("frequency in Hz")


def svg(figure: Figure) -> str:
    """The figure as an SVG element, the same bytes for the same content."""
    import matplotlib as mpl
    from matplotlib.backends.backend_svg import FigureCanvasSVG

    out = StringIO()
    with mpl.rc_context({"svg.hashsalt": "pickupcalc", "svg.fonttype": "none"}), warnings.catch_warnings():
        # Letters stay letters in the file, so whoever shows it may have them.
        warnings.filterwarnings("ignore", r"Glyph \d+ .* missing from font")
        # Not by `savefig`, which draws a figure that has a layout twice.
        FigureCanvasSVG(figure).print_svg(out, metadata={"Date": None, "Creator": None})
    text = out.getvalue()
    # Group names repeat from picture to picture, and a page may hold several; nothing refers to them.
    return re.sub(r'<g id="[^"]*"', "<g", text[text.index("<svg") :])
