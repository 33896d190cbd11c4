"""The sheet as one HTML file that needs nothing else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pickupcalc.answers.positions import PositionReport
from pickupcalc.answers.response import response
from pickupcalc.answers.sound import Sound
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.show.plots import responses_figure, svg
from pickupcalc.show.sound import small_spectrum
from pickupcalc.show.text import HEADINGS, cells, notes
from pickupcalc.units import engineering


def sheet_page(
    instrument: Instrument,
    reports: list[PositionReport],
    sounds: Sequence[Sound] = (),
    files: Mapping[str, str] | None = None,
) -> str:
    """The sheet's HTML. Names come from a job file and are escaped.

    Parameters
    ----------
    instrument : Instrument
    reports : list of PositionReport
    sounds : sequence of Sound
        How positions sound, where strings and places of the pickups are known.
    files : mapping of str to str, optional
        A sound file's address, beside the page, by the position's name.
    """
    from jinja2 import Environment, PackageLoader

    templates = Environment(loader=PackageLoader("pickupcalc.show"), autoescape=True, trim_blocks=True)
    curves = [response(instrument, p.name) for p in instrument.positions]
    return templates.get_template("sheet.html.j2").render(
        name=instrument.about.name,
        headings=HEADINGS,
        rows=[cells(r) for r in reports],
        notes=notes(instrument, reports),
        plot=svg(responses_figure(curves)),
        sounds=[_heard(s, (files or {}).get(s.position)) for s in sounds],
    )


def _heard(sound: Sound, file: str | None) -> dict[str, Any]:
    """What the page shows of one position's sound."""
    centre = "nothing" if sound.centroid is None else engineering(sound.centroid.m, "Hz")
    told = (
        f"{engineering(sound.output.m, 'V', 2)} from a string; centre of the spectrum {centre}; "
        f"fundamentals {sound.fundamental_share_db:+.1f} dB to all other partials"
    )
    return {"name": sound.position, "told": told, "spectrum": svg(small_spectrum(sound)), "file": file}
