"""From an instrument and a position to the circuit that is solved, drawn and exported."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.instrument.soldering import SLEEVE, TIP, Soldering
from pickupcalc.parts.twin import mutual_inductance
from pickupcalc.physics.circuit.network import Circuit, Coupling

OUTSIDE = ("cable", "amplifier", "amplifier input")


@dataclass(frozen=True)
class Harness:
    """The circuit of a position, and where a person would put solder in it.

    Attributes
    ----------
    circuit : Circuit
    lugs : dict of str to (str, str)
        By branch: the lugs, leads or contacts at its start and its end. Branches
        inside a part (a coil's own capacitance) have none.
    inside : tuple of tuple of str
        Joints within one branch, as between a tone control and its capacitor.
    """

    circuit: Circuit
    lugs: dict[str, tuple[str, str]]
    inside: tuple[tuple[str, ...], ...]

    def joints(self) -> list[tuple[str, ...]]:
        """What to join with what: the lugs that meet at each node, the signal's path first."""
        met: dict[str, list[str]] = {node: [] for node in self.circuit.nodes}
        for b in self.circuit.branches:
            for node, lug in zip((b.start, b.end), self.lugs.get(b.name, ()), strict=False):
                if lug not in met[node]:
                    met[node].append(lug)
        ground = met.pop(self.circuit.ground)
        met[self.circuit.output].append("jack: tip")
        path = [*map(tuple, met.values()), *self.inside, (*ground, "jack: sleeve")]
        return [lugs for lugs in path if len(lugs) > 1]

    def parts(self) -> Circuit:
        """The circuit without what nobody can touch, for drawing."""
        shown = (*self.lugs, *OUTSIDE)
        return replace(
            self.circuit, branches=tuple(b for b in self.circuit.branches if b.name in shown), couplings=()
        )


def harness(instrument: Instrument, position: Position, *, loaded: bool = True) -> Harness:
    """The circuit of a position with its lugs; see `circuit`."""
    soldered = Soldering(instrument, position)
    soldered.master()
    if loaded:
        load = instrument.load
        soldered.add("cable", SLEEVE, TIP, capacitance=load.cable.magnitude)
        soldered.add("amplifier", SLEEVE, TIP, resistance=load.known("amplifier_resistance").magnitude)
        soldered.add("amplifier input", SLEEVE, TIP, capacitance=load.amplifier_capacitance.magnitude)
    network = Circuit(tuple(soldered.branches), TIP, SLEEVE, couplings(instrument, position))
    return Harness(network, soldered.lugs, tuple(soldered.inside))


def circuit(instrument: Instrument, position: Position, *, loaded: bool = True) -> Circuit:
    """The network of one position, between the jack's tip and sleeve.

    Parameters
    ----------
    instrument : Instrument
    position : Position
    loaded : bool
        Whether cable and amplifier hang on the jack.

    Returns
    -------
    Circuit
        Sources are named after their pickups. The signal's path is: pickup, its
        own controls, the selector's wiring, the controls after it, the jack.

    Raises
    ------
    InputError
        If a control serves pickups that the position does not join side by side.
    """
    return harness(instrument, position, loaded=loaded).circuit


def winding(instrument: Instrument, position: Position) -> Circuit:
    """The pickups of a position as joined, without capacitance, losses, controls or load.

    Capacitors in series with a pickup are taken as wires: what remains is the
    combination's resistance and inductance.
    """
    soldered = Soldering(replace(instrument, controls=()), position, bare=True)
    soldered.wire(position.wiring, TIP, SLEEVE)
    return Circuit(tuple(soldered.branches), TIP, SLEEVE, couplings(instrument, position))


def couplings(instrument: Instrument, position: Position) -> tuple[Coupling, ...]:
    """Mutual inductance of the twin coils that the position uses both of.

    Side by side, two windings of one sense take each other's flux away. Along the branches, which run from
    cold to hot, that is -h1 h2 |M|.
    """
    present = set(position.wiring.pickups())
    found = []
    for first in instrument.pickups:
        if first.coupled_to and {first.name, first.coupled_to} <= present:
            second = instrument.pickup(first.coupled_to)
            assert first.hum_sign and second.hum_sign  # checked when the instrument was made
            size = mutual_inductance(first, second)
            found.append(Coupling(first.name, second.name, -first.hum_sign * second.hum_sign * size))
    return tuple(found)
