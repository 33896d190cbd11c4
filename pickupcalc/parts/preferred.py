"""Preferred values: what a shop sells (IEC 60063)."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.errors import InputError
from pickupcalc.tables import table
from pickupcalc.units import quantity, single

SERIES = ("E3", "E6", "E12", "E24", "E48", "E96", "E192")


def significands(series: str) -> NDArray[Any]:
    """The values of one decade, from 1.0 up to below 10, ascending."""
    if series not in SERIES:
        raise InputError.of("series", f"{series!r} is not one of {', '.join(SERIES)}")
    count = int(series[1:])
    if count <= 24:
        return np.array(table("preferred")["e24"])[:: 24 // count] / 10
    e192 = np.round(10 ** (np.arange(192) / 192), 2)
    e192[185] = 9.20  # the standard's one departure from rounding, which gives 9.19
    return e192[:: 192 // count]


def preferred_values(series: str, lowest: Any, highest: Any, unit: str) -> Any:
    """All values of a series in a range, as a quantity.

    Parameters
    ----------
    series : {"E3", "E6", "E12", "E24", "E48", "E96", "E192"}
    lowest, highest : Quantity or str
        The range, ends included.
    unit : str
        "ohm", "farad" or "henry".

    Returns
    -------
    Quantity, shape (values,), ascending

    Raises
    ------
    InputError
        For an unknown series, or a range that is empty or holds zero.
    """
    low, high = single(lowest, unit, "lowest"), single(highest, unit, "highest")
    if not 0 < low <= high:
        raise InputError.of("lowest", f"{lowest} to {highest} is not a range above zero")
    return quantity(_between(series, low, high), unit)


def nearest(series: str, value: Any, unit: str) -> Any:
    """The value of a series nearest to `value` by ratio."""
    wanted = single(value, unit, "value")
    if wanted <= 0:
        raise InputError.of("value", f"{value} must be above zero")
    near = _between(series, wanted / 10, wanted * 10)
    return quantity(float(near[np.argmin(np.abs(np.log(near / wanted)))]), unit)


def _between(series: str, low: float, high: float) -> NDArray[Any]:
    """Values with the rounding of a decimal text, so that 4.7 kohm is 4700.0 and not 4700.000001."""
    decades = range(int(np.floor(np.log10(low))), int(np.floor(np.log10(high))) + 1)
    values = np.array([float(f"{s:.2f}e{d}") for d in decades for s in significands(series)])
    return values[(values >= low * (1 - 1e-9)) & (values <= high * (1 + 1e-9))]
