"""Phase and hum as signs: who aids whom at the output, whatever the values are.

The string's signal turns over with the magnet and with the leads; a hum field
knows nothing of the magnet. See `Pickup` for the sign rule.
"""

from __future__ import annotations

from fractions import Fraction

from pickupcalc.answers.polarity.signs import signs
from pickupcalc.instrument.instrument import Instrument, Position

UNKNOWN = "unknown"


def phase(instrument: Instrument, position: Position) -> str:
    """How the signals of a position's pickups meet.

    Returns
    -------
    str
        "single", "in phase", "out of phase" (two, opposed), "mixed" (more than
        two, not all alike) or "unknown" while observations are missing.
    """
    turned = position.wiring.signs()
    if len(turned) == 1:
        return "single"
    known = signs(instrument)
    first, *_ = turned
    between = [known.signal_between(first, name) for name in turned]
    if None in between:
        return UNKNOWN
    met = {s * t for s, t in zip(between, turned.values(), strict=True) if s is not None}
    if len(met) == 1:
        return "in phase"
    return "out of phase" if len(turned) == 2 else "mixed"


def hum(instrument: Instrument, position: Position) -> str:
    """How the hum of a position's pickups meets, if the pickups were alike.

    Returns
    -------
    str
        "single", "cancelling" (nothing would be left), "not cancelling" (all
        add), "partly" or "unknown".
    """
    shares = position.wiring.shares()
    if len(shares) == 1:
        return "single"
    known = signs(instrument)
    first, *_ = shares
    met: list[Fraction] = []
    for name, share in shares.items():
        sign = known.hum_between(first, name)
        if sign is None:
            return UNKNOWN
        met.append(share * sign)
    if sum(met) == 0:
        return "cancelling"
    return "not cancelling" if abs(sum(met)) == sum(map(abs, met)) else "partly"
