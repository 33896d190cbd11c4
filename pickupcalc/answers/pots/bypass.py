"""Parts across a volume control that keep the sound as it is turned down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.pots.shape import distance_db, levels_db
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.turning import turned
from pickupcalc.parts.controls import Bypass, Volume
from pickupcalc.parts.preferred import preferred_values
from pickupcalc.units import engineering, quantity

if TYPE_CHECKING:
    from pint import Quantity

WAYS = ("capacitor alone", "series", "parallel")
FARADS = (22e-12, 22e-9)  # between which the capacitor is sought
OHMS = (10e3, 2.2e6)
GRID, ROUNDS = 11, 5  # points each way, and how often the grid closes in: to 0.1 %
LOUDER = 3.0  # dB by which a bypass may lift the level at part volume; more would undo the volume control
SIMPLER = 0.2  # dB by which a resistor must pay for itself
NEAR = 1.6  # ratio up and down within which shop values are tried round the optimum

Array = NDArray[Any]


@dataclass(frozen=True)
class BypassChoice:
    """The best bypass of one kind.

    Attributes
    ----------
    way : {"capacitor alone", "series", "parallel"}
    bypass : Bypass
        Of preferred values: capacitor in E12, resistor in E24.
    left_db : float
        How far the response at part volume still differs from that at full volume.
    ideal_db : float
        The same with parts of any value.
    ideal_capacitor, ideal_resistor : Quantity
    """

    way: str
    bypass: Bypass
    left_db: float
    ideal_db: float
    ideal_capacitor: Quantity
    ideal_resistor: Quantity | None

    @property
    def text(self) -> str:
        capacitor = engineering(self.bypass.capacitor.magnitude, "F", 2)
        if self.bypass.resistor is None:
            return capacitor
        resistor = engineering(self.bypass.resistor.magnitude, "Ω", 2)
        return f"{capacitor} and {resistor} in {self.way}"


@dataclass(frozen=True)
class BypassAdvice:
    """What bypass parts do for the volumes of some positions, turned to one rotation.

    Attributes
    ----------
    rotation : float
    without_db : float
        How far the response at this rotation differs in shape from that at full
        volume: root mean square over 100 Hz to 8 kHz and over the positions.
    choices : tuple of BypassChoice
        Best first; a single capacitor goes before two parts that are hardly better.
    """

    rotation: float
    without_db: float
    choices: tuple[BypassChoice, ...]

    @property
    def best(self) -> BypassChoice | None:
        """None where no bypass makes it better than none."""
        return self.choices[0] if self.choices[0].left_db < self.without_db else None


def best_bypass(
    instrument: Instrument, positions: Sequence[Position], *, rotation: float = 0.5
) -> BypassAdvice:
    """Choose bypass parts so that the sound at part volume stays nearest to that at full volume.

    All volumes get the same parts and are turned together; tones stay fully up.
    A bypass that lifts the bass at part volume by more than 3 dB counts as worse
    by the excess: a short across the volume would keep the sound perfectly.
    The optimum over values of any size is sought on a grid that closes in, then
    the preferred values round it are compared.

    Raises
    ------
    InputError
        If no volume serves the positions, or the rotation is not between 0 and 1.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> best = pc.best_bypass(instrument, [instrument.position("neck")]).choices[0]
    >>> best.way, f"{best.bypass.capacitor.m_as('nF'):.1f} nF"
    ('capacitor alone', '1.0 nF')
    """
    if not 0 < rotation < 1:
        raise InputError.of("rotation", f"{rotation:g} is not between 0 and 1")
    if not instrument.serving(Volume, positions):
        raise InputError.of("control", "there is no volume at these positions")
    down = turned(instrument, volume=rotation)
    wanted = [levels_db(turned(instrument), p) for p in positions]
    unaided = [levels_db(with_bypass(down, None), p) for p in positions]

    def left(bypass: Bypass | None) -> Array:
        fitted = with_bypass(down, bypass)
        squares = []
        for p, full, bare in zip(positions, wanted, unaided, strict=True):
            levels = levels_db(fitted, p)
            excess = np.maximum(levels[:, 0] - bare[:, 0] - LOUDER, 0)
            squares.append((distance_db(levels, full) + excess) ** 2)
        return np.sqrt(np.mean(squares, axis=0))

    found = [_optimum(way, left) for way in WAYS]
    found.sort(key=lambda c: c.left_db + (0 if c.way == WAYS[0] else SIMPLER))
    return BypassAdvice(rotation, float(left(None)[0]), tuple(found))


def with_bypass(instrument: Instrument, bypass: Bypass | None) -> Instrument:
    """The instrument with this bypass on every volume."""
    controls = (replace(c, bypass=bypass) if isinstance(c, Volume) else c for c in instrument.controls)
    return replace(instrument, controls=tuple(controls))


def _optimum(way: str, left: Any) -> BypassChoice:
    low, high = np.log([FARADS, OHMS]).T
    limits = low, high
    for _ in range(ROUNDS):
        farads, ohms = _mesh(way, *(np.linspace(a, b, GRID) for a, b in zip(low, high, strict=True)))
        missed = left(_bypass(way, farads, ohms))
        best = int(missed.argmin())
        at = np.log([farads[best], ohms[best]])
        step = (high - low) / (GRID - 1)
        low, high = np.maximum(at - step, limits[0]), np.minimum(at + step, limits[1])
    near = (
        np.log(_shop("E12", farads[best], FARADS, "farad")),
        np.log(_shop("E24", ohms[best], OHMS, "ohm")),
    )
    shop_farads, shop_ohms = _mesh(way, *near)
    snapped = left(_bypass(way, shop_farads, shop_ohms))
    row = int(snapped.argmin())
    ideal = _bypass(way, float(farads[best]), float(ohms[best]))
    return BypassChoice(
        way=way,
        bypass=_bypass(way, float(f"{shop_farads[row]:.3g}"), float(f"{shop_ohms[row]:.3g}")),
        left_db=float(snapped[row]),
        ideal_db=float(missed[best]),
        ideal_capacitor=ideal.capacitor,
        ideal_resistor=ideal.resistor,
    )


def _shop(series: str, value: float, limits: tuple[float, float], unit: str) -> Array:
    low, high = max(value / NEAR, limits[0]), min(value * NEAR, limits[1])
    return preferred_values(series, quantity(low, unit), quantity(high, unit), unit).magnitude


def _mesh(way: str, log_farads: Array, log_ohms: Array) -> tuple[Array, Array]:
    if way == WAYS[0]:
        log_ohms = log_ohms[:1]
    farads, ohms = np.meshgrid(np.exp(log_farads), np.exp(log_ohms))
    return farads.ravel(), ohms.ravel()


def _bypass(way: str, farads: Any, ohms: Any) -> Bypass:
    capacitor = quantity(farads, "farad")
    if way == WAYS[0]:
        return Bypass(capacitor=capacitor)
    return Bypass(capacitor=capacitor, resistor=quantity(ohms, "ohm"), joined=way)
