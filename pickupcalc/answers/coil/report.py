"""How many henries: resistance, inductance, losses and own capacitance of a coil, from its geometry."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.coil.uncertainty import Doubt, uncertainty
from pickupcalc.limits import COIL_FREQUENCIES
from pickupcalc.parts.coil import Coil
from pickupcalc.physics.winding.ladder import Ladder, fit
from pickupcalc.units import Frequencies, engineering, quantity
from pickupcalc.units import frequencies as frequencies_in_hertz

if TYPE_CHECKING:
    from pint import Quantity

DEFAULT_FREQUENCIES = (20.0, 20e3, 60)  # Hz: from, to, how many
HIGHEST = 200e3  # Hz; above, the winding's own capacitance has long taken over
LENGTHS = ("turns", "mean_turn_m", "wire_length_m")  # told without their cause, which is plain
LOOSE = 0.45  # packing below which the build is more air than wire


@dataclass(frozen=True)
class CoilReport:
    """What a coil will measure.

    Attributes
    ----------
    coil : Coil
    turns : float
    build, wire_length, mean_turn : Quantity
    wire_mass : Quantity
        Copper; the film adds some 5 to 15 % on a spool.
    resistance : Quantity
        Direct current, 20 degC.
    air_inductance, inductance : Quantity
        Of the winding alone, and with poles, bar and plates at low frequency.
    capacitance : Quantity
        The winding's own, estimated from ideal layers.
    frequencies, inductance_at, resistance_at : Quantity, shape (frequencies,)
        Series values of the winding with its metal, without its own capacitance.
    grid, linkage : ndarray, shape (points,)
        Frequencies (Hz) from 0 to 20 kHz and the complex inductance (H) that `network` is fitted to.
    uncertainty : mapping of str to Doubt
        By the names used in `as_json`.
    notes : tuple of str
        What a winder should know.
    """

    coil: Coil
    turns: float
    build: Quantity
    wire_length: Quantity
    mean_turn: Quantity
    wire_mass: Quantity
    resistance: Quantity
    air_inductance: Quantity
    inductance: Quantity
    capacitance: Quantity
    frequencies: Quantity
    inductance_at: Quantity
    resistance_at: Quantity
    grid: NDArray[Any]
    linkage: NDArray[Any]
    uncertainty: Mapping[str, Doubt]
    notes: tuple[str, ...]

    @cached_property
    def network(self) -> Ladder:
        """The winding with its metal as R-L sections for circuits, with its error."""
        return fit(2 * np.pi * self.grid, self.linkage)

    @property
    def self_resonance(self) -> Quantity:
        """Where the own capacitance resonates with the coil."""
        return quantity(own_resonance(self.network, float(self.capacitance.m)), "hertz")

    @property
    def impedance(self) -> NDArray[Any]:
        """Complex impedance at the frequencies, ohm, own capacitance included."""
        omega = 2 * np.pi * self.frequencies.m
        series = self.resistance_at.m + 1j * omega * self.inductance_at.m
        return series / (1 + 1j * omega * self.capacitance.m * series)

    def as_json(self) -> dict[str, Any]:
        """SI numbers by the names of the command line's contract."""
        return {
            "turns": self.turns,
            "build_m": float(self.build.m),
            "wire_length_m": float(self.wire_length.m),
            "mean_turn_m": float(self.mean_turn.m),
            "wire_mass_kg": float(self.wire_mass.m),
            "packing": self.coil.packed,
            "resistance_ohm": float(self.resistance.m),
            "air_inductance_h": float(self.air_inductance.m),
            "inductance_h": float(self.inductance.m),
            "capacitance_f": float(self.capacitance.m),
            "self_resonance_hz": float(self.self_resonance.m),
            "frequencies_hz": self.frequencies.m.tolist(),
            "inductance_h_at": self.inductance_at.m.tolist(),
            "resistance_ohm_at": self.resistance_at.m.tolist(),
            "network": {
                "series_resistance_ohm": float(self.resistance.m),
                "series_inductance_h": self.network.inductance,
                "sections": [{"resistance_ohm": r, "inductance_h": x} for r, x in self.network.sections],
                "largest_error": self.network.error,
            },
            "uncertainty": {key: share.fraction for key, share in self.uncertainty.items()},
            "dominated_by": {key: share.dominated_by for key, share in self.uncertainty.items()},
            "computed": True,
            "notes": list(self.notes),
        }

    def _repr_html_(self) -> str:
        from html import escape

        rows = "".join(f"<tr><td>{escape(a)}</td><td>{escape(b)}</td></tr>" for a, b in self.rows())
        return f"<table>{rows}</table>"

    def rows(self) -> list[tuple[str, str]]:
        """Names and figures as a repairer says them, with how far each may be off."""
        figures = [
            ("turns", f"{self.turns:.0f}", "turns"),
            ("mean turn", engineering(self.mean_turn.m, "m"), "mean_turn_m"),
            ("wire", engineering(self.wire_length.m, "m"), "wire_length_m"),
            ("resistance at 20 degC", engineering(self.resistance.m, "Ω"), "resistance_ohm"),
            ("inductance in air", engineering(self.air_inductance.m, "H"), "air_inductance_h"),
            ("inductance with its metal", engineering(self.inductance.m, "H"), "inductance_h"),
            ("own capacitance", engineering(self.capacitance.m, "F", 2), "capacitance_f"),
            ("own resonance", engineering(self.self_resonance.m, "Hz", 2), "self_resonance_hz"),
        ]
        return [(name, f"{told}{self._give_or_take(key)}") for name, told, key in figures]

    def _give_or_take(self, key: str) -> str:
        share = self.uncertainty.get(key)
        if share and share.fraction and key in LENGTHS:
            return f" ±{100 * share.fraction:.2g} %"
        return (
            f" ±{100 * share.fraction:.2g} %, mostly {share.dominated_by}" if share and share.fraction else ""
        )


def coil_report(coil: Coil, frequencies: Frequencies = None, *, uncertain: bool = True) -> CoilReport:
    """Everything about a coil.

    Parameters
    ----------
    coil : Coil
    frequencies : Quantity or sequence of str, optional
        60 from 20 Hz to 20 kHz if left out; at most 200 kHz.
    uncertain : bool
        Whether to work out the uncertainties, which takes about as long as the rest.

    Returns
    -------
    CoilReport

    Raises
    ------
    InputError
        For frequencies that are none, or too many, or outside of 0 to 200 kHz.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> size = dict(straight="55 mm", inner_radius="2.5 mm", height="11 mm", build="3.2 mm")
    >>> coil = pc.Coil(**size, turns=7900, wire={"awg": 42})
    >>> told = pc.coil_report(coil, ["1 kHz"], uncertain=False)
    >>> f"{told.wire_length.m:.0f} m of wire, {told.capacitance.m_as('pF'):.0f} pF"
    '1073 m of wire, 82 pF'
    """
    hertz = frequencies_in_hertz(frequencies, DEFAULT_FREQUENCIES, COIL_FREQUENCIES, HIGHEST)
    problem = coil.problem
    full = np.unique(np.concatenate((np.geomspace(20.0, 20e3, 40), hertz)))
    values = problem.linkages(full)
    rest = problem.linkage(0.0)
    audible = full <= 20e3
    linkage = np.array([rest if f == 0 else values[np.searchsorted(full, f)] for f in hertz])
    resistance = coil.dc_resistance
    return CoilReport(
        coil=coil,
        turns=coil.geometry.turns,
        build=quantity(coil.geometry.build, "meter"),
        wire_length=quantity(coil.wire_length, "meter"),
        mean_turn=quantity(coil.geometry.mean_turn, "meter"),
        wire_mass=quantity(coil.wire_length * coil.wire.mass_per_metre, "kilogram"),
        resistance=quantity(resistance, "ohm"),
        air_inductance=quantity(problem.air_inductance, "henry"),
        inductance=quantity(float(rest.real), "henry"),
        capacitance=quantity(coil.own_capacitance, "farad"),
        frequencies=quantity(hertz, "hertz"),
        inductance_at=quantity(linkage.real.copy(), "henry"),
        resistance_at=quantity(resistance - 2 * np.pi * hertz * linkage.imag, "ohm"),
        grid=np.concatenate(([0.0], full[audible])),
        linkage=np.concatenate(([rest], values[audible])),
        uncertainty=uncertainty(coil) if uncertain else {},
        notes=notes(coil),
    )


def own_resonance(network: Ladder, capacitance: float) -> float:
    """Frequency (Hz) where the winding's falling inductance resonates with its own capacitance (F)."""
    low, high = 1e2, 1e7

    def excess(hertz: float) -> float:
        omega = 2 * np.pi * hertz
        return float(omega**2 * network.linkage(np.array([omega]))[0].real * capacitance - 1)

    for _ in range(60):
        middle = np.sqrt(low * high)
        low, high = (middle, high) if excess(middle) < 0 else (low, middle)
    return float(np.sqrt(low * high))


def notes(coil: Coil) -> tuple[str, ...]:
    """What a winder should know of this coil and of what was left out."""
    told = []
    if coil.too_full:
        told.append(
            f"packing {coil.packed:.2f} is closer than round wire of {coil.wire.told()} can lie (1.15):"
            " check build, turns and coating"
        )
    elif coil.packed < LOOSE:
        told.append(f"packing {coil.packed:.2f} is looser than scattered hand winding (0.6): check the build")
    if coil.poles is not None:
        for i, plate in enumerate(coil.plates, 1):
            low, high = plate.span
            if low < coil.poles.top and high > coil.poles.bottom:
                told.append(f"plate {i} is pierced by the poles; it is computed without the holes")
    if any(block.sheet.permeability > 1.5 for block in coil.problem.blocks):
        told.append("magnetic plates and bars near the poles: their share is good to about 10 %")
    return tuple(told)
