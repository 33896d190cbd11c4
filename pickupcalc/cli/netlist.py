"""The circuit of one position as a SPICE deck."""

from __future__ import annotations

import argparse

from pickupcalc.cli.common import add_job, open_job
from pickupcalc.limits import POINTS_PER_DECADE, whole


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_job(parser)
    parser.add_argument("--position", required=True, metavar="NAME", help="a position of the job file")
    parser.add_argument(
        "--points", default="100", metavar="N", help="frequencies in each decade, 100 if left out"
    )


def run(given: argparse.Namespace) -> str:
    from pickupcalc.answers.response import signal_emf
    from pickupcalc.instrument.harness import circuit
    from pickupcalc.instrument.netlist import spice_deck

    points = whole("--points", given.points, 1, POINTS_PER_DECADE)
    instrument = open_job(given.job).instrument
    position = instrument.position(given.position)
    title = f"{instrument.about.name}, position {position.name}"
    if computed := instrument.computed(position):
        title += f"; computed from geometry, not measured: {', '.join(computed)}"
    deck = spice_deck(circuit(instrument, position), signal_emf(instrument, position), title, points)
    return deck.rstrip("\n")
