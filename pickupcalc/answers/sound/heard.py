"""How a position sounds: partials, bands, centroid, loudness."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.positions import Spread
from pickupcalc.answers.response import FLOOR_DB, decibels
from pickupcalc.answers.sound import playing
from pickupcalc.answers.sound.partials import Strings, at_amplifier, coil_emfs, powers
from pickupcalc.answers.tolerance import UncertainInput, uncertain_inputs, varied
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.parts.sensing import Pluck
from pickupcalc.physics.sound import loudness
from pickupcalc.tables import table
from pickupcalc.units import power_db, quantity

if TYPE_CHECKING:
    from pint import Quantity

MILLIVOLT = 1e-3
WINDOW = 0.4  # s: one block of BS.1770, from the pluck on
OUTPUT_FACTOR = 3.0  # the absolute output may be this many times larger or smaller
OCTAVES = tuple(1000.0 * 2.0**k for k in range(-5, 5))  # Hz, IEC 61260-1 middle frequencies (nominal)

Array = NDArray[Any]


@dataclass(frozen=True)
class NoteSound:
    """One string's partials at the amplifier, at the moment of the pluck.

    Attributes
    ----------
    string : str
        Its note when open.
    frequency : Quantity
        Of the note played.
    partial_frequencies : Quantity, shape (partials,)
    levels_db : ndarray, shape (partials,)
        Effective value against 1 mV, both directions of motion together; -200 for silence.
    fundamental_loss_db : float
        First partial against that of the same pickups all in phase; 0 where they are.
    """

    string: str
    frequency: Quantity
    partial_frequencies: Quantity
    levels_db: Array
    fundamental_loss_db: float

    def as_json(self) -> dict[str, Any]:
        return {
            "string": self.string,
            "frequency_hz": float(self.frequency.m),
            "partial_frequencies_hz": self.partial_frequencies.m.tolist(),
            "levels_db": self.levels_db.tolist(),
            "fundamental_loss_db": self.fundamental_loss_db,
        }


@dataclass(frozen=True)
class Sound:
    """A position as heard, all strings plucked alike.

    Attributes
    ----------
    position : str
    fret : float
    notes : tuple of NoteSound
    bands_db : mapping of float to float
        Octave's middle frequency in Hz to its level against 1 mV, the mean power of a string.
    centroid : Quantity
        Mean frequency, each partial weighted by its power.
    loudness_db : float
        K-weighted (ITU-R BS.1770) mean of the first 0.4 s of a string, against 1 mV;
        differences are loudness units.
    fundamental_db : float
        Power of the first partials, mean of the strings, against 1 mV.
    fundamental_share_db : float
        First partials' power against that of all others: low is thin.
    fundamental_loss_db : float
        First partials' power against that of the same pickups in phase.
    output : Quantity
        Effective voltage of a string in the first 0.4 s; right within a factor of 3.
    spread : mapping of str to Spread
        Two standard deviations of the figures above, by name.
    assumed : tuple of str
    shifts : mapping of str to mapping of str to float
        For each figure, what each uncertain input moves it by: sounds that rest on the
        same inputs differ by less than their spreads let fear.
    """

    position: str
    fret: float
    notes: tuple[NoteSound, ...]
    bands_db: Mapping[float, float]
    centroid: Quantity | None
    loudness_db: float
    fundamental_db: float
    fundamental_share_db: float
    fundamental_loss_db: float
    output: Quantity
    spread: Mapping[str, Spread]
    assumed: tuple[str, ...]
    shifts: Mapping[str, Mapping[str, float]] = field(default_factory=dict, repr=False)

    @property
    def silent(self) -> bool:
        """Whether nothing of it arrives, in no octave."""
        return self.centroid is None or max(self.bands_db.values()) <= FLOOR_DB

    def as_json(self) -> dict[str, Any]:
        return {
            "position": self.position,
            "fret": self.fret,
            "notes": [n.as_json() for n in self.notes],
            "bands_db": {f"{f:g}": level for f, level in self.bands_db.items()},
            "centroid_hz": None if self.centroid is None else float(self.centroid.m),
            "loudness_db": self.loudness_db,
            "fundamental_db": self.fundamental_db,
            "fundamental_share_db": self.fundamental_share_db,
            "fundamental_loss_db": self.fundamental_loss_db,
            "output_v": float(self.output.m),
            "uncertainty": {
                _JSON.get(k, k): {"amount": s.amount, "dominated_by": s.dominated_by}
                for k, s in self.spread.items()
            },
            "assumed": list(self.assumed),
        }


_MOVES_STRING = ("distance_from_bridge", "aperture")  # inputs that change what a coil sees
_JSON = {"centroid": "centroid_hz", "output": "output_v"}


def sound(
    instrument: Instrument,
    position: str,
    *,
    fret: float = 0,
    pluck: Pluck | None = None,
    partials: int = playing.PARTIALS,
    spread: bool = True,
    label: str | None = None,
) -> Sound:
    """How one position sounds, all strings plucked alike at one fret.

    Parameters
    ----------
    instrument : Instrument
        With its scale length, strings, and the distance of the pickups from the bridge.
    position : str
    fret : float
    pluck : Pluck, optional
    partials : int
    spread : bool
        Whether to work out how far the figures may be off, which takes most of the time.
    label : str, optional
        What to call it, where the position's name is not enough.

    Raises
    ------
    InputError
        For what is missing or out of place; see `playing`.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> neck = pc.sound(instrument, "neck", fret=12)
    >>> neck.notes[0].string, f"{neck.notes[0].frequency.m:.1f} Hz"
    ('E1', '82.4 Hz')
    """
    where = instrument.position(position)
    moving = [
        playing.vibration(instrument, i, fret=fret, pluck=pluck, partials=partials)
        for i in range(max(1, len(instrument.strings)))
    ]
    strings = Strings.of(moving)
    coils = coil_emfs(instrument, where, moving)
    volts, in_phase = at_amplifier(instrument, where, strings, coils)
    found = _figures(strings, volts, in_phase)
    inputs = _uncertain(instrument, where) if spread else []
    moves: dict[str, list[float]] = {key: [] for key in found}
    for which in inputs:
        other = varied(instrument, {which: 1 + which.fraction})
        moved = coil_emfs(other, where, moving) if which.key in _MOVES_STRING else coils
        for key, value in _figures(strings, *at_amplifier(other, where, strings, moved)).items():
            moves[key].append(value - found[key])
    centroid = found["centroid"]
    return Sound(
        position=label or position,
        fret=fret,
        notes=tuple(_notes(moving, strings, volts, in_phase)),
        bands_db=_bands(strings, volts),
        centroid=quantity(centroid, "hertz") if np.isfinite(centroid) else None,
        loudness_db=found["loudness_db"],
        fundamental_db=found["fundamental_db"],
        fundamental_share_db=found["fundamental_share_db"],
        fundamental_loss_db=found["fundamental_loss_db"],
        output=quantity(found["output"], "volt"),
        spread=_spread(moves, inputs, found),
        assumed=playing.assumed(instrument),
        shifts={k: dict(zip((i.label for i in inputs), moved, strict=True)) for k, moved in moves.items()},
    )


def _notes(
    moving: list[playing.Vibration], strings: Strings, volts: Array, in_phase: Array
) -> Iterator[NoteSound]:
    power, full = powers(volts), powers(in_phase)
    for i, m in enumerate(moving):
        yield NoteSound(
            string=m.string,
            frequency=quantity(m.fundamental, "hertz"),
            partial_frequencies=quantity(strings.frequencies[i, 0], "hertz"),
            levels_db=decibels(np.sqrt(power[i]) / MILLIVOLT),
            fundamental_loss_db=_ratio_db(power[i, 0], full[i, 0]),
        )


def _figures(strings: Strings, volts: Array, in_phase: Array) -> dict[str, float]:
    """The plain numbers of a position, SI and decibels."""
    power, full = powers(volts), powers(in_phase)
    lasting = 2 * strings.decays * WINDOW
    fading = np.abs(volts) ** 2 / 2 * -np.expm1(-lasting) / lasting
    weighted = fading * loudness.k_gain(strings.frequencies) ** 2
    total, count = power.sum(), len(volts)
    return {
        "centroid": float((power * strings.frequencies[:, 0]).sum() / total) if total > 0 else float("nan"),
        "loudness_db": _ratio_db(weighted.sum() / count, MILLIVOLT**2) + loudness.OFFSET,
        "fundamental_db": _ratio_db(power[:, 0].mean(), MILLIVOLT**2),
        "fundamental_share_db": _ratio_db(power[:, 0].sum(), power[:, 1:].sum()),
        "fundamental_loss_db": _ratio_db(power[:, 0].sum(), full[:, 0].sum()),
        "output": float(np.sqrt(fading.sum() / count)),
    }


def _ratio_db(power: float, reference: float) -> float:
    """Decibels of a ratio of powers; -200 for silence, 0 where there is nothing to compare with."""
    if reference <= 0:
        return 0.0
    return float(max(power_db(power / reference), FLOOR_DB))


def _bands(strings: Strings, volts: Array) -> dict[float, float]:
    """Octave levels, dB against 1 mV, mean power of a string; edges at sqrt(2) to either side."""
    power = np.abs(volts) ** 2 / 2 / len(volts)
    edges = np.sqrt(2)
    inside = ((strings.frequencies >= f / edges) & (strings.frequencies < f * edges) for f in OCTAVES)
    return {f: _ratio_db(power[mask].sum(), MILLIVOLT**2) for f, mask in zip(OCTAVES, inside, strict=True)}


def _uncertain(instrument: Instrument, position: Position) -> list[UncertainInput]:
    """The circuit's uncertain inputs, and each pickup's place, sensitivity and aperture."""
    sizes = table("uncertainty")["sound"]
    found = [u for u in uncertain_inputs(instrument, position) if u.key != "hum_sensitivity"]
    for i, pickup in enumerate(instrument.pickups):
        if pickup.name not in position.wiring.pickups():
            continue
        where, _ = playing.place(instrument, pickup)
        fractions = {"distance_from_bridge": sizes["distance"] / where, "sensitivity": sizes["sensitivity"]}
        if pickup.aperture is not None:
            fractions["aperture"] = sizes["aperture"]
        found += [
            UncertainInput(f"{pickup.name}'s {key.replace('_', ' ')}", "pickups", i, key, fraction)
            for key, fraction in fractions.items()
        ]
    return found


def _spread(
    moves: dict[str, list[float]], inputs: list[UncertainInput], found: dict[str, float]
) -> dict[str, Spread]:
    spread = {}
    for key, values in moves.items():
        sizes = np.abs(np.nan_to_num(values))
        if np.any(sizes > 0):
            spread[key] = Spread(float(np.sqrt(np.sum(sizes**2))), inputs[int(sizes.argmax())].label)
    reach = found["output"] * (OUTPUT_FACTOR - 1)
    spread["output"] = Spread(reach, "the field at the string and how much of it the coil takes up")
    return spread
