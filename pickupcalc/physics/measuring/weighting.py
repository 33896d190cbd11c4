"""Frequency weighting A: what of a hum an ear notices."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

# Hz: the poles that IEC 61672-1:2013, annex E, gives for the weighting.
_F1, _F2, _F3, _F4 = 20.598997, 107.65265, 737.86223, 12194.217


def a_weighting_db(frequency: ArrayLike) -> NDArray[Any]:
    """Weighting A of IEC 61672-1:2013 (annex E), dB, zero at 1 kHz.

    Parameters
    ----------
    frequency : array_like
        Hz; zero gives minus infinity.

    Examples
    --------
    >>> a_weighting_db([50, 150, 1000]).round(1).tolist()
    [-30.3, -14.0, 0.0]
    """
    return _unscaled(np.asarray(frequency, dtype=float)) - _unscaled(np.asarray(1000.0))


def _unscaled(f: NDArray[Any]) -> NDArray[Any]:
    square = f**2
    gain = _F4**2 * square**2 / ((square + _F1**2) * (square + _F4**2))
    with np.errstate(divide="ignore"):
        return 20 * np.log10(gain / np.sqrt((square + _F2**2) * (square + _F3**2)))
