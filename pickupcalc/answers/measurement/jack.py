"""What an ohmmeter at the jack must read, and back from its readings to pickups and pots, unopened."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.answers.measurement.estimates import Figure, figures, tied_pairs
from pickupcalc.answers.measurement.meter import copper_factor
from pickupcalc.answers.positions import dc_resistance
from pickupcalc.answers.tolerance import UncertainInput, uncertain_inputs, varied
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.turning import with_settings
from pickupcalc.parts.controls import Blend, Control
from pickupcalc.parts.fields import Amount, Part, checked, measured, number, text
from pickupcalc.parts.pickup import COPPER_20_DEGC
from pickupcalc.physics.measuring.estimate import most_probable
from pickupcalc.units import Given, quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity

UNKNOWN_PICKUP = 0.5  # standard deviation of the logarithm of a resistance nobody read: 4 to 11 kohm


def jack_resistance(
    instrument: Instrument,
    position: str,
    settings: Mapping[str, float] | None = None,
    temperature: Given = "20 degC",
) -> Quantity | None:
    """Resistance at the jack, nothing else plugged in; None where a capacitor blocks.

    Parameters
    ----------
    instrument : Instrument
    position : str
    settings : mapping of str to float, optional
        Rotation of controls by label; others stay as in the job file.
    temperature : Quantity or str
        Of the windings, -50 to 150 degC: copper changes by 4 % in 10 K.

    Raises
    ------
    InputError
        For positions or controls that are not there, and rotations or temperatures out of range.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> f"{pc.jack_resistance(instrument, 'neck').m_as('kohm'):.2f} kohm"
    '5.93 kohm'
    """
    turned = with_settings(instrument, settings or {})
    warm = copper_factor(to_si(temperature, "kelvin", "temperature"), "temperature")
    pickups = tuple(replace(p, resistance=p.resistance * warm) for p in turned.pickups)
    found = dc_resistance(replace(turned, pickups=pickups), turned.position(position))
    return quantity(float(found[0]), "ohm") if np.isfinite(found[0]) else None


@dataclass(frozen=True)
class JackRow:
    """One line of the table to keep beside the instrument; the resistance is None where it reads open."""

    position: str
    settings: Mapping[str, float]
    resistance: Quantity | None

    def as_json(self) -> dict[str, Any]:
        ohm = None if self.resistance is None else float(self.resistance.m)
        return {"position": self.position, "settings": dict(self.settings), "resistance_ohm": ohm}


def jack_table(
    instrument: Instrument, temperature: Given = "20 degC", settings: Mapping[str, float] | None = None
) -> list[JackRow]:
    """Every position with all controls up, then with each control that matters turned down alone.

    A blend counts as up in the middle, and is turned to both ends. With `settings`, every position at these
    rotations instead, the other controls up.
    """
    up = instrument.controls_up()
    rows = []
    for position in instrument.positions:
        turns = [dict(settings)] if settings is not None else [{}, *turned_alone(instrument, position)]
        for turned in (up | t for t in turns):
            found = jack_resistance(instrument, position.name, turned, temperature)
            rows.append(JackRow(position.name, turned, found))
    return rows


def turned_alone(instrument: Instrument, position: Position) -> list[dict[str, float]]:
    """Each control that acts on a position turned down by itself, a blend to either end; by label."""
    labels, serving = instrument.control_labels(), instrument.serving(Control, [position])
    ends = {i: (0.0, 1.0) if isinstance(instrument.controls[i], Blend) else (0.0,) for i in serving}
    return [{labels[i]: end} for i in serving for end in ends[i]]


def _settings(given: Any) -> Any:
    if not isinstance(given, Mapping):
        raise InputError.of("", "must be a table of control and rotation")
    for label, rotation in given.items():
        if isinstance(rotation, bool) or rotation not in (0, 1):
            told = "a track read at part rotation tells nothing of itself; turn it to an end"
            raise InputError.of(str(label), f"{rotation} must be 0 or 1: {told}")
    return dict(given)


@dataclass(frozen=True, kw_only=True)
class JackReading(Part):
    """One reading of an ohmmeter at the jack.

    Parameters
    ----------
    position : str
    resistance : Quantity or str
    settings : mapping of str to 0 or 1, optional
        Controls turned fully down or up; all others are up (a blend in the middle).
    tolerance : float
        Two standard deviations, relative.
    """

    position: str = text()
    resistance: Amount = measured("ohm", above=0)
    settings: Any = checked(_settings, default=None)
    tolerance: Any = number(default=0.01, at_least=1e-5, at_most=1)


@dataclass(frozen=True)
class FromJack:
    """Pickups and tracks behind the readings.

    Attributes
    ----------
    figures : mapping of str to Figure
        By label, such as "neck's resistance" or "volume's track".
    not_told_apart : tuple of (str, str)
        Pairs of which only a combination is known.
    agreement : float
        Summed squared misfit per reading; well above 1, the job file's wiring is not the real one.
    """

    figures: Mapping[str, Figure]
    not_told_apart: tuple[tuple[str, str], ...]
    agreement: float


def from_jack(instrument: Instrument, readings: Sequence[JackReading], known: Sequence[str] = ()) -> FromJack:
    """Resistances of pickups and tracks from readings at the jack.

    Parameters
    ----------
    instrument : Instrument
        Its wiring is taken as true, its tracks as marked (20 %).
    readings : sequence of JackReading
    known : sequence of str
        Pickups whose resistance in the job file is a reading; the others count
        as unknown within a factor of about two and a half.

    Returns
    -------
    FromJack

    Raises
    ------
    InputError
        For readings the wiring cannot give.
    """
    if not readings:
        raise InputError.of("readings", "is empty; at least one reading at the jack is needed")
    # The readings' own temperature is the reference: what comes out is as warm as what went in.
    reference = quantity(COPPER_20_DEGC, "kelvin")
    as_read = tuple(replace(p, resistance_temperature=reference) for p in instrument.pickups)
    instrument = replace(instrument, pickups=as_read)
    up = instrument.controls_up()
    turned = [with_settings(instrument, up | (r.settings or {})) for r in readings]
    inputs = _unknowns(instrument, readings)
    start = [_value(instrument, i) for i in inputs]
    names = [p.name for p in instrument.pickups]
    given = [i.owner == "pickups" and names[i.index] in known for i in inputs]
    spread = [
        UNKNOWN_PICKUP if i.owner == "pickups" and not was else i.fraction / 2
        for i, was in zip(inputs, given, strict=True)
    ]

    def model(sets: np.ndarray) -> np.ndarray:
        factors = {i: sets[:, j] / start[j] for j, i in enumerate(inputs)}
        read = [
            dc_resistance(varied(one, factors), one.position(r.position))
            for one, r in zip(turned, readings, strict=True)
        ]
        return np.stack([np.broadcast_to(v, len(sets)) for v in read], axis=-1)

    nominal = model(np.array([start]))[0]
    for r, ohm in zip(readings, nominal, strict=True):
        if not np.isfinite(ohm) or ohm < 1:
            what = "open" if not np.isfinite(ohm) else "shorted"
            told = f"the wiring is {what} there whatever the pickups are; leave it out"
            raise InputError.of(f"reading of {r.position!r}", told)
    values = [r.resistance.m for r in readings]
    errors = [r.resistance.m * r.tolerance / 2 for r in readings]
    found = most_probable(model, start, spread, values, errors)
    labels = [i.label for i in inputs]
    made = figures(found, ["ohm"] * len(labels), given)
    return FromJack(
        dict(zip(labels, made, strict=True)),
        tuple(tied_pairs(found, labels)),
        found.chi_squared / len(readings),
    )


def _unknowns(instrument: Instrument, readings: Sequence[JackReading]) -> list[UncertainInput]:
    """Resistances and tracks that one of the readings depends on."""
    found: dict[UncertainInput, None] = {}
    for r in readings:
        for i in uncertain_inputs(instrument, instrument.position(r.position)):
            if i.key in ("resistance", "track") and not _blocked(instrument, i):
                found[i] = None
    return list(found)


def _blocked(instrument: Instrument, which: UncertainInput) -> bool:
    """A tone's capacitor keeps direct current out of its track."""
    return which.owner == "controls" and instrument.controls[which.index].kind == "tone"


def _value(instrument: Instrument, which: UncertainInput) -> float:
    if which.owner == "pickups":
        return float(instrument.pickups[which.index].resistance.m)
    return float(instrument.controls[which.index].track.m)
