"""How every selector position of an instrument will behave."""

from __future__ import annotations

import argparse
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

from pickupcalc.cli.common import add_job, add_json, as_json, called, open_job
from pickupcalc.errors import InputError

if TYPE_CHECKING:
    from pickupcalc.answers.positions import PositionReport
    from pickupcalc.instrument.instrument import Instrument


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_job(parser)
    add_json(parser)
    parser.add_argument("--html", metavar="FILE", help="also write the sheet as one HTML file")
    parser.add_argument(
        "--sounds", action="store_true", help="beside the HTML file, a WAV file of each position, linked"
    )


def run(given: argparse.Namespace) -> str:
    from pickupcalc.answers.positions import positions

    if given.sounds and not given.html:
        raise InputError.of("--sounds", "needs --html FILE, the page that links the sound files")
    instrument = open_job(given.job).instrument
    reports = positions(instrument)
    if given.html:
        _write_page(Path(given.html), instrument, reports, given.sounds)
    if given.json:
        document = {"format": 1, "instrument": instrument.about.name}
        return as_json(document | {"positions": [r.as_json() for r in reports]})
    from pickupcalc.show.text import sheet_text

    return f"{sheet_text(instrument, reports)}\nTo turn dials and see each answer move: {called()} lab"


def _write_page(path: Path, instrument: Instrument, reports: list[PositionReport], sounds: bool) -> None:
    from pickupcalc.answers.playing import can_be_heard
    from pickupcalc.answers.sound import sound
    from pickupcalc.instrument.files import write_whole
    from pickupcalc.show.page import sheet_page

    heard = []
    try:
        if sounds or can_be_heard(instrument):
            heard = [sound(instrument, p.name, spread=False) for p in instrument.positions]
    except InputError as error:  # a page without spectra is better than none
        if sounds:
            raise
        print(f"pickupcalc: note: no spectra on the page: {error}", file=sys.stderr)
    files = _write_sounds(path, instrument) if sounds else {}
    write_whole(path, sheet_page(instrument, reports, heard, files))


def _write_sounds(page: Path, instrument: Instrument) -> dict[str, str]:
    """A strum in every position at its true level, beside the page; addresses by position."""
    from pickupcalc.answers.listening import listen, takes
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
