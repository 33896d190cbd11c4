"""An instrument with its controls turned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from pickupcalc.errors import Fault, InputError, quoted
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.parts.controls import Tone, Volume


def with_settings(instrument: Instrument, settings: Mapping[str, float]) -> Instrument:
    """The instrument with controls turned, by their labels; 1 is fully up, of a blend the second alone.

    Raises
    ------
    InputError
        For a control that is not there, or a rotation outside 0 to 1.
    """
    labels = instrument.control_labels()
    for label in settings:
        if label not in labels:
            options = quoted(labels) or "none"
            raise InputError.of("settings", f'"{label}" is not one of the controls: {options}')
    controls = dict(zip(labels, instrument.controls, strict=True))
    for label, rotation in settings.items():
        try:
            controls[label] = replace(controls[label], setting=rotation)
        except InputError as error:
            raise InputError([Fault(f"settings, {label}", told) for _, told in error.faults]) from None
    return replace(instrument, controls=tuple(controls.values()))


def turned(instrument: Instrument, *, volume: ArrayLike = 1.0, tone: ArrayLike = 1.0) -> Instrument:
    """The instrument with all its volumes and all its tones at these rotations, each of shape (sets,).

    A blend stays where it is.
    """
    at: dict[type, Any] = {Volume: np.asarray(volume)[()], Tone: np.asarray(tone)[()]}
    controls = (replace(c, setting=at[type(c)]) if type(c) in at else c for c in instrument.controls)
    return replace(instrument, controls=tuple(controls))
