"""Numbers as a person reads them: decibels, and SI prefixes."""

from __future__ import annotations

import math
from typing import Any

import numpy as np


def amplitude_db(ratio: Any) -> Any:
    """Decibels of a ratio of amplitudes, 20 log10.

    Examples
    --------
    >>> float(round(amplitude_db(0.5), 2))
    -6.02
    """
    with np.errstate(divide="ignore"):
        return 20.0 * np.log10(np.abs(ratio))


def power_db(ratio: Any) -> Any:
    """Decibels of a ratio of powers, 10 log10."""
    with np.errstate(divide="ignore"):
        return 10.0 * np.log10(np.abs(ratio))


def engineering(value: Any, symbol: str, digits: int = 3) -> str:
    """An SI number as a person writes it: 4120 and "Hz" give "4.12 kHz".

    Examples
    --------
    >>> engineering(4120, "Hz"), engineering(22e-9, "F")
    ('4.12 kHz', '22.0 nF')
    """
    value = float(value)
    if value == 0 or not math.isfinite(value):
        return f"{value:g} {symbol}"
    value = float(f"{value:.{digits - 1}e}")  # so that 999.9 becomes 1.00 k, not 1000
    step = min(9, max(-15, 3 * math.floor(math.log10(abs(value)) / 3)))
    prefix = {-15: "f", -12: "p", -9: "n", -6: "µ", -3: "m", 0: "", 3: "k", 6: "M", 9: "G"}[step]
    scaled = value / 10.0**step
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(scaled)) + 1e-9))
    return f"{scaled:.{decimals}f} {prefix}{symbol}"


def celsius(kelvin: Any) -> Any:
    """A temperature as a thermometer shows it, degC."""
    return kelvin - 273.15


def millimetres(metres: float) -> str:
    """A length on the bench, to four digits.

    Examples
    --------
    >>> millimetres(0.0048)
    '4.8 mm'
    """
    return f"{metres * 1e3:.4g} mm"
