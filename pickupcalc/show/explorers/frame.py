"""The frame all notebooks share: the job, dials, what it means in words, buttons, the picture.

An explorer is three plain functions (values to result, result to figure, result
to words), some dials, and what of a job it looks at. It runs without a notebook
too, so tests turn its dials.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from html import escape
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ipywidgets as ipw

from pickupcalc.errors import InputError
from pickupcalc.instrument.files import write_whole
from pickupcalc.show.explorers.jobs import Subject
from pickupcalc.show.explorers.widgets import Dial, said
from pickupcalc.show.plots import svg
from pickupcalc.show.words import begun

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_ROW = ipw.Layout(flex_flow="row wrap", width="100%")


class Explorer(ipw.VBox):
    """Dials, a picture and a paragraph that follow each other.

    Parameters
    ----------
    dials : mapping of str to Dial
    compute : callable
        Takes the dials' values by name, returns the result (kept as `result`).
    figure : callable
        Result to matplotlib figure, or to HTML.
    words : callable
        Result to plain sentences: what this means at the bench.
    subject : Subject, optional
        Which job, and what of it; its dials come first, and `compute` gets their values too.
    beside : sequence of Widget
        What a page has more than others, above the picture.

    Notes
    -----
    The front end holds back slider events while the kernel is busy and then
    sends the latest, so dragging stays smooth without a timer of ours.
    """

    def __init__(
        self,
        dials: Mapping[str, Dial],
        compute: Callable[..., Any],
        figure: Callable[[Any], Figure | str],
        words: Callable[[Any], str],
        subject: Subject | None = None,
        beside: Sequence[ipw.Widget] = (),
    ) -> None:
        self.subject, above = subject, dict(subject.dials) if subject else {}
        self.dials = above | dict(dials)
        self._compute, self._figure, self._words = compute, figure, words
        self.picture = ipw.HTML(layout=ipw.Layout(width="100%", max_width="820px"))
        self.meaning = ipw.HTML()
        self.told = ipw.HTML()
        self.save = ipw.Button(description="save to job", tooltip="writes what was dialled into the job file")
        self.save.on_click(lambda _: self._say(self._saved))
        self.export = ipw.Button(description="export picture", tooltip="writes an SVG file into this folder")
        self.export.on_click(lambda _: self._say(self._exported))
        buttons = [self.save, self.export] if subject and subject.saves else [self.export]
        self._put_dials()
        self.result, self.refused = compute(**self.values()), False
        for name, dial in self.dials.items():
            dial.on_turn(self.start if name in above else self.redraw)
        self.below = ipw.HBox([*buttons, self.told])
        rows = [ipw.Box(list(row.values()), layout=_ROW) for row in (above, dials) if row]
        super().__init__([*rows, self.meaning, self.below, *beside, self.picture])
        self._show()

    def values(self) -> dict[str, Any]:
        return {name: dial.value for name, dial in self.dials.items()}

    def start(self) -> None:
        """Set the dials from the job, and show anew."""
        try:
            self._put_dials()
        except InputError as error:
            self._refuse(error)
            return
        self.redraw()

    def redraw(self) -> None:
        """Compute and show anew; what the library refuses is said, and the last picture stays."""
        self.told.value = ""
        try:
            self.result = self._compute(**self.values())
        except InputError as error:
            self._refuse(error)
            return
        self.refused = False
        self._show()

    def _put_dials(self) -> None:
        for name, value in (self.subject.start() if self.subject else {}).items():
            self.dials[name].put(value)

    def _refuse(self, error: InputError) -> None:
        self.refused = True
        self.meaning.value = f"<p>{said(str(error), 'alert')}</p>"

    def _show(self) -> None:
        words = self._words(self.result)
        told = escape(begun(words))
        self.meaning.value = f'<p aria-live="polite">{told}</p>'
        self.picture.value = f'<div role="img" aria-label="{told}">{self._drawn()}</div>'

    def _drawn(self) -> str:
        shown = self._figure(self.result)
        return shown if isinstance(shown, str) else svg(shown)

    def _say(self, act: Callable[[], str]) -> None:
        """Do what a button stands for, and say beside it what came of that."""
        try:
            self.told.value = said(act(), "status")
        except InputError as error:
            self.told.value = said(str(error), "alert")

    def _saved(self) -> str:
        assert self.subject is not None
        self._refuse_unsettled()
        told = self.subject.save(self.result, self.values())
        if self.subject.afresh:
            self.start()
        return told

    def _refuse_unsettled(self) -> None:
        """A file must not get what the page does not show."""
        if self.refused or not all(dial.settled for dial in self.dials.values()):
            raise InputError.of("", "what was entered above is not accepted yet; nothing was written")

    def _exported(self) -> str:
        """Write the picture into the working folder, under the first number that is free."""
        path = next(p for n in count(1) if not (p := Path(f"picture_{n}.svg")).exists())
        write_whole(path, self._drawn())
        return f"{path} is written."
