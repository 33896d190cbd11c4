"""Which job a page works on, what of it, and how the two exchange values."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from itertools import count
from pathlib import Path
from typing import Any

import ipywidgets as ipw
import tomlkit

from pickupcalc.errors import InputError
from pickupcalc.instrument.files import KEPT_IN
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.instrument.jobfile import Job, read_job
from pickupcalc.show.explorers.widgets import STYLE, TWO_COLUMNS, ChoiceDial, Dial, Offer
from pickupcalc.show.suite import demonstrations, is_demonstration

OWN = "own file"
Parts = Callable[[Instrument], Mapping[str, Any]]
Dialled = Callable[[Job, Any], dict[str, Any]]
Saved = Callable[[Job, Any, dict[str, Any]], tuple[Job, str]]


@cache
def _offered() -> dict[str, Path | str]:
    """The demonstrations under their names, and a file of one's own."""
    named: dict[str, Path | str] = {}
    for path in demonstrations():
        about = tomllib.loads(path.read_text(encoding="utf-8"))["instrument"]
        named[f"{about['name']} (demonstration)"] = path
    return {**named, OWN: ""}  # a menu takes None for "nothing is chosen"


class JobDial(Dial):
    """Which job: a demonstration, or a file of one's own by its path.

    `value` is the last job that could be read; why another could not is said beside the field.
    """

    def __init__(self, demo: str) -> None:
        start = next(p for p in demonstrations() if p.stem == demo)
        options = list(_offered().items())
        self.menu = ipw.Dropdown(
            options=options, value=start, description="job", style=STYLE, layout=TWO_COLUMNS
        )
        self.path = ipw.Text(
            description="its path",
            placeholder="a job file, or the folder of a job",
            continuous_update=False,
            style=STYLE,
            layout=ipw.Layout(width="620px"),
        )
        self.again = ipw.Button(description="read again", tooltip="for a file that was changed meanwhile")
        self.own = ipw.HBox([self.path, self.again], layout=ipw.Layout(display="none"))
        super().__init__([self.menu, self.own])
        self.accept: Callable[[Job], None] = lambda job: None
        self._job = read_job(start)
        self._watch(self.menu, self._chosen)
        self._watch(self.path, self._chosen)
        self.again.on_click(self._chosen)

    @property
    def value(self) -> Job:
        return self._job

    def _put(self, value: Any) -> None:
        """Go on with a job that lies in a file of one's own."""
        self._job = value
        self.menu.value, self.path.value = "", str(value.path)
        self.own.layout.display = ""

    def _chosen(self, _: Any) -> None:
        own = self.menu.value == ""
        self.own.layout.display = "" if own else "none"
        path = self.path.value.strip() if own else self.menu.value
        try:
            if not path:
                shown = self._job.instrument.about.name
                raise InputError.of("", f"Type the path of a job file; until then the page shows {shown}.")
            job = read_job(path)
            self.accept(job)
        except InputError as error:
            self.tell(str(error))
            return
        self._job = job
        self.tell("")
        self._turn()


class Subject:
    """What of a job a page looks at, and how page and job exchange values.

    Parameters
    ----------
    dialled : callable
        Job and chosen part to where the page's dials start, by name; None hides a dial that
        the job has nothing for.
    part : str
        Label of the menu that picks the part, "" where a page looks at the whole job.
    parts : callable
        Instrument to the parts there are, each under its description.
    saved : callable, optional
        Job, the page's result and its dials' values to the job with what is worth saving,
        and that in words.
    demo : str
        Where a page starts.
    afresh : bool
        Whether the dials start anew from what was saved, because they tell changes to the job.
    lacking : str
        What a job without any part lacks, for the message.
    """

    def __init__(
        self,
        dialled: Dialled,
        part: str = "",
        parts: Parts = lambda instrument: {"": None},
        saved: Saved | None = None,
        *,
        demo: str = "bass_12",
        afresh: bool = False,
        lacking: str = "a part that this page could look at",
    ) -> None:
        self._dialled, self._parts, self._saved = dialled, parts, saved
        self.afresh, self._lacking = afresh, lacking
        self.job = JobDial(demo)
        self.part = ChoiceDial(part, self.parts_of(self.job.value))
        self.dials: dict[str, Dial] = {"job": self.job} | ({part: self.part} if part else {})
        self.job.accept = self._check
        self.job.on_turn(self.offer)

    @property
    def saves(self) -> bool:
        return self._saved is not None

    def parts_of(self, job: Job) -> Mapping[str, Any]:
        found = self._parts(job.instrument)
        if not found:
            raise InputError.of("", f"{job.path.name} has not got {self._lacking}")
        return found

    def _check(self, job: Job) -> None:
        self._dialled(job, next(iter(self.parts_of(job).values())))

    def offer(self) -> None:
        """Let the part be picked out of those that the job has."""
        self.part.put(Offer(self.parts_of(self.job.value)))

    def start(self) -> dict[str, Any]:
        """Where the page's dials start for this job and part."""
        return self._dialled(self.job.value, self.part.value)

    def save(self, result: Any, values: dict[str, Any]) -> str:
        """Write what is worth saving, and tell what and where; the page goes on with the file written.

        Raises
        ------
        InputError
            If there is nothing to save, or the file cannot be written.
        """
        assert self._saved is not None
        before = self.job.value
        demo = is_demonstration(before.path)
        job, what = self._saved(own_copy(before) if demo else before, result, values)
        if tomlkit.dumps(job.document) == tomlkit.dumps(before.document):
            raise InputError.of("", "the job says all this already; there is nothing to save")
        job = job.save()
        self.job.put(job)
        rest = f'What was there before is in the folder "{KEPT_IN}".'
        if demo:
            rest = "It is a copy of the demonstration, and the page goes on with it."
        return f"{job.path} is written: {what}. {rest}"


def own_copy(job: Job) -> Job:
    """A demonstration as a new file in the working folder, under the first name that is free."""
    stem = job.path.stem
    names = (f"{stem}{'' if n == 1 else f'_{n}'}.toml" for n in count(1))
    return replace(job, path=next(p for p in map(Path, names) if not p.exists()), original=None)
