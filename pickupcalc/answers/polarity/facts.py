"""Phase and hum as signs: who aids whom at the output, whatever the values are.

The string's signal turns over with the magnet and with the leads; a hum field
knows nothing of the magnet. See `Pickup` for the sign rule.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from pickupcalc.answers.polarity.signs import signs
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.wiring import Wiring

UNKNOWN = "unknown"


def phase(instrument: Instrument, position: Position) -> str:
    """How the signals of a position's pickups meet.

    Returns
    -------
    str
        "single", "in phase", "out of phase" (two, opposed), "mixed" (more than
        two, not all alike) or "unknown" while observations are missing.
    """
    names = position.wiring.pickups()
    if len(names) == 1:
        return "single"
    known = signs(instrument)
    return phase_of(position.wiring, {n: known.signal_between(names[0], n) for n in names})


def hum(instrument: Instrument, position: Position) -> str:
    """How the hum of a position's pickups meets, if the pickups were alike.

    Returns
    -------
    str
        "single", "cancelling" (nothing would be left), "not cancelling" (all
        add), "partly" or "unknown".
    """
    names = position.wiring.pickups()
    if len(names) == 1:
        return "single"
    known = signs(instrument)
    return hum_of(position.wiring, {n: known.hum_between(names[0], n) for n in names})


def phase_of(wiring: Wiring, signal: Mapping[str, int | None]) -> str:
    """`phase` for signs given, each +1, -1 or None, of the pickups of a wiring."""
    placed = wiring.signs()
    if len(placed) == 1:
        return "single"
    met = {None if signal[n] is None else p * (signal[n] or 0) for n, p in placed.items()}
    if None in met:
        return UNKNOWN
    if len(met) == 1:
        return "in phase"
    return "out of phase" if len(placed) == 2 else "mixed"


def hum_of(wiring: Wiring, hum: Mapping[str, int | None]) -> str:
    """`hum` for signs given, each +1, -1 or None, of the pickups of a wiring."""
    shares = wiring.shares()
    if len(shares) == 1:
        return "single"
    met: list[Fraction] = []
    for name, share in shares.items():
        sign = hum[name]
        if sign is None:
            return UNKNOWN
        met.append(share * sign)
    if sum(met) == 0:
        return "cancelling"
    return "not cancelling" if abs(sum(met)) == sum(map(abs, met)) else "partly"
