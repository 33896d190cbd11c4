"""The truth table of a position: each pickup's magnet, winding sense, signal and hum, and what they make."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from typing import Any

from pickupcalc.answers.polarity.changes import listed
from pickupcalc.answers.polarity.facts import hum_of, phase_of
from pickupcalc.answers.polarity.signs import Signs, signs
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.wiring import Wiring
from pickupcalc.parts.pickup import Pickup

MOST_CASES = 6  # pickups of which every case is listed: 1024 rows

_SENSE = {1: "counter-clockwise", -1: "clockwise", None: "unknown sense"}
_POLE = {1: "north up", -1: "south up", None: "magnet unknown"}
_SIDE = {1: "up", -1: "down", None: "unknown"}


@dataclass(frozen=True)
class Row:
    """One pickup in a position.

    Attributes
    ----------
    pickup : str
    magnet : int or None
        +1 with the north pole facing the strings.
    sense : int or None
        +1 where the winding runs counter-clockwise, seen from the strings, from
        the cold lead to the hot one.
    start_is_hot : bool or None
        Where it was described.
    placed : int
        -1 where the position turns the pickup round.
    share : Fraction
        Of its EMF in the unloaded output, if all pickups were alike; without sign.
    signal, hum : int or None
        Which way its share points at the output: of a string leaving the pole,
        and of an outside field that falls. Where the signs are known only against
        each other, those of the first pickup count as +1.
    """

    pickup: str
    magnet: int | None
    sense: int | None
    start_is_hot: bool | None
    placed: int
    share: Fraction
    signal: int | None
    hum: int | None

    def __str__(self) -> str:
        turned = ", turned round by the selector" if self.placed < 0 else ""
        share = "all" if self.share == 1 else str(self.share)
        return (
            f"{self.pickup}: {_POLE[self.magnet]}, {_SENSE[self.sense]} from cold to hot{turned}; "
            f"{share} of its signal points {_SIDE[self.signal]}, {share} of its hum {_SIDE[self.hum]}"
        )

    def as_json(self) -> dict[str, Any]:
        return {
            "pickup": self.pickup,
            "magnet": {1: "north", -1: "south", None: None}[self.magnet],
            "sense": None if self.sense is None else _SENSE[self.sense],
            "turned_round": self.placed < 0,
            "share": float(self.share),
            "signal": self.signal,
            "hum": self.hum,
        }


@dataclass(frozen=True)
class Truth:
    """How the pickups of a position meet, row by row and together."""

    position: str
    wiring: str
    rows: tuple[Row, ...]
    phase: str
    hum: str

    @property
    def signal_left(self) -> Fraction | None:
        """Sum of the signals' shares at the output, with sign."""
        return _sum([(r.signal, r.share) for r in self.rows])

    @property
    def hum_left(self) -> Fraction | None:
        """Sum of the hum's shares at the output, with sign."""
        return _sum([(r.hum, r.share) for r in self.rows])

    def sentences(self) -> list[str]:
        """The table in words, the verdict last."""
        return [*(f"{row}." for row in self.rows), *_verdict(self)]

    def as_json(self) -> dict[str, Any]:
        return {
            "position": self.position,
            "wiring": self.wiring,
            "rows": [r.as_json() for r in self.rows],
            "phase": self.phase,
            "hum": self.hum,
            "signal_left": None if self.signal_left is None else float(self.signal_left),
            "hum_left": None if self.hum_left is None else float(self.hum_left),
            "words": self.sentences(),
        }

    def _repr_html_(self) -> str:
        from html import escape

        cells = [
            (r.pickup, _POLE[r.magnet], _SENSE[r.sense], _SIDE[r.signal], _SIDE[r.hum]) for r in self.rows
        ]
        heads = ("pickup", "magnet", "cold to hot", "signal", "hum")
        body = "".join(f"<tr>{''.join(f'<td>{escape(c)}</td>' for c in row)}</tr>" for row in cells)
        verdict = escape(" ".join(_verdict(self)))
        return f"<table><tr>{''.join(f'<th>{h}</th>' for h in heads)}</tr>{body}</table><p>{verdict}</p>"


@dataclass(frozen=True)
class Case:
    """One way the pickups of a wiring can stand to the first of them."""

    magnet_opposite: tuple[str, ...]
    sense_opposite: tuple[str, ...]
    phase: str
    hum: str

    def as_json(self) -> dict[str, Any]:
        return {
            "magnet_opposite": list(self.magnet_opposite),
            "sense_opposite": list(self.sense_opposite),
            "phase": self.phase,
            "hum": self.hum,
        }


def truth(instrument: Instrument, position: Position) -> Truth:
    """The truth table of one position, as its pickups were observed.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> table = pc.truth(instrument, instrument.position("both"))
    >>> [(row.pickup, row.signal, row.hum) for row in table.rows]
    [('neck', 1, 1), ('bridge', -1, 1)]
    """
    known = signs(instrument)
    shares, placed = position.wiring.shares(), position.wiring.signs()
    first, *_ = shares
    rows = tuple(
        _row(instrument.pickup(n), known, first, placed[n], abs(share)) for n, share in shares.items()
    )
    signal = {r.pickup: known.signal_between(first, r.pickup) for r in rows}
    hum = {r.pickup: known.hum_between(first, r.pickup) for r in rows}
    return Truth(
        position.name,
        str(position.wiring),
        rows,
        phase_of(position.wiring, signal),
        hum_of(position.wiring, hum),
    )


def cases(wiring: Wiring) -> list[Case]:
    """Every case of a wiring: which pickups have magnet or sense opposite to the first.

    Shape: 4 to the power of one less than the pickups; of more than six pickups
    only the first six are turned over, the others stay as the first.
    """
    first, *others = wiring.pickups()
    turned = others[: MOST_CASES - 1]
    found = []
    for flips in product((1, -1), repeat=2 * len(turned)):
        magnet = dict.fromkeys([first, *others], 1) | dict(zip(turned, flips[: len(turned)], strict=True))
        hum = dict.fromkeys([first, *others], 1) | dict(zip(turned, flips[len(turned) :], strict=True))
        signal = {n: magnet[n] * hum[n] for n in magnet}
        found.append(
            Case(
                tuple(n for n in turned if magnet[n] < 0),
                tuple(n for n in turned if hum[n] < 0),
                phase_of(wiring, signal),
                hum_of(wiring, hum),
            )
        )
    return found


def _row(pickup: Pickup, known: Signs, first: str, placed: int, share: Fraction) -> Row:
    name = pickup.name
    signal, hum = known.signal(name), known.hum(name)
    if known.signal(first) is None or signal is None:
        signal = known.signal_between(first, name)
    if known.hum(first) is None or hum is None:
        hum = known.hum_between(first, name)
    return Row(
        pickup=name,
        magnet=known.magnet(name),
        sense=known.hum(name),
        start_is_hot=None if pickup.hot is None else pickup.hot == "start",
        placed=placed,
        share=share,
        signal=None if signal is None else signal * placed,
        hum=None if hum is None else hum * placed,
    )


def _sum(parts: list[tuple[int | None, Fraction]]) -> Fraction | None:
    total = Fraction(0)
    for sign, share in parts:
        if sign is None:
            return None
        total += sign * share
    return total


def _verdict(found: Truth) -> list[str]:
    if len(found.rows) == 1:
        return ["One pickup alone: nothing aids it and nothing cancels its hum."]
    most = sum((r.share for r in found.rows), Fraction(0))
    return [
        _signal_words(found, most),
        {
            "cancelling": "Hum: the shares add to nothing, so alike pickups are quiet.",
            "not cancelling": "Hum: all shares point the same way and add.",
            "unknown": "Hum: unknown until more is observed.",
        }.get(found.hum, f"Hum: {_left(found.hum_left)} is left where {most} could add."),
    ]


def _signal_words(found: Truth, most: Fraction) -> str:
    if found.phase == "in phase":
        return "Signal: all shares point the same way: in phase, the full sound."
    if found.phase == "unknown":
        return "Signal: unknown until more is observed."
    against = [r.pickup for r in found.rows if r.signal != found.rows[0].signal]
    verb = "points" if len(against) == 1 else "point"
    left = _left(found.signal_left)
    return (
        f"Signal: {listed(against)} {verb} the other way: {found.phase}; of what they sense alike, "
        f"{left} is left where {most} could add, and the sound goes thin."
    )


def _left(total: Fraction | None) -> str:
    return "nothing" if not total else str(abs(total))
