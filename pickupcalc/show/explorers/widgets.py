"""Dials: one input each, with its label, its message and a value the library takes."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from html import escape
from pathlib import Path
from typing import Any, NamedTuple

import ipywidgets as ipw

from pickupcalc.errors import InputError
from pickupcalc.units import engineering, quantity, to_si

SYMBOLS = {"ohm": "Ω", "henry": "H", "farad": "F", "meter": "m", "hertz": "Hz", "tesla": "T"}
_STEPS = 400  # of a slider: about 1 % each over two decades
WIDE = ipw.Layout(width="385px")
TWO_COLUMNS = ipw.Layout(width="778px")
STYLE = {"description_width": "130px"}


def said(message: str, role: str) -> str:
    """A message as HTML that a screen reader speaks: a "status" in its turn, an "alert" at once."""
    live = ' aria-live="polite"' if role == "status" else ""
    return f'<span role="{role}"{live} style="white-space:pre-line">{escape(message)}</span>'


class Dial(ipw.VBox):
    """One input with its label. `value` is what the library takes: a quantity, a word or a number."""

    def __init__(self, children: Sequence[ipw.Widget]) -> None:
        self._message = ipw.HTML(layout=ipw.Layout(display="none", margin="0 0 0 138px"))
        super().__init__([*children, self._message])
        self._turned: list[Callable[[], None]] = []
        self._quiet = False

    @property
    def value(self) -> Any:
        raise NotImplementedError

    def on_turn(self, call: Callable[[], None]) -> None:
        self._turned.append(call)

    def put(self, value: Any) -> None:
        """Stand at a value, and nobody is told. None stands for "there is no such thing": the dial hides."""
        self.layout.display = "none" if value is None else ""
        self.tell("")
        if value is None:
            return
        self._quiet = True
        try:
            self._put(value)
        finally:
            self._quiet = False

    def _put(self, value: Any) -> None:
        raise NotImplementedError

    @property
    def settled(self) -> bool:
        """Whether what was typed last was accepted."""
        return not self._message.value

    def tell(self, message: str) -> None:
        """Say beside the dial what is wrong with what was typed; nothing clears it."""
        self._message.value = said(message, "alert") if message else ""
        self._message.layout.display = "" if message else "none"

    def _turn(self, *_: Any) -> None:
        if not self._quiet:
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
            style=STYLE,
            layout=ipw.Layout(width="277px"),
        )
        self.field = ipw.Text(
            value=engineering(self._si, self.symbol),
            continuous_update=False,
            layout=ipw.Layout(width="103px"),
            description=f"{label}, typed with its unit",  # for screen readers; there is no room for it
            style={"description_width": "0px"},
        )
        super().__init__([ipw.HBox([self.slider, self.field])])
        self._between = True
        self.slider.observe(self._slid, "value")
        self.field.observe(self._typed, "value")

    @property
    def value(self) -> Any:
        return quantity(self._si, self.unit)

    def _put(self, value: Any) -> None:
        """A value beyond the ends moves them: a job may hold what no slider was made for."""
        si = float(to_si(value, self.unit))
        self._si = si if self.linear else max(si, 1e-3 * self._low)
        self._low, self._high = min(self._low, self._si), max(self._high, self._si)
        self.slider.min, self.slider.max = self._place(self._low), self._place(self._high)
        self._show()
        self._stand()

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
            self._si = float(f"{si:.4g}")
            self._show()  # and leave the slider where the hand has it
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
        self._si = si
        self._show()
        self._stand()
        self._turn()

    def _show(self) -> None:
        self.tell("")
        self._set(self.field, engineering(self._si, self.symbol))

    def _stand(self) -> None:
        self._between = True
        self._set(self.slider, self._place(self._si))

    def _set(self, widget: Any, value: Any) -> None:
        before, self._quiet = self._quiet, True
        widget.value = value
        self._quiet = before


class Offer(NamedTuple):
    """What a menu offers from now on, and where it stands; at the first where nothing is told."""

    options: Sequence[str] | Mapping[str, Any]
    value: Any = None


class ChoiceDial(Dial):
    """One of a few words, or of a few descriptions that stand for a value each."""

    def __init__(
        self,
        label: str,
        options: Sequence[str] | Mapping[str, Any],
        value: str | None = None,
        layout: ipw.Layout = WIDE,
    ) -> None:
        self.menu = ipw.Dropdown(description=label, style=STYLE, layout=layout)
        super().__init__([self.menu])
        self.put(Offer(options, value))
        self.menu.observe(self._turn, "value")

    @property
    def value(self) -> Any:
        return self.menu.value

    def _put(self, value: Any) -> None:
        if isinstance(value, Offer):
            options, value = value
            pairs = options.items() if isinstance(options, Mapping) else zip(options, options, strict=True)
            self.menu.options = list(pairs)
            value = self.menu.options[0][1] if value is None else value
        self.menu.value = value


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
            style=STYLE,
            layout=WIDE,
        )
        super().__init__([self.slider])
        self.slider.observe(self._turn, "value")

    @property
    def value(self) -> float:
        return self.slider.value

    def _put(self, value: Any) -> None:
        self.slider.min, self.slider.max = min(self.slider.min, value), max(self.slider.max, value)
        self.slider.value = value


class PathDial(Dial):
    """The path of a file or folder that is there; "" while none is named."""

    def __init__(self, label: str, hint: str) -> None:
        self.field = ipw.Text(
            description=label,
            placeholder=hint,
            continuous_update=False,
            style=STYLE,
            layout=TWO_COLUMNS,
        )
        super().__init__([self.field])
        self._path = ""
        self.field.observe(self._typed, "value")

    @property
    def value(self) -> str:
        return self._path

    def _put(self, value: Any) -> None:
        self._path = self.field.value = str(value)

    def _typed(self, _: Any) -> None:
        typed = self.field.value.strip()
        there = not typed or _is_there(typed)
        self.tell("" if there else f"{typed}: there is no such file")
        if there and typed != self._path:
            self._path = typed
            self._turn()


def _is_there(path: str) -> bool:
    try:
        return Path(path).exists()
    except OSError:  # such as a name that is too long
        return False
