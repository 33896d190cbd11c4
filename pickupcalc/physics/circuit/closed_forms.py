"""One loaded pickup as formulas: derived by computer algebra, used as NumPy functions.

The model is a coil of resistance R and inductance L, with a capacitance C (its
own, the cable's and the amplifier's) and a load resistance (volume track,
amplifier and losses side by side) across it. It is a low-pass of second order,

    H(s) = 1 / (a0 + a1 s + a2 s^2),  a0 = 1 + R/load, a1 = R C + L/load, a2 = L C.

A tone control fits in as a resistor across the coil as long as its capacitor is
nearly a wire at the peak. Heights are above the level at zero frequency.

sympy is loaded when a formula is first asked for. All functions take SI numbers
or arrays that broadcast, by keyword.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

if TYPE_CHECKING:
    import sympy

PARTS = ("resistance", "inductance", "capacitance", "load")
FIGURES = ("peak_frequency", "peak_height_db", "q")

Array = NDArray[Any]


@cache
def expressions() -> dict[str, sympy.Expr]:
    """The formulas by name, in the symbols `PARTS` and q, each derived from the circuit.

    "q", "natural_frequency", "peak_frequency" (Hz), "peak_height" (a ratio),
    "peak_height_db", "level" (at zero frequency, a ratio), "flat_load" and
    "load_for_q" (ohm).
    """
    import sympy as sp

    r, inductance, c, load, q, w2 = sp.symbols("resistance inductance capacitance load q w2", positive=True)
    s = sp.symbols("s")
    across = 1 / (1 / load + s * c)
    divider = sp.Poly(sp.expand(sp.simplify((r + s * inductance + across) / across)), s)
    a2, a1, a0 = divider.all_coeffs()
    # The squared magnitude of the denominator at s = j w is a parabola in w^2.
    squared = (a0 - a2 * w2) ** 2 + a1**2 * w2
    (at_peak,) = sp.solve(sp.diff(squared, w2), w2)
    quality = sp.sqrt(a0 * a2) / a1
    height = a0 / sp.sqrt(sp.simplify(squared.subs(w2, at_peak)))
    conductance, typical = sp.symbols("g", positive=True), {r: 6000, inductance: 3, c: 5e-10, q: 1}

    def load_where(nothing: sympy.Expr) -> sympy.Expr:
        roots = sp.solve(sp.expand(nothing.subs(load, 1 / conductance)), conductance)
        (positive,) = (root for root in roots if root.subs(typical) > 0)
        return sp.simplify(1 / positive)

    return {
        "q": quality,
        "natural_frequency": sp.sqrt(a0 / a2) / (2 * sp.pi),
        "peak_frequency": sp.sqrt(at_peak) / (2 * sp.pi),
        "peak_height": height,
        "peak_height_db": 20 * sp.log(height, 10),
        "level": 1 / a0,
        # Maximally flat: the peak has just sunk to zero frequency.
        "flat_load": load_where(2 * a0 * a2 - a1**2),
        "load_for_q": load_where(a0 * a2 - q**2 * a1**2),
    }


def written(figure: str) -> str:
    """One of the formulas in LaTeX, with the letters that books use."""
    import sympy as sp

    letters = {"resistance": "R", "inductance": "L", "capacitance": "C", "load": r"R_\mathrm{load}", "q": "Q"}
    formula = expressions()[figure]
    return sp.latex(formula, symbol_names={s: letters[s.name] for s in formula.free_symbols})


def q(*, resistance: ArrayLike, inductance: ArrayLike, capacitance: ArrayLike, load: ArrayLike) -> Array:
    """Quality of the loaded resonance; above 1/sqrt(2) there is a peak."""
    return _evaluate("q", PARTS, resistance, inductance, capacitance, load)


def peak_frequency(
    *, resistance: ArrayLike, inductance: ArrayLike, capacitance: ArrayLike, load: ArrayLike
) -> Array:
    """Where the response is highest, Hz; nan where it only falls.

    Examples
    --------
    >>> coil = dict(resistance=6e3, inductance=3.0, capacitance=500e-12)
    >>> f"{peak_frequency(**coil, load=200e3):.0f} Hz"
    '3946 Hz'
    """
    return _evaluate("peak_frequency", PARTS, resistance, inductance, capacitance, load)


def peak_height(
    *, resistance: ArrayLike, inductance: ArrayLike, capacitance: ArrayLike, load: ArrayLike
) -> Array:
    """The response at its peak over that at zero frequency, a ratio; nan where it only falls."""
    there = np.isfinite(_evaluate("peak_frequency", PARTS, resistance, inductance, capacitance, load))
    height = _evaluate("peak_height", PARTS, resistance, inductance, capacitance, load)
    return np.where(there, height, np.nan)[()]


def flat_load(*, resistance: ArrayLike, inductance: ArrayLike, capacitance: ArrayLike) -> Array:
    """The load in ohm that makes the response maximally flat (Butterworth, Q = 1/sqrt(2)).

    nan where the coil's own resistance already damps it more than that.
    """
    return _evaluate("flat_load", PARTS[:3], resistance, inductance, capacitance)


def load_for_q(
    *, resistance: ArrayLike, inductance: ArrayLike, capacitance: ArrayLike, q: ArrayLike
) -> Array:
    """The load in ohm that leaves a quality `q`; nan where no load does, because q is too high."""
    found = _evaluate("load_for_q", (*PARTS[:3], "q"), resistance, inductance, capacitance, q)
    return np.where(found > 0, found, np.nan)[()]


def sensitivities(
    *, resistance: ArrayLike, inductance: ArrayLike, capacitance: ArrayLike, load: ArrayLike
) -> dict[str, dict[str, Array]]:
    """What one per cent of each part does.

    Returns
    -------
    dict of dict of ndarray
        By figure (`FIGURES`), then by part (`PARTS`): the relative change of a
        frequency or Q over the relative change of the part, and for the height
        decibels over the relative change of the part. nan where there is no peak.
    """
    given = (resistance, inductance, capacitance, load)
    there = np.isfinite(_evaluate("peak_frequency", PARTS, *given))

    def slope(figure: str, part: str) -> Array:
        found = _evaluate(f"{figure} by {part}", PARTS, *given)
        return found if figure == "q" else np.where(there, found, np.nan)[()]

    return {figure: {part: slope(figure, part) for part in PARTS} for figure in FIGURES}


@cache
def _expression(name: str) -> sympy.Expr:
    import sympy as sp

    figure, _, part = name.partition(" by ")
    formula = expressions()[figure]
    if not part:
        return formula
    x = sp.Symbol(part, positive=True)
    slope = sp.diff(formula, x) * x
    return slope if figure.endswith("_db") else slope / formula


@cache
def _function(name: str, parts: tuple[str, ...]) -> Callable[..., Any]:
    import sympy as sp

    symbols = [sp.Symbol(p, positive=True) for p in parts]
    return sp.lambdify(symbols, _expression(name), modules="numpy", cse=True)


def _evaluate(name: str, parts: tuple[str, ...], *values: ArrayLike) -> Array:
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(_function(name, parts)(*(np.asarray(v, dtype=float) for v in values)))[()]
