"""A slider as the browser has it, since those of the widget library are without a name for screen readers."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

from pickupcalc.show.plots import COLOURS

LABEL_WIDTH = "130px"  # of every dial, so that they stand in columns
_STYLE = f"""\
.pickupcalc-slider {{ display: flex; align-items: center; margin: var(--jp-widgets-margin); }}
.pickupcalc-slider > .widget-label {{ width: {LABEL_WIDTH}; }}
.pickupcalc-slider > input {{ flex: 1; min-width: 0; margin: 0 4px; accent-color: {COLOURS[0]}; }}
"""


class Slider(anywidget.AnyWidget):
    """A position from `min` to `max`; `told` is what it stands for, such as "4.7 kΩ"."""

    _esm = Path(__file__).with_suffix(".js")
    _css = _STYLE
    description = traitlets.Unicode().tag(sync=True)
    value = traitlets.Float().tag(sync=True)
    min = traitlets.Float().tag(sync=True)
    max = traitlets.Float().tag(sync=True)
    step = traitlets.Float().tag(sync=True)
    told = traitlets.Unicode().tag(sync=True)
