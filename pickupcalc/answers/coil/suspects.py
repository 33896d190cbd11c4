"""What may be the case with a coil, and what a meter would then show of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from pickupcalc.answers.coil.report import CoilReport
from pickupcalc.parts.coil import Coil
from pickupcalc.parts.metal import Material
from pickupcalc.parts.wire import Wire
from pickupcalc.physics.winding.field_problem import FieldProblem

GAUGES = range(38, 47)


@dataclass(frozen=True)
class Expected:
    """What a meter would show: resistance at 20 degC, and both series values at the frequency."""

    resistance: float
    inductance: float
    series_resistance: float


def shown(report: CoilReport, hertz: float) -> Expected:
    """What a bridge shows of the coil: its own capacitance raises both series values a little."""
    omega = 2 * np.pi * hertz
    z = complex(report.impedance[0])
    return Expected(float(report.resistance.m), z.imag / omega, z.real)


def suspects(
    coil: Coil, report: CoilReport, healthy: Expected, hertz: float
) -> Iterator[tuple[str, str, Expected, float]]:
    """Name, words, what the meters would show, and how surprising it is before any reading (in nats)."""
    yield "healthy", "the coil is healthy", healthy, 0.0
    added = healthy.series_resistance - healthy.resistance
    for share in np.geomspace(0.5, 1.6, 93):
        if abs(share - 1) > 0.04:
            told = f"it has about {share * report.turns:.0f} turns instead of {report.turns:.0f}"
            e = Expected(
                healthy.resistance * share,
                healthy.inductance * share**2,
                healthy.resistance * share + added * share**2,
            )
            yield "other number of turns", told, e, 2.5
    yield from _other_wire(coil, healthy, added)
    for shorted in np.geomspace(0.003, 0.5, 60):
        yield (
            "shorted turns",
            f"some {100 * shorted:.2g} % of the turns are shorted",
            _with_shorted_turns(healthy, added, shorted, hertz),
            3.0,
        )
    yield from _other_poles(coil, report, healthy, added)


def _other_wire(coil: Coil, healthy: Expected, added: float) -> Iterator[tuple[str, str, Expected, float]]:
    for gauge in GAUGES:
        ratio = (coil.wire.bare / Wire(awg=gauge).bare) ** 2
        if abs(ratio - 1) > 0.12:
            r = healthy.resistance * ratio
            told = f"the wire is {gauge} AWG rather than {coil.wire.told().split(',')[0]}"
            yield "other wire", told, Expected(r, healthy.inductance, r + added), 2.5


def _with_shorted_turns(healthy: Expected, added: float, shorted: float, hertz: float) -> Expected:
    """The shorted turns leave the winding and become a closed secondary beside it.

    Their own resistance is R s and inductance L s^2 for a share s of the turns, and they link the rest with
    nearly all their flux (0.9, a guess for turns lying anywhere in the winding).
    """
    r, x = healthy.resistance, healthy.inductance
    omega, rest = 2 * np.pi * hertz, 1 - shorted
    loop = r * shorted + 1j * omega * x * shorted**2
    linked = 0.9 * x * shorted * rest
    z = r * rest + added * rest**2 + 1j * omega * x * rest**2 + omega**2 * linked**2 / loop
    return Expected(r * rest, z.imag / omega, z.real)


def _other_poles(
    coil: Coil, report: CoilReport, healthy: Expected, added: float
) -> Iterator[tuple[str, str, Expected, float]]:
    """Poles missing, or of another metal; their share of the losses is not looked at."""
    if coil.poles is None:
        return
    air = float(report.air_inductance.m)
    yield "other poles", "the poles are missing", Expected(healthy.resistance, air, healthy.resistance), 4.0
    for name in ("alnico 5", "low-carbon steel"):
        if name == coil.poles.material.name:
            continue
        poles = replace(coil.poles, material=Material.of(name))
        rods = replace(coil, poles=poles).rods()
        value = float(FieldProblem(coil.geometry, rods).linkage(float(report.frequencies.m[0])).real)
        told = f"the poles are of {name} or alike"
        yield "other poles", told, Expected(healthy.resistance, value, healthy.resistance + added), 3.0
