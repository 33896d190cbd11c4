"""Resistance, inductance, losses and own capacitance of a coil from its geometry."""

from __future__ import annotations

import argparse

from pickupcalc.cli.common import add_json, as_json, listed, target


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="coil geometry, or a job file with [pickup.coil] (TOML)")
    parser.add_argument(
        "--pickup", metavar="NAME", help="which pickup of a job file; needed if several have a coil"
    )
    parser.add_argument(
        "--frequencies", metavar="LIST", help='such as "100 Hz, 1 kHz"; 60 from 20 Hz to 20 kHz if left out'
    )
    parser.add_argument(
        "--plot", metavar="FILE", help="also draw L, R and Z over frequency (.svg, .png, .pdf)"
    )
    parser.add_argument("--drawing", metavar="FILE", help="also draw the coil to scale (.svg, .png, .pdf)")
    add_json(parser)


def run(given: argparse.Namespace) -> str:
    from pickupcalc.answers.coil.report import coil_report
    from pickupcalc.instrument.coilfile import read_coil

    coil = read_coil(given.file, given.pickup)
    found = coil_report(coil, listed(given.frequencies))
    for option, name in (("plot", "coil_figure"), ("drawing", "drawing")):
        if getattr(given, option):
            from pickupcalc.show import coil as show

            path = target(f"--{option}", getattr(given, option), *show.SUFFIXES)
            show.save(getattr(show, name)(found), path)
    if given.json:
        return as_json(found.as_json())
    from pickupcalc.show.coil import coil_text

    return coil_text(found)
