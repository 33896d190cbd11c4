"""From a performance to the voltage at the amplifier, sample by sample. SI throughout.

Every partial below half the sample rate goes through the solved circuit at its own
frequency, so nothing folds back. The bent part of the flux, if wanted, is a
polynomial of third degree, formed at twice the rate: what it makes above half the
rate folds to no lower than that, and is left out before the rate is halved.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.hum.left import harmonics
from pickupcalc.answers.response import hum_emf, signal_emf
from pickupcalc.answers.sound import playing
from pickupcalc.errors import InputError
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.parts.performance import Performance, Record
from pickupcalc.parts.pickup import Pickup
from pickupcalc.physics.circuit.nodal import solve
from pickupcalc.physics.sound import sensor, synthesis
from pickupcalc.tables import table
from pickupcalc.units import to_si

RELEASE = 1.5e-3  # s: how long a finger takes to let go
END = 20e-3  # s: how the record fades at its end
FAINT = 1e-6  # of the motion: partials below it bend nothing
REACH_STEP = 0.25e-3  # m: the flux's polynomial is fitted over whole steps, and so seldom
ROOM = "transformer and rectifier"  # of the spectra of hum: a room with some appliances
GRID = 4096  # frequencies at which the circuit is solved for the bent part of the flux

Array = NDArray[Any]
Event = tuple[playing.Vibration, int]


def render(
    instrument: Instrument,
    positions: list[Position],
    performance: Performance,
    record: Record,
    partials: int = playing.PARTIALS,
) -> tuple[Array, Array]:
    """Signal and hum at the amplifier, V, each of shape (positions, samples)."""
    rate = float(record.rate.magnitude)
    samples = round(float(performance.seconds.magnitude) * rate)
    corner = None if record.low_pass is None else float(record.low_pass.magnitude)
    events = [
        (
            playing.vibration(instrument, string, fret=fret, pluck=performance.pluck, partials=partials),
            round(start * rate),
        )
        for string, fret, start in performance.events(len(instrument.strings) or 1)
    ]
    signal, release = np.zeros((len(positions), samples)), round(RELEASE * rate)
    cut = _stops(events, samples)
    for (moving, start), stop in zip(events, cut, strict=True):
        volts = np.stack([playing.voltages(instrument, p, moving) for p in positions])
        volts = volts * _colour(moving.frequencies, corner)
        sounds = synthesis.decaying_sinusoids(volts, moving.frequencies, moving.decays, stop - start, rate)
        signal[:, start:stop] += synthesis.faded(sounds, release, release if stop < samples else 0)
    if record.distortion:
        signal += _bent(instrument, positions, events, cut, samples, rate, corner)
    hum = np.zeros((len(positions), samples))
    if record.hum:
        for row, position in enumerate(positions):
            frequency, volts = hum_voltages(instrument, position, record)
            volts = volts * _colour(frequency, corner)
            hum[row] = synthesis.decaying_sinusoids(volts, frequency, 0 * frequency, samples, rate)[0]
    end = round(END * rate)
    return synthesis.faded(signal, 0, end), synthesis.faded(hum, 0, end)


def _stops(events: list[Event], samples: int) -> list[int]:
    """Each note rings until its own string is plucked again, or to the end."""
    return [
        min([later for other, later in events if other.string == moving.string and later > start] + [samples])
        for moving, start in events
    ]


def _colour(frequencies: Array, corner: float | None) -> Any:
    return 1.0 if corner is None else synthesis.low_pass(frequencies, corner)


def hum_voltages(instrument: Instrument, position: Position, record: Record) -> tuple[Array, Array]:
    """Hum at the amplifier: frequencies in Hz and complex amplitudes in V, each of shape (lines,).

    The field is taken as alike at all pickups and square to their coils. Two windings
    match as closely as the table "uncertainty" says, so a cancelling pair keeps a rest.
    """
    usual = table("hum")["usual"]
    field = to_si(usual["field"], "tesla") if record.room is None else float(record.room.magnitude)
    omega, strength = harmonics(instrument, ROOM)
    turns = np.mean([playing.pole_of(instrument, p).turns for p in instrument.pickups])
    linked = turns * to_si(usual["turn_area"], "meter**2")
    emf = omega * np.sqrt(2) * field * strength * linked
    transfer = solve(circuit(instrument, position), omega).transfer
    parts = np.stack([sign * transfer[name] for name, sign in hum_emf(instrument, position).items()])
    total = parts.sum(axis=0)
    if len(parts) > 1:  # windings differ, so nothing cancels entirely
        unlike = table("uncertainty")["assumed"]["hum_sensitivity"] / 2
        left = np.sqrt(np.abs(total) ** 2 + unlike**2 * np.sum(np.abs(parts) ** 2, axis=0))
        total = left * np.exp(1j * np.angle(total))
    return omega / (2 * np.pi), emf * total


def _bent(
    instrument: Instrument,
    positions: list[Position],
    events: list[Event],
    stops: list[int],
    samples: int,
    rate: float,
    corner: float | None,
) -> Array:
    """What the curvature of flux against distance adds, V, shape (positions, samples)."""
    names = list(dict.fromkeys(name for p in positions for name in p.wiring.pickups()))
    flux = np.zeros((len(names), 2 * samples))
    for row, name in enumerate(names):
        pickup = instrument.pickup(name)
        for (moving, start), stop in zip(events, stops, strict=True):
            added = _bent_flux(instrument, pickup, moving, 2 * (stop - start), 2 * rate)
            flux[row, 2 * start : 2 * stop] += added
            flux[row, 2 * stop :] += added[-1]  # no step where the next note begins
    hertz = np.linspace(0, rate / 2, GRID)
    gains = np.zeros((len(positions), len(names), GRID), dtype=complex)
    for i, position in enumerate(positions):
        transfer = solve(circuit(instrument, position), 2 * np.pi * hertz).transfer
        for name, sign in signal_emf(instrument, position).items():
            gains[i, names.index(name)] = sign * 2j * np.pi * hertz * transfer[name] * _colour(hertz, corner)
    return synthesis.filtered(flux, gains, 2 * rate, hertz, shrink=2)


def _bent_flux(
    instrument: Instrument, pickup: Pickup, moving: playing.Vibration, samples: int, rate: float
) -> Array:
    """Flux beyond that in proportion to the motion, Wb; zero at the moment of the pluck."""
    pole = playing.pole_of(instrument, pickup)
    amplitudes = playing.displacement(instrument, pickup, moving)
    kept = moving.frequencies < rate / 4  # the base band; its cube reaches three times as far
    rows = np.stack([amplitudes * kept * which for which in (moving.sideways, ~moving.sideways)])
    sideways, upward = synthesis.decaying_sinusoids(
        rows, moving.frequencies, moving.decays, samples, rate, FAINT
    )
    motion = max(np.abs(sideways).max(), np.abs(upward).max())
    if motion > sensor.FARTHEST * pole.distance:
        raise InputError.of(
            "pluck, height",
            f"moves the {moving.string} string by {motion * 1e3:.1f} mm over pickup {pickup.name!r}, "
            f"{pole.distance * 1e3:.1f} mm above its pole; for distortion pluck more gently",
        )
    reach = REACH_STEP * float(max(np.ceil(motion / REACH_STEP), 1))
    slope_s, slope_u = sensor.slopes(pole)
    u, s, uu, us, ss, uuu, suu, ssu, sss = sensor.polynomial(pole, reach)
    of_upward = upward * ((u - slope_u) + upward * (uu + upward * uuu))
    mixed = (s - slope_s) + upward * (us + upward * suu) + sideways * (ss + upward * ssu + sideways * sss)
    change = moving.wire.magnetic_area * (of_upward + sideways * mixed)
    return change - change[0]
