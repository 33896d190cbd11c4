"""The same circuit as a SPICE deck, so that any simulator can give a second opinion."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from pickupcalc.physics.circuit.network import Branch, Circuit


def spice_deck(
    circuit: Circuit, emf: Mapping[str, float], title: str = "pickups", points_per_decade: int = 100
) -> str:
    """A deck for an AC analysis from 20 Hz to 20 kHz that prints the voltage at the tip.

    Parameters
    ----------
    circuit : Circuit
        With one value for each part, not one per set.
    emf : mapping of str to float
        Volt, by the name of the source's branch.
    title : str
        For the deck's first line.
    points_per_decade : int

    Returns
    -------
    str
        Elements of Berkeley SPICE3 syntax: R, L, C, K and V. A branch of
        exactly nothing makes one node of two, since a simulator's elimination
        has no use for a nano-ohm.
    """
    numbers = _numbers(circuit)
    lines = [f"* {_plain(title)}"]
    if numbers[circuit.output] == "0":
        lines.append("Rsilent tip 0 1")
    inductors = {}
    for i, b in enumerate(circuit.branches, 1):
        if _is_wire(b):
            lines.append(f"* {_plain(b.name)}: a wire, its ends are {numbers[b.start]}")
            continue
        lines.append(f"* {_plain(b.name)}")
        chain, inductors[b.name] = _elements(b, str(i), emf.get(b.name, 0.0))
        ends = [numbers[b.start], *(f"x{i}_{k}" for k in range(1, len(chain))), numbers[b.end]]
        for k, element in enumerate(chain):
            lines += [line.format(a=ends[k], b=ends[k + 1]) for line in element]
    for k, c in enumerate(circuit.couplings, 1):
        factor = float(np.asarray(c.inductance)) / np.sqrt(
            float(np.asarray(_branch(circuit, c.first).inductance))
            * float(np.asarray(_branch(circuit, c.second).inductance))
        )
        lines.append(f"K{k} {inductors[c.first]} {inductors[c.second]} {factor:.17g}")
    lines += [f".ac dec {points_per_decade} 20 20k", ".print ac vr(tip) vi(tip)", ".end", ""]
    return "\n".join(lines)


def _elements(b: Branch, number: str, emf: float) -> tuple[list[list[str]], str]:
    """The branch as elements in series, each a list of lines with {a} and {b} for its nodes."""
    chain: list[list[str]] = []
    resistance, inductance = float(np.asarray(b.resistance)), float(np.asarray(b.inductance))
    if b.emf:
        # The source's first node is its positive one: an EMF drives current towards the end.
        chain.append([f"V{number} {{b}} {{a}} dc 0 ac {emf:.17g}"])
    if resistance:
        chain.append([f"R{number} {{a}} {{b}} {resistance:.17g}"])
    if inductance:
        chain.append([f"L{number} {{a}} {{b}} {inductance:.17g}"])
    for k, (r, x) in enumerate(b.sections):
        r, x = float(np.asarray(r)), float(np.asarray(x))
        chain.append([f"R{number}s{k} {{a}} {{b}} {r:.17g}", f"L{number}s{k} {{a}} {{b}} {x:.17g}"])
    if b.capacitance is not None:
        chain.append([f"C{number} {{a}} {{b}} {float(np.asarray(b.capacitance)):.17g}"])
    return chain, f"L{number}"


def _numbers(circuit: Circuit) -> dict[str, str]:
    """A short name for each node; nodes joined by wires share one, 0 before tip before the rest."""
    group = {node: node for node in circuit.nodes}
    for b in circuit.branches:
        if _is_wire(b):
            old, new = group[b.end], group[b.start]
            group = {node: new if g == old else g for node, g in group.items()}
    names = {group[circuit.ground]: "0"}
    names.setdefault(group[circuit.output], "tip")
    for node in circuit.nodes:
        names.setdefault(group[node], f"n{len(names) - 1}")
    return {node: names[g] for node, g in group.items()}


def _is_wire(b: Branch) -> bool:
    empty = not (b.emf or b.sections) and b.capacitance is None
    return empty and not np.any(b.resistance) and not np.any(b.inductance)


def _branch(circuit: Circuit, name: str) -> Branch:
    return next(b for b in circuit.branches if b.name == name)


def _plain(text: str) -> str:
    """Names are free text: only what cannot end a comment line goes into a deck."""
    return "".join(c if c.isprintable() and c.isascii() else "?" for c in text)
