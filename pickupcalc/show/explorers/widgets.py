"""Dials: one input each, with its label, its message and a value the library takes."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from html import escape
from pathlib import Path
from typing import Any, NamedTuple

import ipywidgets as ipw

from pickupcalc.errors import InputError
from pickupcalc.show.explorers.slider import LABEL_WIDTH, Slider
from pickupcalc.units import engineering, quantity, to_si

SYMBOLS = {"ohm": "Ω", "henry": "H", "farad": "F", "meter": "m", "hertz": "Hz", "tesla": "T"}
_STEPS = 400  # of a slider: about 1 % each over two decades
WIDE = ipw.Layout(width="385px")
TWO_COLUMNS = ipw.Layout(width="778px")
STYLE = {"description_width": LABEL_WIDTH}


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
        with self._unheard():
            self._put(value)

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

    @contextmanager
    def _unheard(self) -> Iterator[None]:
        """What widgets tell meanwhile is our own doing, and not a wish."""
        before, self._quiet = self._quiet, True
        try:
            yield
        finally:
            self._quiet = before

    def _watch(self, widget: ipw.Widget, call: Callable[[Any], None]) -> None:
        """Call when a person changes the widget."""
        widget.observe(lambda change: None if self._quiet else call(change), "value")

    def _turn(self, *_: Any) -> None:
        for call in self._turned:
            call()


class SlidingDial(Dial):
    """One number by slider, or typed beside it; the slider may stand at its logarithm."""

    def __init__(self, label: str, number: float, low: float, high: float, step: float) -> None:
        self._number, self._low, self._high = number, low, high
        self.slider = Slider(description=label, step=step, layout=ipw.Layout(width="277px"))
        self.field = ipw.Text(
            continuous_update=False,
            layout=ipw.Layout(width="103px"),
            description=f"{label}, typed",  # for screen readers; there is no room for it
            style={"description_width": "0px"},
        )
        super().__init__([ipw.HBox([self.slider, self.field])])
        self._stand()
        self._watch(self.slider, self._slid)
        self._watch(self.field, self._typed)

    def _place(self, number: float) -> float:
        return number

    def _at(self, place: float) -> float:
        return place

    def _told(self, number: float) -> str:
        raise NotImplementedError

    def _read(self, text: str) -> float:
        """What was typed as a number, or InputError."""
        raise NotImplementedError

    def _slid(self, change: Any) -> None:
        self._number = self._at(change["new"])
        self._show()  # and leave the slider where the hand has it
        self._turn()

    def _typed(self, change: Any) -> None:
        try:
            number = self._read(change["new"])
            if not self._low <= number <= self._high:
                ends = " to ".join(self._told(x) for x in (self._low, self._high))
                raise InputError.of("", f"{change['new']} is outside of {ends}")
        except InputError as error:
            self.tell(str(error))
            return
        self._number = number
        self._stand()
        self._turn()

    def _widen(self, number: float) -> None:
        """Stand there even beyond the ends: a job may hold what no slider was made for."""
        self._number = number
        self._low, self._high = min(self._low, number), max(self._high, number)
        self._stand()

    def _stand(self) -> None:
        with self._unheard(), self.slider.hold_sync():
            self.slider.min, self.slider.max = self._place(self._low), self._place(self._high)
            self.slider.value = self._place(self._number)
        self._show()

    def _show(self) -> None:
        self.tell("")
        with self._unheard():
            self.field.value = self.slider.told = self._told(self._number)


class QuantityDial(SlidingDial):
    """A quantity by slider, or typed with its unit ("4k7", "250 kohm")."""

    def __init__(
        self, label: str, unit: str, value: str, low: str, high: str, *, linear: bool = False
    ) -> None:
        self.unit, self.linear = unit, linear
        self.symbol = SYMBOLS.get(unit, unit)
        si, least, most = (to_si(v, unit) for v in (value, low, high))
        super().__init__(label, si, least, most, (self._place(most) - self._place(least)) / _STEPS)

    @property
    def value(self) -> Any:
        return quantity(self._number, self.unit)

    def _put(self, value: Any) -> None:
        si = float(to_si(value, self.unit))
        self._widen(si if self.linear else max(si, 1e-3 * self._low))

    def _place(self, number: float) -> float:
        return number if self.linear else math.log10(number)

    def _at(self, place: float) -> float:
        return float(f"{place if self.linear else 10**place:.4g}")

    def _told(self, number: float) -> str:
        return engineering(number, self.symbol)

    def _read(self, text: str) -> float:
        return float(to_si(text, self.unit))


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
        self._watch(self.menu, self._turn)

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


class NumberDial(SlidingDial):
    """A plain number, such as a knob's rotation from 0 to 1; a step of 1 or more asks for whole ones."""

    def __init__(
        self, label: str, value: float, low: float = 0.0, high: float = 1.0, step: float = 0.01
    ) -> None:
        self._decimals = 0 if step >= 1 else 2
        super().__init__(label, value, low, high, step)

    @property
    def value(self) -> float:
        return self._number

    def _put(self, value: Any) -> None:
        self._widen(value)

    def _told(self, number: float) -> str:
        return f"{number:.{self._decimals}f}"

    def _read(self, text: str) -> float:
        try:
            return round(float(text.replace(",", ".")), self._decimals)
        except ValueError:
            like = self._told(self._number)
            raise InputError.of("", f"'{text}' is not a plain number, such as {like}") from None


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
        self._watch(self.field, self._typed)

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
