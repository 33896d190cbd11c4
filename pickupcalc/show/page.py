"""The sheet as one HTML file that needs nothing else."""

from __future__ import annotations

from pickupcalc.answers.positions import PositionReport
from pickupcalc.answers.response import response
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.show.plots import responses_figure, svg
from pickupcalc.show.text import HEADINGS, cells, notes


def sheet_page(instrument: Instrument, reports: list[PositionReport]) -> str:
    """The sheet's HTML. Names come from a job file and are escaped."""
    from jinja2 import Environment, PackageLoader

    templates = Environment(loader=PackageLoader("pickupcalc.show"), autoescape=True, trim_blocks=True)
    curves = [response(instrument, p.name) for p in instrument.positions]
    return templates.get_template("sheet.html.j2").render(
        name=instrument.about.name,
        headings=HEADINGS,
        rows=[cells(r) for r in reports],
        notes=notes(instrument, reports),
        plot=svg(responses_figure(curves)),
    )
