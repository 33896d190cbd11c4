"""Pictures of sound: bars for partials, the comb over the fingerboard, a small spectrum."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from pickupcalc.answers.sound.heard import Sound
from pickupcalc.answers.sound.notches import FretMap
from pickupcalc.show.plots import COLOURS, as_it_is, head, new_figure, place

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

FLOOR = -40.0  # dB against 1 mV, where bars start
TOP = 35.0
SHALLOW, DEEP = 0.0, -30.0  # dB, ends of the map's scale
HATCHES = ("", "///", "xx")


def sound_figure(sounds: Sequence[Sound], comb: FretMap, string: int, fret: float) -> Figure:
    """Partials of one string in several positions above, the last position's comb below."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(8.0, 8.0))
    place(figure, right=0.1, above=0.15, hspace=0.25)
    upper, lower = figure.subplots(2, 1)
    draw_partials(upper, sounds, string, partials=int(comb.partials[-1]))
    draw_map(lower, comb, fret)
    return figure


def partials_figure(sounds: Sequence[Sound], string: int = 0, partials: int = 20) -> Figure:
    """Level of each partial of one string, a bar for each position."""
    figure, axes = new_figure()
    draw_partials(axes, sounds, string, partials)
    return figure


def draw_partials(axes: Axes, sounds: Sequence[Sound], string: int, partials: int) -> None:
    """Grouped bars, told apart by colour and hatching."""
    width = 0.8 / len(sounds)
    for i, sound in enumerate(sounds):
        levels = np.maximum(sound.notes[string].levels_db[:partials], FLOOR)
        places = np.arange(1, levels.size + 1) + (i - (len(sounds) - 1) / 2) * width
        axes.bar(
            places,
            levels - FLOOR,
            width,
            bottom=FLOOR,
            color=COLOURS[i % len(COLOURS)],
            hatch=HATCHES[i % len(HATCHES)],
            edgecolor="white",
            linewidth=0.3,
            label=as_it_is(sound.position),
        )
    note = sounds[0].notes[string]
    axes.set_ylim(FLOOR, TOP)
    axes.set_xlim(0.4, partials + 0.6)
    axes.set_xticks(range(2, partials + 1, 2))
    axes.set_xlabel(f"partial of the {note.string} string at {note.frequency.m:.4g} Hz")
    axes.set_ylabel("level at the amplifier, dB against 1 mV")
    axes.grid(True, axis="y", alpha=0.3)
    axes.set_axisbelow(True)
    axes.spines[["top", "right"]].set_visible(False)
    axes.legend(frameon=False, fontsize="small", ncols=len(sounds), loc="upper right")


def map_figure(comb: FretMap, fret: float | None = None) -> Figure:
    """Fret by partial: dark where the pickups do not hear it."""
    figure, axes = new_figure()
    draw_map(axes, comb, fret)
    return figure


def draw_map(axes: Axes, comb: FretMap, fret: float | None = None) -> None:
    shown = np.ma.masked_invalid(comb.heard_db)
    left, right, bottom, top = *comb.partials[[0, -1]], *comb.frets[[0, -1]]
    # An image of a pixel for each partial and fret: as shapes they would be most of the page.
    cells = axes.imshow(
        shown,
        vmin=DEEP,
        vmax=SHALLOW,
        cmap="cividis",
        interpolation="none",
        aspect="auto",
        origin="lower",
        extent=(left - 0.5, right + 0.5, bottom - 0.5, top + 0.5),
    )
    bar = axes.figure.colorbar(cells, ax=axes, extend="min", pad=0.01)
    bar.set_label("heard by the pickups, dB")
    if fret is not None:
        low, high = fret - 0.5, fret + 0.5
        axes.hlines([low, high], comb.partials[0] - 0.5, comb.partials[-1] + 0.5, color="#D55E00", lw=1.5)
    axes.grid(False)
    axes.set_xticks(comb.partials[1::2])
    axes.set_yticks(comb.frets[::3])
    axes.set_xlabel("partial")
    axes.set_ylabel("fret")
    head(axes, f"{as_it_is(comb.position)}, {comb.string} string: dark is not heard")


def small_spectrum(sound: Sound) -> Figure:
    """All strings' partials as lines over frequency, small enough for a table."""
    from matplotlib.ticker import EngFormatter, NullFormatter

    figure, axes = new_figure(3.2, 1.6, left=0.46, right=0.1, below=0.38, above=0.08)
    for note in sound.notes:
        heard = note.levels_db > FLOOR
        axes.vlines(note.partial_frequencies.m[heard], FLOOR, note.levels_db[heard], color=COLOURS[0], lw=0.6)
    axes.set_xscale("log")
    axes.set_xlim(30, 12e3)
    axes.set_ylim(FLOOR, TOP)
    axes.set_yticks([-40, -20, 0, 20])
    axes.xaxis.set_major_formatter(EngFormatter())
    axes.xaxis.set_minor_formatter(NullFormatter())
    axes.tick_params(labelsize=7)
    axes.set_xlabel("Hz", fontsize=7, labelpad=1)
    axes.set_ylabel("dB of 1 mV", fontsize=7, labelpad=1)
    return figure
