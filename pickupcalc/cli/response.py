"""Magnitude and phase of one position over frequency."""

from __future__ import annotations

import argparse

from pickupcalc.cli.common import add_job, add_json, as_json, listed, open_job


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_job(parser)
    parser.add_argument("--position", required=True, metavar="NAME", help="a position of the job file")
    parser.add_argument(
        "--frequencies", metavar="LIST", help='such as "50 Hz, 1 kHz"; 301 up to 20 kHz if left out'
    )
    add_json(parser)


def run(given: argparse.Namespace) -> str:
    from pickupcalc.answers.response import response
    from pickupcalc.units import engineering

    instrument = open_job(given.job).instrument
    found = response(instrument, given.position, listed(given.frequencies))
    computed = instrument.computed(instrument.position(given.position))
    if given.json:
        return as_json(found.as_json() | {"computed": computed})
    rows = zip(found.frequencies.m, found.magnitude_db, found.phase_deg, strict=True)
    lines = [f"{engineering(f, 'Hz', 4):>10}  {db:8.2f} dB  {deg:8.1f} deg" for f, db, deg in rows]
    if computed:
        lines.append(f"Computed from geometry, not measured: {', '.join(computed)}.")
    return "\n".join([f"{instrument.about.name}, position {given.position!r}, 1 V in each pickup", *lines])
