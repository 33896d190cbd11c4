"""The explorer of the notebook that hands an instrument back: choose the job, see the page, write it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from html import escape
from pathlib import Path

from pickupcalc.answers.positions import positions
from pickupcalc.answers.status import status
from pickupcalc.instrument.files import write_whole
from pickupcalc.instrument.jobfile import JOB_NAME, Job, read_job
from pickupcalc.show.explorers.frame import Explorer
from pickupcalc.show.explorers.jobs import Subject
from pickupcalc.show.explorers.widgets import ChoiceDial, PathDial
from pickupcalc.show.pages.page import Sheet, bench_page, borrower_page
from pickupcalc.show.suite import is_demonstration

READERS = {"the borrower: one page": "borrower", "the bench: everything": "bench"}
_MAKERS = {"borrower": borrower_page, "bench": bench_page}


def page_of(job: Job, reader: str, before: Job | None = None) -> str:
    """The page of a job for one of its readers, dated today."""
    instrument = job.instrument
    old = before.instrument if before else None
    sheet = Sheet(instrument, date.today(), positions(instrument), before=old, history=job.readings)
    return _MAKERS[reader](sheet)


@dataclass(frozen=True)
class Handed:
    """A page for its reader, and how far its job is."""

    job: Job
    reader: str
    page: str

    def words(self) -> str:
        found = status(self.job)
        waits = f"; {'; '.join(found.missing)}" if found.missing else ""
        return f"{self.job.instrument.about.name} is {found.stage}{waits}."


class Handover(Explorer):
    """A job, its reader, a preview of the page and a button that writes it beside the job."""

    def __init__(self) -> None:
        hint = "another job file, to show what was changed"
        dials = {"before": PathDial("as it came in", hint), "reader": ChoiceDial("the page is for", READERS)}
        super().__init__(dials, _handed, _preview, Handed.words, Subject(lambda *_: {}))
        self.export.description, self.export.tooltip = "write the page", "writes it beside the job file"
        self.picture.layout.max_width = "calc(100% - 8px)"  # its margins, or the frame loses an edge

    def _exported(self) -> str:
        """Write the page beside the job, or into the working folder for a demonstration."""
        self._refuse_unsettled()
        given = self.result.job.path
        folder = Path() if is_demonstration(given) else given.parent
        stem = "sheet" if given.name == JOB_NAME else given.stem
        target = folder / f"{stem}_{self.result.reader}.html"
        write_whole(target, self.result.page)
        return f"{target} is written; open it in a browser, print it from there."


def _handed(job: Job, before: str, reader: str) -> Handed:
    return Handed(job, reader, page_of(job, reader, read_job(before) if before else None))


def _preview(shown: Handed) -> str:
    return (
        f'<iframe title="preview of the page" style="width:100%;height:640px;border:1px solid #767676;'
        f'background:#fff;box-sizing:border-box" srcdoc="{escape(shown.page)}"></iframe>'
    )


def handover() -> Handover:
    """What goes home with the instrument, and what stays at the bench."""
    return Handover()
