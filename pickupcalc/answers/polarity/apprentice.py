"""Why it is out of phase: a string moved over one pickup and then two, and the table of eight rows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.limits import SOUND_SAMPLES, at_most
from pickupcalc.parts.pickup import Pickup
from pickupcalc.physics.sound.string_flux import flux_through_turn, rod_field, string_moment
from pickupcalc.units import quantity

if TYPE_CHECKING:
    from pint import Quantity

Array = NDArray[Any]

# A pickup of usual size; common practice, no source. SI.
REMANENCE, ROD_RADIUS, ROD_LENGTH = 1.2, 2.4e-3, 17e-3
TURNS, TURN_RADIUS, COIL_BELOW = 8000, 6e-3, 7e-3  # the mean turn, below the pole's face
STRING_RADIUS, SENSED = 0.2e-3, 8e-3  # a string 0.4 mm thick, of which 8 mm count
GAP, SWING = 2.5e-3, 0.8e-3  # m, at rest above the pole, and to each side
PITCH = 110.0  # Hz
OUTSIDE_FIELD = 1e-6  # T, mains at 50 Hz
MAINS = 50.0
POINTS = 401


@dataclass(frozen=True)
class State:
    """A pickup as seen from the strings: the words of a job file."""

    magnet: str = "north"
    winding: str = "counter-clockwise"
    hot: str = "finish"

    @classmethod
    def of(cls, pickup: Pickup) -> State:
        """A pickup of a job; what nobody observed of it is as in a first pickup, north up and finish hot."""
        winding = pickup.winding or "counter-clockwise"
        hot = pickup.hot or "finish"
        found = cls(pickup.magnet or "north", winding, hot)
        if pickup.hum_sign in (None, found.h):
            return found
        return replace(found, hot="start" if hot == "finish" else "finish")

    def wound_the_other_way(self) -> State:
        """The same with the winding's sense turned round."""
        other = "clockwise" if self.winding == "counter-clockwise" else "counter-clockwise"
        return replace(self, winding=other)

    @property
    def m(self) -> int:
        return 1 if self.magnet == "north" else -1

    @property
    def h(self) -> int:
        """The hum's sign: w c."""
        wound = 1 if self.winding == "counter-clockwise" else -1
        return wound if self.hot == "finish" else -wound

    @property
    def s(self) -> int:
        """The signal's sign: m w c."""
        return self.m * self.h


@dataclass(frozen=True)
class Row:
    """One row of the sign table, with what is to be filled in."""

    magnet: str
    winding: str
    hot: str
    signal: int
    hum: int

    @property
    def state(self) -> State:
        return State(self.magnet, self.winding, self.hot)

    def __str__(self) -> str:
        return f"{self.magnet} up, wound {self.winding}, {self.hot} is hot"


def _table() -> tuple[Row, ...]:
    options = product(("north", "south"), ("counter-clockwise", "clockwise"), ("finish", "start"))
    return tuple(Row(*given, State(*given).s, State(*given).h) for given in options)


SIGN_TABLE = _table()


@dataclass(frozen=True)
class Answer:
    """Whether a row was filled in rightly, and the way to the right answer."""

    right: bool
    why: str


def check(row: Row, signal: int, hum: int) -> Answer:
    """Check an apprentice's row.

    Parameters
    ----------
    row : Row
    signal : int
        +1 if the hot lead swings positive as steel is pulled off the pole, else -1.
    hum : int
        +1 if it does as an outside field through the coil, from below upwards, falls.

    Returns
    -------
    Answer
        A wrong answer explains itself, from the row's own words.
    """
    wrong = []
    if hum != row.hum:
        turning = "counter-clockwise" if row.hum > 0 else "clockwise"
        magnet = "; the magnet has no say in it" if hum == row.signal else ""
        wrong.append(
            f"hum: wound {row.winding} from start to finish and with the {row.hot} hot, the wire runs "
            f"{turning} from the cold lead to the hot one; an upward field that falls drives current "
            f"counter-clockwise, so the hot lead goes {_sign(row.hum)}{magnet}"
        )
    if signal != row.signal:
        way = "upward" if row.magnet == "north" else "downward"
        mixed = ". That was the hum's sign: a south pole turns the signal over" if signal == row.hum else ""
        wrong.append(
            f"signal: with {row.magnet} up the magnet's flux runs {way}, and steel leaving lowers it; in "
            f"this coil an upward flux that falls gives {_sign(row.hum)}, "
            f"so the hot lead goes {_sign(row.signal)}{mixed}"
        )
    return Answer(not wrong, "; ".join(wrong) or "right")


@dataclass(frozen=True)
class Traces:
    """A string over pickups in time.

    Attributes
    ----------
    time : Quantity, shape (points,)
    height : Quantity, shape (points,)
        Of the string above the poles.
    flux : Quantity, shape (pickups, points)
        That the string adds, through one turn, upwards.
    signal : Quantity, shape (pickups, points)
        At each hot lead, unloaded.
    hum : Quantity, shape (pickups, points)
        At each hot lead, of an outside field of 1 uT at 50 Hz.
    states : tuple of State
    """

    time: Quantity
    height: Quantity
    flux: Quantity
    signal: Quantity
    hum: Quantity
    states: tuple[State, ...]

    @property
    def signal_out(self) -> Quantity:
        """Pickups side by side, alike: the mean of their voltages."""
        return quantity(self.signal.m.mean(axis=0), "volt")

    @property
    def hum_out(self) -> Quantity:
        return quantity(self.hum.m.mean(axis=0), "volt")

    def left(self) -> tuple[float, float]:
        """Peaks of signal and of hum at the output, against one pickup alone."""
        kept = [np.abs(x.m.mean(axis=0)).max() / np.abs(x.m[0]).max() for x in (self.signal, self.hum)]
        return float(kept[0]), float(kept[1])

    def words(self) -> str:
        """What this means at the bench."""
        if len(self.states) == 1:
            s, h = _sign(self.states[0].s), _sign(self.states[0].h)
            return (
                f"As the string leaves the pole the hot lead goes {s}; as an upward outside field falls it "
                f"goes {h}. Reversing the magnet turns the first over, swapping the leads turns both."
            )
        signal, hum = self.left()
        phase = "In phase: the signals add" if signal > 0.5 else "Out of phase: the signals cancel"
        quiet = "the hum cancels" if hum < 0.5 else "the hum adds"
        left = f"signal left {100 * signal:.0f} %, hum left {100 * hum:.0f} % of one alone"
        return f"{phase}, and {quiet}: {left}."


def string_over(*states: State) -> Traces:
    """A string swinging over pickups, each in its state.

    The flux is that of `physics.sound.string_flux`; V = -w c N dPhi/dt at the hot
    lead. Good for signs and for the order of size, not for a level.
    """
    t = np.linspace(0, 2 / PITCH, POINTS)
    height = GAP + SWING * np.sin(2 * np.pi * PITCH * t)
    rise = SWING * 2 * np.pi * PITCH * np.cos(2 * np.pi * PITCH * t)
    volume = np.pi * STRING_RADIUS**2 * SENSED

    def flux(h: Array, m: int) -> Array:
        moment = string_moment(rod_field(h, m * REMANENCE, ROD_RADIUS, ROD_LENGTH), volume)
        return flux_through_turn(moment, TURN_RADIUS, h + COIL_BELOW)

    step = 1e-7  # m
    slopes = [(flux(height + step, x.m) - flux(height - step, x.m)) / (2 * step) for x in states]
    area = np.pi * TURN_RADIUS**2
    omega = 2 * np.pi * MAINS
    hum = TURNS * area * OUTSIDE_FIELD * omega * np.sin(omega * t)  # of a field that is cos(omega t) upwards
    signal = [-x.h * TURNS * slope * rise for x, slope in zip(states, slopes, strict=True)]
    return Traces(
        quantity(t, "second"),
        quantity(height, "meter"),
        quantity(np.array([flux(height, x.m) for x in states]), "weber"),
        quantity(np.array(signal), "volt"),
        quantity(np.array([x.h * hum for x in states]), "volt"),
        tuple(states),
    )


def pair_sound(*states: State, what: str = "signal", seconds: float = 1.2, rate: int = 22_050) -> Array:
    """A plucked string, or hum, as pickups in these states send it together; shape (seconds x rate,).

    Partial n of a string plucked at a fifth is sensed in proportion to
    sin(n pi x / l) at each pickup; a 60 Hz buzz with odd partials stands for
    hum. One alone has the same full scale as two, so loudness compares.

    Parameters
    ----------
    states : State
        One or two; the first sits at a quarter of the length, the second at a tenth.
    what : {"signal", "hum"}
    """
    at_most("seconds", seconds * rate, SOUND_SAMPLES, "samples")
    t = np.arange(int(seconds * rate)) / rate
    out = np.zeros_like(t)
    if what == "hum":
        sign = np.mean([x.h for x in states])
        for n in (1, 3, 5, 7, 9, 11, 13, 15):
            out += sign * 0.3 / n * np.sin(2 * np.pi * 60 * n * t)
    else:
        for n in range(1, 25):
            seen = np.mean([x.s * np.sin(n * np.pi * p) for x, p in zip(states, (0.25, 0.1), strict=False)])
            pluck = np.sin(n * np.pi / 5) / n
            out += 0.55 * seen * pluck * np.exp(-t * (1.5 + 0.25 * n)) * np.sin(2 * np.pi * PITCH * n * t)
    return out * np.minimum(1, np.minimum(t, t[::-1]) / 0.01)


def _sign(value: int) -> str:
    return "+" if value > 0 else "\N{MINUS SIGN}"
