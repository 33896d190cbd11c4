"""The explorer of the notebook that hands an instrument back: choose the job, see the page, write it."""

from __future__ import annotations

from datetime import date
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as ipw

from pickupcalc.answers.positions import positions
from pickupcalc.answers.status import status
from pickupcalc.errors import InputError
from pickupcalc.instrument.files import write_whole
from pickupcalc.instrument.jobfile import Job, read_job
from pickupcalc.show.page import Sheet, bench_page, borrower_page
from pickupcalc.show.widgets import ChoiceDial

READERS = {"the borrower: one page": "borrower", "the bench: everything": "bench"}
_MAKERS = {"borrower": borrower_page, "bench": bench_page}


def page_of(job: Job, reader: str, before: Job | None = None) -> str:
    """The page of a job for one of its readers, dated today."""
    instrument = job.instrument
    old = before.instrument if before else None
    sheet = Sheet(instrument, date.today(), positions(instrument), before=old, history=job.readings)
    return _MAKERS[reader](sheet)


class Handover(ipw.VBox):
    """A job file by path, its reader, a preview of the page and a button that writes it beside the job.

    Attributes
    ----------
    page : str
        The HTML shown, "" while the job cannot be read.
    written : Path or None
        Where the page went.
    """

    def __init__(self, path: str, before: str = "") -> None:
        style: Any = {"description_width": "130px"}
        self.job = ipw.Text(path, description="job file or folder", style=style, continuous_update=False)
        self.before = ipw.Text(before, description="as it came in", style=style, continuous_update=False)
        self.before.placeholder = "another job file, to show what was changed"
        self.reader = ChoiceDial("the page is for", READERS)
        self.write = ipw.Button(description="write the page", tooltip="writes it beside the job file")
        self.told = ipw.HTML()
        self.preview = ipw.HTML()
        self.page = ""
        self.written: Path | None = None
        for text in (self.job, self.before):
            text.layout.width = "560px"
            text.observe(self._show, "value")
        self.reader.on_turn(self._show)
        self.write.on_click(self._write)
        super().__init__([self.job, self.before, self.reader, self.write, self.told, self.preview])
        self._show()

    def _show(self, *_: Any) -> None:
        try:
            job = read_job(self.job.value)
            old = read_job(self.before.value) if self.before.value.strip() else None
            self.page = page_of(job, self.reader.value, old)
        except InputError as error:
            self.page = ""
            self._tell(str(error), "alert")
            return
        found = status(job)
        waits = f"; {'; '.join(found.missing)}" if found.missing else ""
        self._tell(f"{job.instrument.about.name} is {found.stage}{waits}.", "status")
        self.preview.value = (
            f'<div role="img" aria-label="preview of the page"><iframe title="preview of the page" '
            f'style="width:100%;height:640px;border:1px solid #767676;background:#fff" '
            f'srcdoc="{escape(self.page)}"></iframe></div>'
        )

    def _write(self, *_: Any) -> None:
        if not self.page:
            return
        given = Path(self.job.value)
        folder, stem = (given, "sheet") if given.is_dir() else (given.parent, given.stem)
        target = folder / f"{stem}_{self.reader.value}.html"
        try:
            write_whole(target, self.page)
        except InputError as error:
            self._tell(str(error), "alert")
            return
        self.written = target
        self._tell(f"{target} is written; open it in a browser, print it from there.", "status")

    def _tell(self, message: str, role: str) -> None:
        live = ' aria-live="polite"' if role == "status" else ' role="alert"'
        self.told.value = f"<p{live}>{escape(message)}</p>"
