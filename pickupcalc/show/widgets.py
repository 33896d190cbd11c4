"""The frame all notebooks share: dials on the left, the picture, and what it means in words.

An explorer is three plain functions (values to result, result to figure, result
to words) and some dials. It runs without a notebook too, so tests turn its dials.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from html import escape
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ipywidgets as ipw

from pickupcalc.errors import InputError
from pickupcalc.instrument.files import write_whole
from pickupcalc.show.plots import svg
from pickupcalc.units import engineering, quantity, to_si

if TYPE_CHECKING:
    from matplotlib.figure import Figure

SYMBOLS = {"ohm": "Ω", "henry": "H", "farad": "F", "meter": "m", "hertz": "Hz", "tesla": "T"}
_STEPS = 400  # of a slider: about 1 % each over two decades
_WIDE = ipw.Layout(width="385px")
_STYLE = {"description_width": "130px"}


class Dial(ipw.VBox):
    """One input with its label. `value` is what the library takes: a quantity, a word or a number."""

    def __init__(self, children: Sequence[ipw.Widget]) -> None:
        self._message = ipw.HTML(layout=ipw.Layout(display="none"))
        super().__init__([*children, self._message])
        self._turned: list[Callable[[], None]] = []

    @property
    def value(self) -> Any:
        raise NotImplementedError

    def on_turn(self, call: Callable[[], None]) -> None:
        self._turned.append(call)

    def tell(self, message: str) -> None:
        """Say beside the dial what is wrong with what was typed; nothing clears it."""
        self._message.value = f'<span role="alert">{escape(message)}</span>' if message else ""
        self._message.layout.display = "" if message else "none"

    def _turn(self, *_: Any) -> None:
        for call in self._turned:
            call()


class QuantityDial(Dial):
    """A quantity by slider, or typed with its unit ("4k7", "250 kohm")."""

    def __init__(
        self, label: str, unit: str, value: str, low: str, high: str, *, linear: bool = False
    ) -> None:
        self.unit, self.linear = unit, linear
        self._si, self._low, self._high = (to_si(v, unit) for v in (value, low, high))
        self.symbol = SYMBOLS.get(unit, unit)
        low_x, high_x = self._place(self._low), self._place(self._high)
        self.slider = ipw.FloatSlider(
            value=self._place(self._si),
            min=low_x,
            max=high_x,
            step=(high_x - low_x) / _STEPS,
            description=label,
            readout=False,
            style=_STYLE,
            layout=ipw.Layout(width="285px"),
        )
        self.field = ipw.Text(
            value=engineering(self._si, self.symbol),
            continuous_update=False,
            layout=ipw.Layout(width="95px"),
            tooltip=f"{label}, typed with a unit",
        )
        super().__init__([ipw.HBox([self.slider, self.field])])
        self._quiet, self._between = False, True
        self.slider.observe(self._slid, "value")
        self.field.observe(self._typed, "value")

    @property
    def value(self) -> Any:
        return quantity(self._si, self.unit)

    def _place(self, si: float) -> float:
        return si if self.linear else math.log10(si)

    def _slid(self, change: Any) -> None:
        if self._quiet:
            return
        # The front end moves a slider that stands between two steps to the nearer one, once;
        # that alone is nobody's wish.
        near = abs(change["new"] - self._place(self._si)) < 0.51 * self.slider.step
        snapped, self._between = near and self._between, False
        if not snapped:
            si = change["new"] if self.linear else 10 ** change["new"]
            self._set(float(f"{si:.4g}"))  # and leave the slider where the hand has it
            self._turn()

    def _typed(self, change: Any) -> None:
        if self._quiet:
            return
        try:
            si = to_si(change["new"], self.unit)
            if not self._low <= si <= self._high:
                ends = " to ".join(engineering(x, self.symbol) for x in (self._low, self._high))
                raise InputError.of("", f"{change['new']} is outside of {ends}")
        except InputError as error:
            self.tell(str(error))
            return
        self._set(si)
        self._quiet, self._between = True, True
        self.slider.value = self._place(si)
        self._quiet = False
        self._turn()

    def _set(self, si: float) -> None:
        self.tell("")
        self._si, self._quiet = si, True
        self.field.value = engineering(si, self.symbol)
        self._quiet = False


class ChoiceDial(Dial):
    """One of a few words, or of a few descriptions that stand for a word each."""

    def __init__(
        self, label: str, options: Sequence[str] | Mapping[str, str], value: str | None = None
    ) -> None:
        pairs = list(options.items() if isinstance(options, Mapping) else zip(options, options, strict=True))
        self.menu = ipw.Dropdown(
            options=pairs,
            value=value or pairs[0][1],
            description=label,
            style=_STYLE,
            layout=_WIDE,
        )
        super().__init__([self.menu])
        self.menu.observe(self._turn, "value")

    @property
    def value(self) -> str:
        return self.menu.value


class NumberDial(Dial):
    """A plain number, such as a knob's rotation from 0 to 1."""

    def __init__(
        self, label: str, value: float, low: float = 0.0, high: float = 1.0, step: float = 0.01
    ) -> None:
        self.slider = ipw.FloatSlider(
            value=value,
            min=low,
            max=high,
            step=step,
            readout_format=".0f" if step >= 1 else ".2f",
            description=label,
            style=_STYLE,
            layout=_WIDE,
        )
        super().__init__([self.slider])
        self.slider.observe(self._turn, "value")

    @property
    def value(self) -> float:
        return self.slider.value


class Explorer(ipw.VBox):
    """Dials, a picture and a paragraph that follow each other.

    Parameters
    ----------
    dials : mapping of str to Dial
    compute : callable
        Takes the dials' values by name, returns the result (kept as `result`).
    figure : callable
        Result to matplotlib figure.
    words : callable
        Result to plain sentences: what this means at the bench.

    Notes
    -----
    The front end holds back slider events while the kernel is busy and then
    sends the latest, so dragging stays smooth without a timer of ours.
    """

    def __init__(
        self,
        dials: Mapping[str, Dial],
        compute: Callable[..., Any],
        figure: Callable[[Any], Figure],
        words: Callable[[Any], str],
    ) -> None:
        self.dials = dict(dials)
        self._compute, self._figure, self._words = compute, figure, words
        self.picture = ipw.HTML(layout=ipw.Layout(width="100%", max_width="820px"))
        self.meaning = ipw.HTML()
        self.result = compute(**self.values())
        for dial in self.dials.values():
            dial.on_turn(self.redraw)
        board = ipw.Box(list(self.dials.values()), layout=ipw.Layout(flex_flow="row wrap", width="100%"))
        self.export = ipw.Button(description="export picture", tooltip="writes an SVG file into this folder")
        self.exported = ipw.HTML()
        self.export.on_click(self._export)
        below = ipw.HBox([self.export, self.exported])
        super().__init__([board, self.meaning, below, self.picture])
        self._show()

    def values(self) -> dict[str, Any]:
        return {name: dial.value for name, dial in self.dials.items()}

    def redraw(self) -> None:
        """Compute and show anew; what the library refuses is said, and the last picture stays."""
        try:
            self.result = self._compute(**self.values())
        except InputError as error:
            self.meaning.value = f'<p role="alert">{escape(str(error))}</p>'
            return
        self._show()

    def _show(self) -> None:
        told = escape(self._words(self.result))
        self.meaning.value = f'<p aria-live="polite">{told}</p>'
        self.picture.value = f'<div role="img" aria-label="{told}">{svg(self._figure(self.result))}</div>'

    def _export(self, _: Any) -> None:
        """Write the picture into the working folder, under the first number that is free."""
        number = next(n for n in count(1) if not Path(f"picture_{n}.svg").exists())
        path = Path(f"picture_{number}.svg")
        try:
            write_whole(path, svg(self._figure(self.result)))
            self.exported.value = f'<span role="status">{path} is written.</span>'
        except InputError as error:
            self.exported.value = f'<span role="alert">{escape(str(error))}</span>'
