"""A coil as its bobbin, wire and metal tell of it: checked, completed, and turned into the field problem."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.errors import Fault, InputError, slip_of
from pickupcalc.parts.coil_fits import MOST_TURNS, misfits
from pickupcalc.parts.fields import (
    Amount,
    Inner,
    MaybeAmount,
    Part,
    Several,
    SinglePart,
    checked,
    choice,
    measured,
    number,
    part,
    several,
)
from pickupcalc.parts.metal import Bar, Plate, Poles, Slot, tolerances
from pickupcalc.parts.wire import Wire
from pickupcalc.physics.winding.geometry import Rods, Sheet, Winding
from pickupcalc.physics.winding.ladder import Ladder, fit
from pickupcalc.physics.winding.wire import CLOSEST, layer_capacitance
from pickupcalc.tables import table
from pickupcalc.units import celsius

if TYPE_CHECKING:
    from pickupcalc.physics.winding.field_problem import FieldProblem

MOST_PLATES = 6
BAR_GAP = 20e-6  # m; a bar never lies closer than lacquer and burrs
PARTS: dict[str, type[Part]] = {"wire": Wire, "poles": Poles, "bar": Bar, "plates": Plate, "slots": Slot}


@dataclass(frozen=True, kw_only=True)
class Coil(SinglePart):
    """A winding with what is round it. Of turns, build and resistance, two give the third.

    The straight sides lie along x, the strings' side is +z, z = 0 is the middle of the winding.

    Parameters
    ----------
    shape : {"racetrack", "round"}
    straight : Quantity or str
        Length of each straight side; 0 or left out for a round coil.
    inner_radius, height, build : Quantity or str
        End radius of the innermost turn, height between the flanges, radial thickness of the winding.
    turns : float
    resistance : Quantity or str, optional
        Direct current, at `resistance_temperature`.
    packing : float, optional
        turns x overall wire diameter^2 / (height x build), in place of one of the three.
    wire : Wire or mapping
    poles, bar, plates : optional
    tolerance : mapping, optional
        Sizes that replace those of the table "coil".
    """

    shape: str = choice("racetrack", "round", default="racetrack")
    straight: Amount = measured("meter", default="0 mm", at_least=0)
    inner_radius: Amount = measured("meter", above=0)
    height: Amount = measured("meter", above=0)
    build: MaybeAmount = measured("meter", default=None, above=0)
    turns: Any = number(default=None, at_least=1, at_most=MOST_TURNS)
    resistance: MaybeAmount = measured("ohm", default=None, above=0)
    resistance_temperature: Amount = measured("kelvin", default="20 degC", above=200)
    packing: Any = number(default=None, at_least=0.05, at_most=2.0)
    wire: Inner[Wire] = part(Wire)
    winding: str | None = choice("clockwise", "counter-clockwise", default=None)
    poles: Inner[Poles | None] = part(Poles, default=None)
    bar: Inner[Bar | None] = part(Bar, default=None)
    plates: Several[Plate] = several(Plate, MOST_PLATES, "[{ material = .., .. }]", default=())
    tolerance: Any = checked(tolerances, default=None)

    @classmethod
    def of(cls, given: Any) -> Coil:
        """From a table. A key not known here is refused: a geometry is made of all its keys."""
        faults = _strange_keys(given, cls, PARTS)
        try:
            made = super().of(given)
        except InputError as error:
            faults += error.faults
        if faults:
            raise InputError(faults)
        return made

    def _contradictions(self) -> list[Fault]:
        return misfits(self)

    @property
    def bar_top(self) -> float:
        """Height of the bar's upper face above the coil's middle, m."""
        assert self.bar is not None and self.poles is not None
        return float(self.poles.bottom - max(self.bar.below.m, BAR_GAP))

    @cached_property
    def wound(self) -> tuple[float, float]:
        """Turns and build (m) from the two that were given."""
        area = self.wire.over_film**2 / self.height.m
        if self.turns is not None and self.build is not None:
            return float(self.turns), float(self.build.m)
        if self.packing is not None:
            return self._from_packing(area)
        ohm, per_metre = self._measured
        length, inner = ohm / per_metre, self._innermost
        if self.build is not None:
            return length / (inner + np.pi * self.build.m), float(self.build.m)
        build = (length / self.turns - inner) / np.pi
        if build <= 0:
            raise ValueError(
                f"{ohm:.0f} ohm is less than {self.turns:.0f} turns of this wire can have:"
                f" {self.turns * inner * per_metre:.0f} ohm if every turn were an innermost one"
            )
        return float(self.turns), float(build)

    @property
    def _measured(self) -> tuple[float, float]:
        """The resistance that was given, and that of a metre of the wire as warm, ohm."""
        assert self.resistance is not None
        warm = celsius(self.resistance_temperature.m)
        return float(self.resistance.m), float(self.wire.resistance_per_metre(warm).m)

    @property
    def _innermost(self) -> float:
        """Length of an innermost turn, m."""
        return float(2 * self.straight.m + 2 * np.pi * self.inner_radius.m)

    def _from_packing(self, area: float) -> tuple[float, float]:
        """`area` is the build that one turn would need at packing 1."""
        if self.turns is not None:
            return float(self.turns), float(self.turns * area / self.packing)
        if self.build is not None:
            return float(self.build.m * self.packing / area), float(self.build.m)
        ohm, per_metre = self._measured
        length, inner, per_turn = ohm / per_metre, self._innermost, np.pi * area / self.packing
        turns = (np.sqrt(inner**2 + 4 * per_turn * length) - inner) / (2 * per_turn)
        return float(turns), float(turns * area / self.packing)

    @cached_property
    def geometry(self) -> Winding:
        """The winding as the field computation takes it."""
        turns, build = self.wound
        return Winding(float(self.straight.m), float(self.inner_radius.m), build, float(self.height.m), turns)

    @cached_property
    def problem(self) -> FieldProblem:
        """The field problem with everything in it."""
        from pickupcalc.physics.winding.field_problem import FieldProblem  # most jobs never need it

        return FieldProblem(self.geometry, self.rods(), self.sheets())

    def rods(self) -> Rods | None:
        """The poles as the field computation takes them; None where they are as good as air."""
        p = self.poles
        if p is None or (p.material.permeability == 1 and p.material.conductivity.m == 0):
            return None
        metal = float(p.material.permeability), float(p.material.conductivity.m)
        return Rods(p.count, float(p.diameter.m), float(p.length.m), p.step, float(p.offset.m), *metal)

    def sheets(self) -> tuple[Sheet, ...]:
        """Plates and bar as the field computation takes them, those as good as air left out."""
        made = [plate.sheet() for plate in self.plates]
        if self.bar is not None:
            b = self.bar
            middle = self.bar_top - b.thickness.m / 2
            sides = float(b.length.m), float(b.width.m), float(b.thickness.m), float(middle)
            made.append(Sheet(*sides, float(b.material.permeability), float(b.material.conductivity.m)))
        return tuple(s for s in made if s.permeability > 1 or s.conductivity > 0)

    @property
    def wire_length(self) -> float:
        """Length of the wire as wound, m."""
        return self.geometry.turns * self.geometry.mean_turn

    @property
    def dc_resistance(self) -> float:
        """Direct-current resistance at 20 degC, ohm."""
        return self.wire_length * float(self.wire.resistance_per_metre().m)

    @property
    def packed(self) -> float:
        """turns x overall diameter^2 / window: 0.6 scattered, 0.9 machine-laid, 1.15 the closest possible."""
        turns, build = self.wound
        return turns * self.wire.over_film**2 / (build * self.height.m)

    @cached_property
    def low_frequency_inductance(self) -> float:
        """Inductance at the limit of low frequency, H."""
        return float(self.problem.linkage(0.0).real)

    @cached_property
    def own_capacitance(self) -> float:
        """Estimate of the winding's own capacitance, F."""
        g = self.geometry
        permittivity = table("coil")["usual"]["permittivity"]
        bare, overall = self.wire.bare, max(self.wire.over_film, self.wire.bare * 1.01)
        return layer_capacitance(g.turns, g.mean_turn, g.height, g.build, bare, overall, permittivity)

    @cached_property
    def network(self) -> Ladder:
        """The winding's inductance and losses from 20 Hz to 20 kHz as a short network."""
        hertz = np.concatenate(([0.0], np.geomspace(20.0, 20e3, 40)))
        return fit(2 * np.pi * hertz, self.problem.linkages(hertz))

    @property
    def too_full(self) -> bool:
        """Whether round wire of this overall diameter cannot lie so close."""
        return self.packed > 1 / CLOSEST


def _strange_keys(given: Any, kind: type[Part], inner: Mapping[str, type[Part]]) -> list[Fault]:
    """Keys that mean nothing here, at any depth; `inner` tells what part a key's table or tables make."""
    faults: list[Fault] = []
    if not isinstance(given, Mapping):
        return faults
    known = kind.keys()
    for key, value in given.items():
        if key not in known:
            meant = slip_of(key, known)
            hint = f"did you mean {meant}?" if meant else f"there are: {', '.join(known)}"
            faults.append(Fault(str(key), f"is not known; {hint}"))
        elif key in inner:
            tables = value if isinstance(value, (list, tuple)) else [value]
            for i, each in enumerate(tables, 1):
                where = f"{key}, {i}" if tables is value else str(key)
                faults += [
                    Fault(f"{where}, {f.key}", f.message) for f in _strange_keys(each, inner[key], inner)
                ]
    return faults
