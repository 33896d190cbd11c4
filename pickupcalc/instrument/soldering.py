"""Puts a position's pickups, controls and extra parts together, branch by branch."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.wiring import Leaf, Parallel, Reversed, Series, Wiring, WithParts
from pickupcalc.parts.controls import Blend, Bypass, Control, Tone, Volume
from pickupcalc.parts.pickup import Pickup
from pickupcalc.physics.circuit.network import Branch

TIP, SLEEVE = "tip", "sleeve"


@dataclass
class Soldering:
    """The branches of one position, added from the jack inwards, with the lugs at their ends.

    A control is taken from `own` when the pickups it serves have been joined, so what is left there was
    joined nowhere.
    """

    instrument: Instrument
    position: Position
    bare: bool = False
    branches: list[Branch] = field(default_factory=list)
    own: list[tuple[frozenset[str], Control, str]] = field(default_factory=list)
    after: list[tuple[Control, str]] = field(default_factory=list)
    lugs: dict[str, tuple[str, str]] = field(default_factory=dict)
    inside: list[tuple[str, ...]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.present = set(self.position.wiring.pickups())
        for control, label in zip(self.instrument.controls, self.instrument.control_labels(), strict=True):
            if control.pickups is None:
                self.after.append((control, label))
            elif isinstance(control, Blend):
                for name in self.present.intersection(control.pickups):
                    self.own.append((frozenset([name]), control.gang(name), f"{label}, {name}"))
            elif served := self.present.intersection(control.pickups):
                self.own.append((frozenset(served), control, label))

    def add(
        self,
        name: str,
        start: str,
        end: str,
        lugs: tuple[str, str] | None = None,
        *,
        emf: bool = False,
        **values: Any,
    ) -> None:
        """A branch, by a name no other has: a pickup's own name is kept for its coil."""
        taken = {b.name for b in self.branches} | (set() if emf else self.present)
        while name in taken:
            name += " again"
        self.branches.append(Branch(name, start, end, emf=emf, **values))
        if lugs:
            self.lugs[name] = lugs

    def master(self) -> None:
        source = "selector" if _dividers(self.after) else TIP
        self.wire(self.position.wiring, source, SLEEVE)
        self.ladder(self.after, source, TIP, SLEEVE)
        if self.own:
            _, _, label = self.own[0]
            where = f"position {self.position.name!r}"
            raise InputError.of(
                f"control {label!r}",
                f"serves pickups that {where} does not join side by side; give each its own",
            )

    def wire(self, wiring: Wiring, hot: str, cold: str) -> None:
        """An item between two nodes, with the controls that serve exactly its pickups."""
        if isinstance(wiring, (Reversed, WithParts)) or len(wiring.items) == 1:
            self.item(wiring, hot, cold)  # a control sits at the pickups' own leads, inside of these
            return
        wiring = self.grouped(wiring)
        names = frozenset(wiring.pickups())
        mine = [(c, label) for served, c, label in self.own if served == names]
        self.own = [entry for entry in self.own if entry[0] != names]
        inner = f"{', '.join(wiring.pickups())}: hot lead" if _dividers(mine) else hot
        self.item(wiring, inner, cold)
        self.ladder(mine, inner, hot, cold)

    def grouped(self, wiring: Wiring) -> Wiring:
        """Where controls serve some items of a parallel, these are joined first, the smallest group ahead."""
        if not isinstance(wiring, Parallel):
            return wiring
        for served in sorted((served for served, _, _ in self.own), key=len):
            inside = Parallel(tuple(item for item in wiring.items if served.issuperset(item.pickups())))
            if 1 < len(inside.items) < len(wiring.items) and served == set(inside.pickups()):
                rest = (item for item in wiring.items if item not in inside.items)
                wiring = Parallel((inside, *rest))
        return wiring

    def item(self, wiring: Wiring, hot: str, cold: str) -> None:
        match wiring:
            case Leaf():
                self.pickup(self.instrument.pickup(wiring.pickup), hot, cold)
            case Reversed():
                self.wire(wiring.item, cold, hot)
            case Parallel():
                for item in wiring.items:
                    self.wire(item, hot, cold)
            case Series():
                groups = [", ".join(item.pickups()) for item in wiring.items]
                nodes = [hot, *(f"joint of {a} and {b}" for a, b in pairwise(groups)), cold]
                for i, item in enumerate(wiring.items):
                    self.wire(item, nodes[i], nodes[i + 1])
            case WithParts():
                self.parts(wiring, hot, cold)

    def pickup(self, pickup: Pickup, hot: str, cold: str) -> None:
        resistance = pickup.resistance_at_20_degc.magnitude
        inductance, sections = pickup.sections
        leads = f"{pickup.name}: cold lead", f"{pickup.name}: hot lead"
        self.add(
            pickup.name,
            cold,
            hot,
            leads,
            resistance=resistance,
            inductance=inductance,
            sections=sections,
            emf=True,
        )
        if self.bare:
            return
        self.add(
            f"{pickup.name}: own capacitance", cold, hot, capacitance=pickup.known("capacitance").magnitude
        )
        if pickup.loss_resistance is not None:
            self.add(f"{pickup.name}: losses", cold, hot, resistance=pickup.loss_resistance.magnitude)

    def parts(self, wiring: WithParts, hot: str, cold: str) -> None:
        added, label = wiring.added, ", ".join(wiring.pickups())
        if self.bare:
            self.wire(wiring.item, hot, cold)
            return
        series: dict[str, Any] = {}
        if added.series_resistor is not None:
            series["resistance"] = added.series_resistor.magnitude
        if added.series_capacitor is not None:
            series["capacitance"] = added.series_capacitor.magnitude
        inner = f"{label}: behind series part" if series else hot
        self.wire(wiring.item, inner, cold)
        if series:
            self.chain(f"{label}: in series", inner, hot, **series)
        if added.parallel_resistor is not None:
            self.chain(f"{label}: resistor across", cold, inner, resistance=added.parallel_resistor.magnitude)
        if added.parallel_capacitor is not None:
            capacitance = added.parallel_capacitor.magnitude
            self.chain(f"{label}: capacitor across", cold, inner, capacitance=capacitance)

    def chain(self, name: str, start: str, end: str, **values: Any) -> None:
        """A resistor, a capacitor or both in series, with leads of their own."""
        first, last = f"{name}: one lead", f"{name}: other lead"
        if len(values) == 2:
            first, last = f"{name}: capacitor's free lead", f"{name}: resistor's free lead"
            self.inside.append((f"{name}: capacitor's other lead", f"{name}: resistor's other lead"))
        self.add(name, start, end, (first, last), **values)

    def ladder(self, controls: list[tuple[Control, str]], source: str, out: str, cold: str) -> None:
        """Controls between a source and an output, one divider after the other."""
        dividers = _dividers(controls)
        for control, label in controls:
            if isinstance(control, Tone):
                node = source if control.placed == "before volume" else out
                lugs = f"{label} capacitor: one lead", f"{label}: wiper"
                lower: tuple[str, ...] = f"{label}: lower lug", f"{label} capacitor: other lead"
                if control.resistor_across is not None:
                    lower = *lower, f"{label}: resistor across: one lead"
                    self.inside.append((f"{label}: upper lug", f"{label}: resistor across: other lead"))
                self.inside.append(lower)
                self.add(
                    label,
                    cold,
                    node,
                    lugs,
                    resistance=control.in_series.magnitude,
                    capacitance=control.capacitor.magnitude,
                )
        node = source
        for i, (volume, label) in enumerate(dividers):
            end = out if i == len(dividers) - 1 else f"{label}: output"
            self.volume(volume, label, node, end, cold)
            node = end

    def volume(self, volume: Volume, label: str, source: str, out: str, cold: str) -> None:
        """A divider; its upper lug is where the wiper stands when turned up, its lower when turned down."""
        upper, wiper, lower = (f"{label}: {lug}" for lug in ("upper lug", "wiper", "lower lug"))
        at_end = volume.fed_at == "end"
        foot, ends = (out, (upper, wiper)) if at_end else (source, (wiper, upper))
        self.add(f"{label}: above wiper", source, out, ends, resistance=volume.above.magnitude)
        self.add(f"{label}: below wiper", cold, foot, (lower, wiper), resistance=volume.below.magnitude)
        if volume.resistor_across is not None:
            across = f"{label}: resistor across"
            self.chain(across, cold, source if at_end else out, resistance=volume.resistor_across.magnitude)
        if volume.bypass is not None:
            self.bypass(volume.bypass, label, source, out)

    def bypass(self, bypass: Bypass, label: str, source: str, out: str) -> None:
        capacitance = bypass.capacitor.magnitude
        if bypass.resistor is None:
            self.chain(f"{label}: bypass", source, out, capacitance=capacitance)
            return
        resistance = bypass.resistor.magnitude
        if bypass.joined == "series":
            self.chain(f"{label}: bypass", source, out, resistance=resistance, capacitance=capacitance)
        else:
            self.chain(f"{label}: bypass capacitor", source, out, capacitance=capacitance)
            self.chain(f"{label}: bypass resistor", source, out, resistance=resistance)


def _dividers(controls: list[tuple[Control, str]]) -> list[tuple[Volume, str]]:
    return [(c, label) for c, label in controls if isinstance(c, Volume)]
