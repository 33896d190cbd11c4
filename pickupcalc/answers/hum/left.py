"""What hum is left in a position, by harmonic and as an ear weighs it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pickupcalc.answers.polarity.signs import signs
from pickupcalc.answers.response import relative_db
from pickupcalc.errors import Fault, InputError, quoted
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.wiring import Leaf
from pickupcalc.limits import SOUND_SAMPLES, at_most
from pickupcalc.parts.hum_source import HumSource, UniformField
from pickupcalc.physics.circuit.nodal import solve
from pickupcalc.physics.measuring.hum_fields import coil_emf
from pickupcalc.physics.measuring.weighting import a_weighting_db
from pickupcalc.tables import table
from pickupcalc.units import Given, quantity, to_si

if TYPE_CHECKING:
    from pint import Quantity

Array = NDArray[Any]
AXIS = (0.0, 0.0, 1.0)  # of every pickup's coil


@dataclass(frozen=True)
class HumLeft:
    """Hum of a position at the amplifier, and of the loudest of its pickups alone.

    Attributes
    ----------
    position : str
    frequencies : Quantity, shape (harmonics,)
    voltage : Quantity, shape (harmonics,)
        RMS at the amplifier, in step with the first pickup's EMF where positive.
        Its absolute size rests on `turns_area` and the field; ratios do not.
    alone : Quantity, shape (harmonics,)
        The same for the pickup that is loudest alone, A-weighted.
    """

    position: str
    frequencies: Quantity
    voltage: Quantity
    alone: Quantity

    @property
    def relative_db(self) -> float:
        """All harmonics together against the loudest pickup alone."""
        return float(relative_db(_total(self.voltage.m), _total(self.alone.m)))

    @property
    def relative_db_a(self) -> float:
        """The same, A-weighted: what is heard."""
        weights = _weights(self.frequencies.m)
        return float(relative_db(_total(self.voltage.m * weights), _total(self.alone.m * weights)))

    @property
    def weighted(self) -> Quantity:
        """All harmonics together, A-weighted, RMS volt."""
        return quantity(float(_total(self.voltage.m * _weights(self.frequencies.m))), "volt")

    def sound(self, seconds: float = 1.5, rate: int = 22_050, *, volt_at_full_scale: float) -> Array:
        """The hum as samples, shape (seconds x rate,), scaled so that different hums compare."""
        at_most("seconds", seconds * rate, SOUND_SAMPLES, "samples")
        t = np.arange(int(seconds * rate)) / rate
        f, v = self.frequencies.m, np.sqrt(2) * np.abs(self.voltage.m) / volt_at_full_scale
        phase = np.angle(self.voltage.m)
        hum = sum(a * np.sin(2 * np.pi * x * t + p) for a, x, p in zip(v, f, phase, strict=True))
        fade = np.minimum(1.0, np.minimum(t, t[::-1]) / 0.05)
        return np.asarray(hum * fade)

    def as_json(self) -> dict[str, Any]:
        return {
            "position": self.position,
            "frequencies_hz": self.frequencies.m.tolist(),
            "voltage_v": np.abs(self.voltage.m).tolist(),
            "relative_db": self.relative_db,
            "relative_db_a": self.relative_db_a,
        }


def hum_left(
    instrument: Instrument,
    position: str,
    source: HumSource | None = None,
    *,
    spectrum: str = "mains wiring",
    turns_area: Given | None = None,
) -> HumLeft:
    """The hum of one position.

    Parameters
    ----------
    instrument : Instrument
    position : str
    source : HumSource, optional
        A field alike everywhere, along the coils' axes, if left out.
    spectrum : str
        A name of the table "hum".
    turns_area : Quantity or str, optional
        Turns times mean area of a pickup with hum_sensitivity 1; 4 m^2 if left out.

    Returns
    -------
    HumLeft

    Raises
    ------
    InputError
        For a position or spectrum that is not there, a pickup whose hum sign is
        unknown, or whose place is, where the field is not alike everywhere.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> f"{pc.hum_left(instrument, 'both').relative_db:+.1f} dB"  # beside the louder of the two alone
    '+0.1 dB'
    """
    where = instrument.position(position)
    omega, strength = harmonics(instrument, spectrum)
    area = _usual_area() if turns_area is None else to_si(turns_area, "meter ** 2", "turns_area")
    emf = _emf(instrument, where, source or UniformField(), np.zeros(3))
    together, alone = _at_amplifier(instrument, where, emf, omega, strength * area)
    hertz = omega / (2 * np.pi)
    loudest = np.argmax(_total(np.abs(alone) * _weights(hertz)))
    return HumLeft(
        position,
        quantity(hertz, "hertz"),
        quantity(together, "volt"),
        quantity(np.abs(alone[loudest]), "volt"),
    )


def relative_db_a(
    instrument: Instrument,
    where: Position,
    source: HumSource,
    spectrum: str = "mains wiring",
    moved: ArrayLike = (0.0, 0.0, 0.0),
) -> Array:
    """A-weighted level against the loudest pickup alone, dB, for many sets at once.

    Parameters
    ----------
    instrument : Instrument
        Its values may be arrays of shape (sets,).
    where : Position
    source : HumSource
    spectrum : str
    moved : array_like, shape (3,) or (sets, 3)
        By how much the source is moved from its place, m.

    Returns
    -------
    ndarray, shape (sets,)
    """
    omega, strength = harmonics(instrument, spectrum)
    emf = _emf(instrument, where, source, np.asarray(moved, dtype=float))
    together, alone = _at_amplifier(instrument, where, emf, omega, strength)
    weights = _weights(omega / (2 * np.pi))
    loudest = np.max(np.broadcast_arrays(*(_total(np.abs(a) * weights) for a in alone)), axis=0)
    return np.asarray(relative_db(_total(np.abs(together) * weights), loudest))


def _usual_area() -> float:
    usual = table("hum")["usual"]
    return float(usual["turns"] * to_si(usual["turn_area"], "meter ** 2"))


def harmonics(instrument: Instrument, spectrum: str) -> tuple[Array, Array]:
    """rad/s and relative field strength of each harmonic in a spectrum of the table "hum"."""
    known = table("hum")["spectra"]
    if spectrum not in known:
        raise InputError.of("spectrum", f'"{spectrum}" is not one of: {quoted(known)}')
    harmonics = np.asarray(known[spectrum]["harmonics"], dtype=float)
    return 2 * np.pi * instrument.mains * harmonics, np.asarray(known[spectrum]["strength"], dtype=float)


def _emf(instrument: Instrument, where: Position, source: HumSource, moved: Array) -> dict[str, Any]:
    """EMF of each pickup per square metre of turns, at the mains frequency, over omega."""
    known = signs(instrument)
    names = where.wiring.pickups()
    faults = [
        Fault(f"pickup {n!r}", f"its hum against {names[0]}'s is unknown; compass and tap test tell it")
        for n in names
        if known.hum_between(names[0], n) is None
    ]
    faults += _unplaced(instrument, names, source)
    if faults:
        raise InputError(faults)
    emf = {}
    for name in names:
        pickup = instrument.pickup(name)
        x = 0.0 if pickup.distance_from_bridge is None else pickup.distance_from_bridge.magnitude
        field = source.field_at(np.array([x, 0.0, 0.0]) - moved)
        sign = known.hum_between(names[0], name) or 1
        emf[name] = coil_emf(field, AXIS, pickup.hum_sensitivity, 1.0) * sign
    return emf


def _unplaced(instrument: Instrument, names: list[str], source: HumSource) -> list[Fault]:
    if isinstance(source, UniformField):
        return []
    return [
        Fault(f"pickup {n!r}, distance_from_bridge", "is missing; a near source needs to know where it is")
        for n in names
        if instrument.pickup(n).distance_from_bridge is None
    ]


def _at_amplifier(
    instrument: Instrument, where: Position, emf: dict[str, Any], omega: Array, strength: Array
) -> tuple[Array, list[Array]]:
    """Voltage of the position, and of each of its pickups alone, by harmonic."""
    source = omega * strength
    together = solve(circuit(instrument, where), omega).mix(emf) * source
    alone = [
        solve(circuit(instrument, replace(where, wiring=Leaf(n))), omega).mix({n: e}) * source
        for n, e in emf.items()
    ]
    return together, alone


def _weights(hertz: Array) -> Array:
    return np.asarray(10 ** (a_weighting_db(hertz) / 20))


def _total(voltage: Array) -> Array:
    """Root of the summed squares over harmonics, the last axis."""
    return np.asarray(np.sqrt(np.sum(np.abs(voltage) ** 2, axis=-1)))
