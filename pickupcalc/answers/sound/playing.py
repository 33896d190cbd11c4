"""A plucked string on an instrument: what moves, and what each pickup makes of it.

Everything here is in SI; the answers built on it speak quantities.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, sin
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.response import signal_emf
from pickupcalc.errors import InputError
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.parts.pickup import Pickup
from pickupcalc.parts.sensing import Pluck, Sensing, usual_turns
from pickupcalc.parts.strings import String
from pickupcalc.physics.circuit.nodal import solve
from pickupcalc.physics.sound import sensor
from pickupcalc.physics.sound.strings import (
    Losses,
    Wire,
    decay_rates,
    inharmonicity,
    partial_frequencies,
    plucked,
    sensed,
)
from pickupcalc.tables import table
from pickupcalc.units import millimetres as mm

PARTIALS = 60
MOST_PARTIALS = 500
MOST_FRETS = 36
CLEAR = 10e-3  # m between a pluck that nobody chose and the nearest pickup
USUAL_PLUCK = 1 / 6  # of the scale, from the bridge

Array = NDArray[Any]


@dataclass(frozen=True)
class Vibration:
    """The partials of one plucked string, those away from the body first, then those along it.

    Attributes
    ----------
    string : str
        Its note when open.
    fret : float
    length : float
        From the bridge to the fret, m.
    fundamental : float
        Hz.
    wire : Wire
    numbers, frequencies, decays, amplitudes : ndarray, shape (partials,)
        n, Hz, 1/s, and m of displacement.
    sideways : ndarray of bool, shape (partials,)
    """

    string: str
    fret: float
    length: float
    fundamental: float
    wire: Wire
    numbers: Array
    frequencies: Array
    decays: Array
    amplitudes: Array
    sideways: Array


def scale_length(instrument: Instrument) -> float:
    """Metres; refused where the job does not tell it."""
    if instrument.about.scale_length is None:
        raise InputError.of("instrument, scale_length", 'is missing; a sound needs it, such as "648 mm"')
    return float(instrument.about.scale_length.magnitude)


def can_be_heard(instrument: Instrument) -> bool:
    """Whether the job tells enough for a sound: strings, scale, and where every pickup is."""
    placed = all(p.distance_from_bridge is not None for p in instrument.pickups)
    return bool(instrument.strings) and instrument.about.scale_length is not None and placed


def place(instrument: Instrument, pickup: Pickup) -> tuple[float, float]:
    """Distance from the bridge and length of string sensed, m."""
    where = f"pickup {pickup.name!r}, distance_from_bridge"
    scale = scale_length(instrument)
    if pickup.distance_from_bridge is None:
        raise InputError.of(where, 'is missing; a sound needs it, along the string, such as "158 mm"')
    distance = float(pickup.distance_from_bridge.magnitude)
    if distance >= scale:
        raise InputError.of(where, f"{mm(distance)} is beyond the nut; the scale is {mm(scale)} long")
    aperture = aperture_of(instrument, pickup)
    if aperture / 2 >= distance:
        raise InputError.of(
            where, f"{mm(distance)} puts half of the aperture of {mm(aperture)} beyond the bridge"
        )
    return distance, aperture


def aperture_of(instrument: Instrument, pickup: Pickup) -> float:
    """Metres of string sensed: as given, or what pole and distance make of it."""
    if pickup.aperture is not None:
        return float(pickup.aperture.magnitude)
    return sensor.sensed_length(pole_of(instrument, pickup))


def pole_of(instrument: Instrument, pickup: Pickup) -> sensor.Pole:
    """A pickup's pole and coil.

    Turns that neither a count nor a geometry tells are alike in all pickups,
    estimated from their mean inductance: how loud one is against another is told
    by `sensitivity`, here as in a response.
    """
    if pickup.coil is not None:
        turns = pickup.coil.geometry.turns
    else:
        henries = [float(np.mean(p.inductance.magnitude)) for p in instrument.pickups]
        turns = usual_turns(float(np.exp(np.mean(np.log(henries)))))
    return (pickup.sensing or Sensing()).pole(turns)


def pluck_place(instrument: Instrument, pluck: Pluck) -> float:
    """Where the string is plucked, m from the bridge; refused on top of a pickup."""
    scale = scale_length(instrument)
    zones = [place(instrument, p) for p in instrument.pickups if p.distance_from_bridge is not None]
    if pluck.distance_from_bridge is None:
        ends = [x + side * (a / 2 + CLEAR) for x, a in zones for side in (-1, 1)]
        clear = [
            at
            for at in (scale * USUAL_PLUCK, *ends)
            if at > CLEAR and all(abs(at - x) >= a / 2 + CLEAR - 1e-9 for x, a in zones)
        ]
        return min(clear, key=lambda at: abs(at - scale * USUAL_PLUCK))
    at = float(pluck.distance_from_bridge.magnitude)
    for pickup in instrument.pickups:
        if pickup.distance_from_bridge is None:
            continue
        x, a = place(instrument, pickup)
        if abs(at - x) < a / 2:
            raise InputError.of(
                "pluck, distance_from_bridge",
                f"{mm(at)} is on top of pickup {pickup.name!r} ({mm(x - a / 2)} to {mm(x + a / 2)}), "
                "where the hand stops the string; pluck beside it",
            )
    return at


def vibration(
    instrument: Instrument,
    index: int,
    *,
    fret: float = 0,
    pluck: Pluck | None = None,
    partials: int = PARTIALS,
) -> Vibration:
    """What a string does when it is plucked.

    Parameters
    ----------
    instrument : Instrument
    index : int
        Of the string, in the order of the job file.
    fret : float
        0 is open.
    pluck : Pluck, optional
    partials : int
        Up to which number; both directions of motion have as many.

    Raises
    ------
    InputError
        For an instrument without strings or scale, a pluck on a pickup or
        beyond the fretted length, and numbers out of range.
    """
    scale, string = scale_length(instrument), string_of(instrument, index)
    if not 0 <= fret <= MOST_FRETS:
        raise InputError.of("fret", f"{fret:g} is not from 0 to {MOST_FRETS}")
    if not 1 <= partials <= MOST_PARTIALS:
        raise InputError.of("partials", f"{partials} is not from 1 to {MOST_PARTIALS}")
    pluck = pluck or Pluck()
    length = scale * 2.0 ** (-fret / 12)
    fundamental = float(string.frequency.m) * 2.0 ** (fret / 12)
    at = pluck_place(instrument, pluck)
    if at >= length:
        raise InputError.of(
            "pluck, distance_from_bridge",
            f"{mm(at)} is behind the hand at fret {fret:g}, {mm(length)} from the bridge",
        )
    wire = string.wire(scale)
    stiffness = float(inharmonicity(wire.rigidity, wire.tension(fundamental, length), length))
    n = np.arange(1, partials + 1)
    height, width, angle = (float(pluck.known(key).magnitude) for key in ("height", "width", "angle"))
    shape = plucked(n, at / length, height, width / length, stiffness)
    upward = partial_frequencies(fundamental, stiffness, n)
    along = upward * (1 + table("strings")["losses"]["detuning"])
    decays = [
        decay_rates(f, wire, losses, fundamental, length)
        for f, losses in zip((upward, along), _losses(), strict=True)
    ]
    return Vibration(
        string=string.label,
        fret=fret,
        length=length,
        fundamental=fundamental,
        wire=wire,
        numbers=np.tile(n, 2),
        frequencies=np.concatenate([upward, along]),
        decays=np.concatenate(decays),
        amplitudes=np.concatenate([shape * cos(angle), shape * sin(angle)]),
        sideways=np.repeat([False, True], partials),
    )


def _losses() -> tuple[Losses, Losses]:
    """Away from the body, where supports give more, and along it."""
    data = table("strings")["losses"]
    away = Losses(data["thermoelastic"], data["viscoelastic"], data["conductance"])
    return away, replace(away, conductance=away.conductance * data["sideways"])


def string_of(instrument: Instrument, index: int) -> String:
    """A string, counted from 0 in the order of the job file; refused where there is none."""
    if not instrument.strings:
        raise InputError.of(
            "instrument, strings", 'is missing; give the notes, such as ["E1", "A1", "D2", "G2"]'
        )
    if not 0 <= index < len(instrument.strings):
        labels = ", ".join(s.label for s in instrument.strings)
        raise InputError.of("string", f"{index + 1} is not one of the {len(instrument.strings)}: {labels}")
    return instrument.strings[index]


def displacement(instrument: Instrument, pickup: Pickup, moving: Vibration) -> Array:
    """Amplitude of each partial over a pickup, averaged over its aperture, m.

    Raises
    ------
    InputError
        Where the hand frets the string over or before the pickup.
    """
    x, aperture = place(instrument, pickup)
    if x + aperture / 2 > moving.length:
        raise InputError.of(
            f"pickup {pickup.name!r}, distance_from_bridge",
            f"{mm(x)} is under the fretting hand at fret {moving.fret:g}, "
            f"which leaves {mm(moving.length)} of string",
        )
    return moving.amplitudes * sensed(moving.numbers, x / moving.length, aperture / moving.length)


def coil_emf(instrument: Instrument, pickup: Pickup, moving: Vibration) -> Array:
    """Complex amplitude of each partial's EMF in the coil, V; without sign and sensitivity."""
    sideways, upward = sensor.slopes(pole_of(instrument, pickup))
    slope = np.where(moving.sideways, sideways, upward) * moving.wire.magnetic_area
    return 2j * np.pi * moving.frequencies * slope * displacement(instrument, pickup, moving)


def voltages(instrument: Instrument, position: Position, moving: Vibration) -> Array:
    """Complex amplitude of each partial at the amplifier, V.

    Every pickup's EMF goes through the solved circuit at the partial's own frequency.
    """
    transfer = solve(circuit(instrument, position), 2 * np.pi * moving.frequencies).transfer
    return sum(
        (
            sign * transfer[name] * coil_emf(instrument, instrument.pickup(name), moving)
            for name, sign in signal_emf(instrument, position).items()
        ),
        np.zeros(moving.numbers.size, dtype=complex),
    )


def assumed(instrument: Instrument) -> tuple[str, ...]:
    """Usual values a sound rests on, as parts of a sentence."""
    keys = {"distance": "distance to the strings", "face_field": "field at the poles' faces"}
    stands_in: dict[str, list[str]] = {}
    for pickup in instrument.pickups:
        sensing = pickup.sensing or Sensing()
        missing = [words for key, words in keys.items() if key in sensing.assumed()]
        counted = sensing.turns is not None or pickup.coil is not None
        missing += [] if counted else ["turns (from the inductance)"]
        missing += [] if pickup.aperture is not None else [f"aperture {mm(aperture_of(instrument, pickup))}"]
        for words in missing:
            stands_in.setdefault(words, []).append(pickup.name)
    told = []
    for words, names in stands_in.items():
        whose = "every pickup" if len(names) == len(instrument.pickups) else ", ".join(names)
        told.append(f"{words} of {whose}")
    strings = [s.label for s in instrument.strings if s.assumed_wire()]
    return (*told, f"gauges of {', '.join(strings)} (usual tension)") if strings else tuple(told)
