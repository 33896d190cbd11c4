"""How every selector position of an instrument will behave."""

from __future__ import annotations

import argparse
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

from pickupcalc.cli.common import add_job, add_json, as_json, called, one_of, open_job, target
from pickupcalc.errors import InputError

if TYPE_CHECKING:
    from pickupcalc.answers.positions import PositionReport
    from pickupcalc.answers.sound.heard import Sound
    from pickupcalc.instrument.instrument import Instrument
    from pickupcalc.instrument.jobfile import Job

PAGES = {"bench": "bench_page", "borrower": "borrower_page"}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_job(parser)
    add_json(parser)
    parser.add_argument("--html", metavar="FILE", help="also write the sheet as one HTML file")
    parser.add_argument(
        "--reader",
        default="bench",
        metavar="WHO",
        help="of the HTML file: bench (everything) or borrower (one page)",
    )
    parser.add_argument("--before", metavar="JOB2", help="the job as it came in, to show what was changed")
    parser.add_argument(
        "--sounds", action="store_true", help="beside the HTML file, a WAV file of each position, linked"
    )


def run(given: argparse.Namespace) -> str:
    from pickupcalc.answers.positions import positions

    if not given.html and (given.sounds or given.before):
        option = "--sounds" if given.sounds else "--before"
        raise InputError.of(option, "needs --html FILE, the page that shows it")
    one_of("--reader", given.reader, PAGES)
    job = open_job(given.job)
    instrument = job.instrument
    reports = positions(instrument)
    if given.html:
        _write_page(given, job, reports)
    if given.json:
        document = {"format": 1, "instrument": instrument.about.name}
        document |= {
            "positions": [r.as_json() for r in reports],
            "pickups": [p.as_json() for p in instrument.pickups],
        }
        return as_json(document)
    from pickupcalc.show.text import sheet_text

    return f"{sheet_text(instrument, reports)}\nTo turn dials and see each answer move: {called('lab')}"


def _write_page(given: argparse.Namespace, job: Job, reports: list[PositionReport]) -> None:
    from datetime import date

    from pickupcalc.instrument.files import write_whole
    from pickupcalc.show.pages import page

    path, instrument = target("--html", given.html, ".html", ".htm"), job.instrument
    sheet = page.Sheet(
        instrument,
        date.today(),
        reports,
        before=open_job(given.before).instrument if given.before else None,
        sounds=_sounds(instrument, given.sounds) if given.reader == "bench" else (),
        files=_write_sounds(path, instrument) if given.sounds else {},
        history=job.readings,
    )
    write_whole(path, getattr(page, PAGES[given.reader])(sheet))


def _sounds(instrument: Instrument, asked: bool) -> list[Sound]:
    """How all positions sound; a page without spectra is better than none, unless they were asked for."""
    from pickupcalc.answers.sound.heard import sound
    from pickupcalc.answers.sound.playing import can_be_heard

    try:
        if asked or can_be_heard(instrument):
            return [sound(instrument, p.name, spread=False) for p in instrument.positions]
    except InputError as error:
        if asked:
            raise
        print(f"pickupcalc: note: no spectra on the page: {error}", file=sys.stderr)
    return []


def _write_sounds(page: Path, instrument: Instrument) -> dict[str, str]:
    """A strum in every position at its true level, beside the page; addresses by position."""
    from pickupcalc.answers.sound.listening import listen, takes
    from pickupcalc.instrument.files import write_whole
    from pickupcalc.parts.performance import Record

    heard = listen(takes(instrument), record=Record(level="true"))
    files = {}
    for i, segment in enumerate(heard.segments):
        plain = re.sub(r"[^a-z0-9]+", "-", segment.position.lower()).strip("-")
        file = page.with_name(f"{page.stem}-{i + 1}-{plain}.wav")
        write_whole(file, heard.wav(16, i))
        files[segment.position] = quote(file.name)
    return files
