"""What each selector position is: the rows of the sheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.answers import polarity
from pickupcalc.answers.response import decibels, hum_emf, relative_db, signal_emf
from pickupcalc.answers.tolerance import each_alone, uncertain_inputs
from pickupcalc.instrument.harness import circuit, winding
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.wiring import Leaf
from pickupcalc.physics.circuit.curves import falls_below, highest_peak, q_of_height
from pickupcalc.physics.circuit.nodal import solve
from pickupcalc.units import quantity

if TYPE_CHECKING:
    from pint import Quantity

REFERENCE = 100.0  # Hz, where levels are told
NO_RESISTANCE = 1e-6  # ohm; below this a path is a joint, which the solver takes for a nano-ohm

_UNITS = {
    "dc_resistance": "ohm",
    "inductance": "henry",
    "peak_frequency": "hertz",
    "cutoff_frequency": "hertz",
}
_JSON_NAMES = {
    "dc_resistance": "dc_resistance_ohm",
    "inductance": "inductance_h",
    "hum_relative_db": "hum_relative_db",
    "peak_frequency": "peak_frequency_hz",
    "peak_height_db": "peak_height_db",
    "q": "q",
    "cutoff_frequency": "cutoff_frequency_hz",
    "level_db": "level_db",
}


@dataclass(frozen=True)
class Spread:
    """How far a figure may be off, and why.

    Attributes
    ----------
    amount : float
        Two standard deviations, in the figure's own unit.
    dominated_by : str
        The input that contributes most, in a repairer's words.
    """

    amount: float
    dominated_by: str


@dataclass(frozen=True)
class PositionReport:
    """How one position behaves, with the controls as set.

    Attributes
    ----------
    name : str
    pickups : tuple of str
    phase, hum : str
        See `answers.polarity`.
    dc_resistance : Quantity or None
        At the jack with nothing else connected, windings at 20 degC; None where
        a capacitor blocks.
    inductance : Quantity
        Of the pickups as joined, at low frequency.
    hum_relative_db : float
        Hum at the mains frequency against the loudest of these pickups alone.
    peak_frequency : Quantity or None
    peak_height_db : float or None
        Above the level at 100 Hz.
    q : float or None
        Of the second-order low-pass with that height.
    cutoff_frequency : Quantity or None
        Where the level has fallen by 3 dB below that at 100 Hz.
    level_db : float
        At 100 Hz, of 1 V in each pickup with its sign; -200 for silence.
    spread : mapping of str to Spread
        By the names above.
    """

    name: str
    pickups: tuple[str, ...]
    phase: str
    hum: str
    dc_resistance: Quantity | None
    inductance: Quantity
    hum_relative_db: float
    peak_frequency: Quantity | None
    peak_height_db: float | None
    q: float | None
    cutoff_frequency: Quantity | None
    level_db: float
    spread: Mapping[str, Spread]

    def as_json(self) -> dict[str, Any]:
        figures = {key: getattr(self, key) for key in _JSON_NAMES}
        return {
            "name": self.name,
            "pickups": list(self.pickups),
            "phase": self.phase,
            "hum": self.hum,
            **{_JSON_NAMES[k]: getattr(v, "magnitude", v) for k, v in figures.items()},
            "uncertainty": {
                _JSON_NAMES[k]: {"amount": s.amount, "dominated_by": s.dominated_by}
                for k, s in self.spread.items()
            },
        }


def positions(instrument: Instrument) -> list[PositionReport]:
    """A report on every position of an instrument.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> [(told.name, told.phase) for told in pc.positions(instrument)]
    [('neck', 'single'), ('both', 'out of phase'), ('bridge', 'single')]
    """
    return [report(instrument, position) for position in instrument.positions]


def report(instrument: Instrument, position: Position) -> PositionReport:
    """How one position behaves.

    The nominal instrument and one variant for each uncertain input are solved
    together; the spread of a figure is the root of the summed squares of what
    each input does to it alone. Inputs move up; where that leaves no peak, down.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> both = pc.report(instrument, instrument.position("both"))
    >>> both.phase, f"{both.peak_frequency.m_as('kHz'):.2f} kHz"
    ('out of phase', '5.18 kHz')
    """
    inputs = uncertain_inputs(instrument, position)
    steps = np.array([1 + i.fraction for i in inputs])
    found = figures(each_alone(instrument, inputs, steps), position)
    if any(np.isfinite(v[0]) and np.isnan(v).any() for v in found.values()):
        down = figures(each_alone(instrument, inputs, 1 / steps), position)
        found = {key: np.where(np.isnan(v), down[key], v) for key, v in found.items()}
    spread = {}
    for key, values in found.items():
        moves = np.abs(np.nan_to_num(values[1:] - values[0]))
        if np.isfinite(values[0]) and np.any(moves > 0):
            amount = float(np.sqrt(np.sum(moves**2)))
            spread[key] = Spread(amount, inputs[int(moves.argmax())].label)
    nominal = {key: _figure(key, values[0]) for key, values in found.items()}
    return PositionReport(
        name=position.name,
        pickups=tuple(position.wiring.pickups()),
        phase=polarity.phase(instrument, position),
        hum=polarity.hum(instrument, position),
        spread=spread,
        **nominal,
    )


def figures(instrument: Instrument, position: Position) -> dict[str, np.ndarray]:
    """The numbers of a position in SI, each of shape (sets,); nan for what is not there.

    This is what sweeps and tolerance studies use.
    """
    network = circuit(instrument, position)
    emf = signal_emf(instrument, position)

    def gain(hertz: np.ndarray) -> np.ndarray:
        return np.abs(solve(network, 2 * np.pi * hertz).mix(emf))

    level = np.atleast_1d(gain(np.array([REFERENCE]))[..., 0])
    frequency, height = highest_peak(gain)
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = height / level
    start = np.where(np.isnan(frequency), REFERENCE, np.fmax(frequency, REFERENCE))
    found = {
        "dc_resistance": dc_resistance(instrument, position),
        "inductance": _inductance(instrument, position),
        "hum_relative_db": _hum_relative_db(instrument, position),
        "peak_frequency": frequency,
        "peak_height_db": decibels(ratio),
        "q": q_of_height(ratio),
        "cutoff_frequency": falls_below(gain, level / np.sqrt(2), start),
        "level_db": decibels(level),
    }
    sets = np.broadcast_shapes(*(v.shape for v in found.values()))
    return {key: np.broadcast_to(v, sets) for key, v in found.items()}


def dc_resistance(instrument: Instrument, position: Position) -> np.ndarray:
    """As an ohmmeter finds it: losses are eddy currents, which a steady current does not drive.

    A blocking capacitor leaves an infinite resistance, which is told as nan.
    """
    lossless = replace(
        instrument, pickups=tuple(replace(p, loss_resistance=None) for p in instrument.pickups)
    )
    found = solve(circuit(lossless, position, loaded=False), np.zeros(1)).impedance[..., 0].real
    found = np.where(found < NO_RESISTANCE, 0.0, found)
    return np.atleast_1d(np.where(np.isfinite(found), found, np.nan))


def _inductance(instrument: Instrument, position: Position) -> np.ndarray:
    """The limit of X/omega, taken where omega L is a millionth of R."""
    omega = 2 * np.pi * np.array([1e-3])
    return np.atleast_1d(solve(winding(instrument, position), omega).impedance[..., 0].imag / omega[0])


def _hum_relative_db(instrument: Instrument, position: Position) -> np.ndarray:
    omega = 2 * np.pi * np.array([instrument.mains])
    names = position.wiring.pickups()
    if len(names) == 1:
        return np.zeros(1)
    emf = hum_emf(instrument, position)
    together = np.abs(solve(circuit(instrument, position), omega).mix(emf)[..., 0])
    alone = [
        np.abs(solve(circuit(instrument, replace(position, wiring=Leaf(n))), omega).mix({n: emf[n]})[..., 0])
        for n in names
    ]
    loudest = np.max(np.broadcast_arrays(*alone), axis=0)
    return np.atleast_1d(relative_db(together, loudest))


def _figure(key: str, value: float) -> Any:
    if np.isnan(value):
        return None
    return quantity(float(value), _UNITS[key]) if key in _UNITS else float(value)
