"""How every selector position of an instrument will behave."""

from __future__ import annotations

import argparse
from pathlib import Path

from pickupcalc.cli.common import add_job, add_json, as_json, called, open_job


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_job(parser)
    add_json(parser)
    parser.add_argument("--html", metavar="FILE", help="also write the sheet as one HTML file")


def run(given: argparse.Namespace) -> str:
    from pickupcalc.answers.positions import positions

    instrument = open_job(given.job).instrument
    reports = positions(instrument)
    if given.html:
        from pickupcalc.instrument.files import write_whole
        from pickupcalc.show.page import sheet_page

        write_whole(Path(given.html), sheet_page(instrument, reports))
    if given.json:
        document = {"format": 1, "instrument": instrument.about.name}
        return as_json(document | {"positions": [r.as_json() for r in reports]})
    from pickupcalc.show.text import sheet_text

    return f"{sheet_text(instrument, reports)}\nTo turn dials and see each answer move: {called()} lab"
