"""The sheet as one HTML file that needs nothing else: all for the bench, one page for the borrower."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from pickupcalc import __version__
from pickupcalc.answers.positions import PositionReport, positions
from pickupcalc.answers.response import Response, response
from pickupcalc.answers.sound.heard import Sound
from pickupcalc.instrument.harness import harness
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.instrument.readings import Reading
from pickupcalc.show.pages.borrower import change_words, position_words
from pickupcalc.show.pages.polarity import polarity_section
from pickupcalc.show.pages.readings import history_row, proof, readings
from pickupcalc.show.plots import comparison_figure, responses_figure, svg
from pickupcalc.show.schematic import schematic
from pickupcalc.show.sound import small_spectrum
from pickupcalc.show.text import HEADINGS, cells, notes
from pickupcalc.tables import table
from pickupcalc.units import engineering


@dataclass(frozen=True)
class Sheet:
    """What goes on paper.

    Attributes
    ----------
    instrument : Instrument
    day : date
    reports : sequence of PositionReport
    before : Instrument, optional
        As it came to the bench.
    sounds : sequence of Sound
        How positions sound, where strings and places of the pickups are known.
    files : mapping of str to str
        A sound file's address, beside the page, by the position's name.
    history : sequence of Reading
        What was measured and when; changes of the hum among it are the proof.
    """

    instrument: Instrument
    day: date
    reports: Sequence[PositionReport]
    before: Instrument | None = None
    sounds: Sequence[Sound] = ()
    files: Mapping[str, str] = field(default_factory=dict)
    history: Sequence[Reading] = ()


def bench_page(sheet: Sheet) -> str:
    """The full sheet. Names come from a job file and are escaped."""
    instrument = sheet.instrument
    return _render(
        "sheet.html.j2",
        sheet,
        headings=HEADINGS,
        rows=[cells(r) for r in sheet.reports],
        notes=notes(instrument, list(sheet.reports)),
        polarity=polarity_section(instrument),
        readings=readings(instrument),
        history=[history_row(r) for r in sheet.history],
        comparison=_comparison(sheet),
        sounds=[_heard(s, sheet.files.get(s.position)) for s in sheet.sounds],
        circuits=[_circuit(instrument, p.name) for p in instrument.positions],
        cautions=table("advice")["bench"],
        plot=svg(responses_figure(_curves(instrument))),
    )


def borrower_page(sheet: Sheet) -> str:
    """The page for the borrower."""
    return _render(
        "borrower.html.j2",
        sheet,
        positions=[(r.name, *position_words(r)) for r in sheet.reports],
        advice=table("advice")["borrower"],
        plot=svg(responses_figure(_curves(sheet.instrument), height=3.2)),
    )


def _render(template: str, sheet: Sheet, **more: Any) -> str:
    from jinja2 import Environment, PackageLoader

    templates = Environment(
        loader=PackageLoader("pickupcalc.show.pages"), autoescape=True, trim_blocks=True, lstrip_blocks=True
    )
    changes = change_words(positions(sheet.before), sheet.reports) if sheet.before else []
    return templates.get_template(template).render(
        name=sheet.instrument.about.name,
        day=sheet.day.isoformat(),
        version=__version__,
        changes=changes,
        proof=proof(sheet.history),
        **more,
    )


def _curves(instrument: Instrument) -> list[Response]:
    return [response(instrument, p.name) for p in instrument.positions]


def _comparison(sheet: Sheet) -> str:
    if sheet.before is None:
        return ""
    old = {c.position: c for c in _curves(sheet.before)}
    pairs = [(old[c.position], c) for c in _curves(sheet.instrument) if c.position in old]
    moved = [(a, b) for a, b in pairs if abs(a.magnitude_db - b.magnitude_db).max() > 0.1]
    return svg(comparison_figure(moved)) if moved else ""


def _circuit(instrument: Instrument, position: str) -> dict[str, Any]:
    found = harness(instrument, instrument.position(position))
    return {"name": position, "drawing": schematic(found.parts()), "joints": found.joints()}


def _heard(sound: Sound, file: str | None) -> dict[str, Any]:
    """What the page shows of one position's sound."""
    centre = "nothing" if sound.centroid is None else engineering(sound.centroid.m, "Hz")
    told = (
        f"{engineering(sound.output.m, 'V', 2)} from a string; centre of the spectrum {centre}; "
        f"fundamentals {sound.fundamental_share_db:+.1f} dB to all other partials"
    )
    return {"name": sound.position, "told": told, "spectrum": svg(small_spectrum(sound)), "file": file}
