"""Nodal analysis of a linear network, for many frequencies and many sets of values at once.

A network is a list of branches between named nodes. It is solved by the
star-mesh transformation: a node is taken out by joining its neighbours pairwise
with g_i g_j / sum(g), which is Gaussian elimination of the nodal admittance
matrix written without its diagonal. Nothing is subtracted, so a branch of a
nano-ohm beside one of a megohm costs no accuracy, and every step is one array
operation over all frequencies and sets together.

Source of the method: nodal analysis and reciprocity as in any circuit theory
text, e.g. Desoer and Kuh, *Basic Circuit Theory* (1969), chs. 10 and 16; the
star-mesh transformation is due to A. Rosen, J. IEE 62, 916 (1924).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import cache, reduce
from itertools import combinations
from operator import add
from os import cpu_count
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from pickupcalc.physics.circuit.network import Array, Branch, Circuit, Coupling, column, complex_of

LARGEST_KEPT = 30_000_000  # bytes; glibc adapts up to 32 MiB
BLOCK = 65_536  # values worked on at a time, so that a block's arrays stay in the cache


@dataclass(frozen=True)
class Solution:
    """What the network does at the output, shape (frequencies,) or (sets, frequencies).

    Attributes
    ----------
    impedance : ndarray of complex
        Between output and ground, ohm; infinite where nothing connects them.
    transfer : dict of ndarray of complex
        Output voltage for an EMF of 1 V in each source alone.
    """

    impedance: Array
    transfer: dict[str, Array]

    def mix(self, emf: Mapping[str, ArrayLike]) -> Array:
        """Output voltage for these EMFs together, each a number or shape (sets,)."""
        pairs = ((np.asarray(v), self.transfer[name]) for name, v in emf.items())
        return _sum(h if np.all(v == 1) else column(v) * h for v, h in pairs)


def solve(circuit: Circuit, omega: ArrayLike) -> Solution:
    """Solve a network.

    Parameters
    ----------
    circuit : Circuit
    omega : array_like
        Angular frequency, rad/s, shape (frequencies,) or (sets, frequencies).
        Zero is allowed: capacitors are open, inductors are wires.

    Returns
    -------
    Solution
    """
    omega = np.asarray(omega, dtype=float)
    lumps = _lumps(circuit)
    admittances = {b.name: b.admittance(omega) for b in circuit.branches if b.name not in lumps}
    graph = _graph(circuit, admittances, lumps, omega)
    edges = _coupled(circuit, admittances, graph, omega)
    order = _eliminate(graph, keep=(circuit.output, circuit.ground))
    between = graph[circuit.output].get(circuit.ground, np.zeros(()))
    with np.errstate(divide="ignore", invalid="ignore"):
        impedance = 1 / np.asarray(between, dtype=complex)
        if np.any(between == 0):
            impedance = np.where(between == 0, np.inf, impedance)
    # By reciprocity the voltages that 1 A at the output leaves at all nodes
    # are the answers to all sources at once.
    voltage: dict[str, Any] = {circuit.output: impedance, circuit.ground: None}
    with np.errstate(invalid="ignore"):
        for node, weights in reversed(order):
            voltage[node] = _sum(w * voltage[n] for n, w in weights.items())
        transfer = {
            source: _sum(y * _rise(voltage, start, end) for start, end, y in parts)
            for source, parts in edges.items()
        }
    shape = np.broadcast_shapes(*(np.shape(a) for a in (omega, impedance, *transfer.values())))
    return Solution(
        np.broadcast_to(impedance, shape), {name: np.broadcast_to(h, shape) for name, h in transfer.items()}
    )


def sweep(circuit: Circuit, omega: ArrayLike, emf: Mapping[str, ArrayLike]) -> Array:
    """Output voltage for EMFs together, for any number of sets, in bounded memory.

    The sets are cut into blocks that fit the processor's cache, which all
    cores share out.

    Parameters
    ----------
    circuit : Circuit
        Values that vary have shape (sets,).
    omega : array_like
        rad/s, shape (frequencies,).
    emf : mapping of str to array_like
        Volt, by the name of the source's branch.

    Returns
    -------
    ndarray of complex, shape (frequencies,) or (sets, frequencies)
    """
    keep_freed_memory()
    omega = np.asarray(omega, dtype=float)
    sets = circuit.sets
    if sets is None:
        return np.asarray(solve(circuit, omega).mix(emf))
    out = np.empty((sets, omega.size), dtype=complex)
    step = max(1, BLOCK // omega.size)

    def block(start: int) -> None:
        rows = slice(start, start + step)
        some = {name: _rows(v, rows) for name, v in emf.items()}
        out[rows] = solve(_part(circuit, rows), omega).mix(some)

    with ThreadPoolExecutor(cpu_count()) as pool:
        list(pool.map(block, range(0, sets, step)))
    return out


@cache
def keep_freed_memory() -> None:
    """Let the C library keep what an array gives back for the next one.

    At first it returns every array above 128 kB to the system and gets it back
    page by page, which takes longer than the arithmetic. It adapts to the
    largest block it has seen freed, so one is shown to it (glibc's mallopt(3),
    M_MMAP_THRESHOLD; without effect elsewhere). Nothing is written to it.
    """
    np.empty(LARGEST_KEPT, dtype=np.uint8)


def _sum(terms: Iterable[Array]) -> Any:
    """The sum without a pass for adding the first term to zero; zero where there is none."""
    return reduce(add, terms) if (terms := list(terms)) else np.zeros(())


def _lumps(circuit: Circuit) -> dict[str, tuple[Array, Array]]:
    """Bare resistors and capacitors by name: what lies side by side is added up before frequency enters."""
    coupled = {name for c in circuit.couplings for name in (c.first, c.second)}
    found = ((b.name, b.lump) for b in circuit.branches if b.name not in coupled)
    return {name: lump for name, lump in found if lump is not None}


def _graph(
    circuit: Circuit, admittances: dict[str, Array], lumps: dict[str, tuple[Array, Array]], omega: Array
) -> dict[str, dict[str, Any]]:
    graph: dict[str, dict[str, Any]] = {node: {} for node in circuit.nodes}
    side_by_side: dict[tuple[str, str], list[tuple[Array, Array]]] = {}
    for b in circuit.branches:
        if b.name in lumps:
            side_by_side.setdefault((min(b.start, b.end), max(b.start, b.end)), []).append(lumps[b.name])
        else:
            _join(graph, b.start, b.end, admittances[b.name])
    for (start, end), parts in side_by_side.items():
        conductance, capacitance = (_sum(values) for values in zip(*parts, strict=True))
        y = complex_of(conductance, omega * capacitance) if np.any(capacitance) else conductance
        _join(graph, start, end, y)
    return graph


def _join(graph: dict[str, dict[str, Any]], a: str, b: str, y: Array) -> None:
    """Put an admittance between two nodes, in parallel with what is there."""
    if a != b:
        graph[a][b] = graph[b][a] = graph[a][b] + y if b in graph[a] else y


def _coupled(
    circuit: Circuit, admittances: dict[str, Array], graph: dict[str, dict[str, Any]], omega: Array
) -> dict[str, list[tuple[str, str, Array]]]:
    """Bring mutual inductance into the graph; list through which branches each source acts.

    The admittances of coupled branches are a matrix. Its off-diagonal entries
    act as a lattice of four branches between the ends of the two.
    """
    by_name = {b.name: b for b in circuit.branches}
    acts = {name: [(by_name[name].start, by_name[name].end, admittances[name])] for name in circuit.sources}
    for group in _groups(circuit.couplings):
        members = [by_name[name] for name in group]
        matrix = _admittance_matrix(members, circuit.couplings, omega)
        for i, b in enumerate(members):
            _join(graph, b.start, b.end, matrix[..., i, i] - admittances[b.name])
            if b.emf:
                acts[b.name] = [(m.start, m.end, matrix[..., i, j]) for j, m in enumerate(members)]
        for (i, p), (j, q) in combinations(enumerate(members), 2):
            y = matrix[..., i, j]
            for start, end, sign in _lattice(p, q):
                _join(graph, start, end, sign * y)
    return acts


def _lattice(p: Branch, q: Branch) -> tuple[tuple[str, str, int], ...]:
    return ((p.start, q.start, -1), (p.end, q.end, -1), (p.start, q.end, 1), (p.end, q.start, 1))


def _groups(couplings: tuple[Coupling, ...]) -> list[list[str]]:
    groups: list[list[str]] = []
    for c in couplings:
        touched = [g for g in groups if c.first in g or c.second in g]
        groups = [g for g in groups if g not in touched]
        groups.append(list(dict.fromkeys([*(n for g in touched for n in g), c.first, c.second])))
    return groups


def _admittance_matrix(members: list[Branch], couplings: tuple[Coupling, ...], omega: Array) -> Array:
    index = {b.name: i for i, b in enumerate(members)}
    entries: dict[tuple[int, int], Any] = {(i, i): b.impedance(omega) for i, b in enumerate(members)}
    for c in couplings:
        if c.first in index:
            pair = index[c.first], index[c.second]
            entries[pair] = entries[pair[::-1]] = 1j * omega * column(c.inductance)
    shape = np.broadcast_shapes(*(np.shape(v) for v in entries.values()))
    matrix = np.zeros((*shape, len(members), len(members)), dtype=complex)
    for (i, j), value in entries.items():
        matrix[..., i, j] = value
    return np.linalg.inv(matrix)


def _eliminate(graph: dict[str, dict[str, Any]], keep: tuple[str, str]) -> list[tuple[str, dict[str, Any]]]:
    """Take out all nodes but two, those with fewest neighbours first.

    Returns the nodes in the order taken, each with the weights that give its
    voltage from those of the neighbours it had, of which the ground's is nothing.
    """
    order = []
    left = set(graph) - set(keep)
    while left:
        node = min(left, key=lambda n: (len(graph[n]), n))
        left.remove(node)
        near = graph.pop(node)
        for n in near:
            del graph[n][node]
        weights = _weights(near, ground=keep[1])
        for a, b in combinations(near, 2):
            first, second = (a, b) if b in weights else (b, a)
            _join(graph, a, b, near[first] * weights[second])
        order.append((node, weights))
    return order


def _weights(near: dict[str, Any], ground: str) -> dict[str, Any]:
    if len(near) == 1:
        return {n: 1.0 for n in near if n != ground}
    total = _sum(near.values())
    with np.errstate(divide="ignore", invalid="ignore"):
        share = 1 / total
        finite = np.isfinite(np.sum(share))
    if not finite:  # open on all sides, as behind capacitors at zero frequency
        share = np.where(total == 0, 0, share)
    return {n: y * share for n, y in near.items() if n != ground}


def _rise(voltage: Mapping[str, Any], start: str, end: str) -> Array:
    """Voltage from start to end, without a pass for the ground's nothing, which stands there as None."""
    low, high = voltage[start], voltage[end]
    if low is None:
        return np.zeros(()) if high is None else high
    return -low if high is None else high - low


def _rows(value: ArrayLike, rows: slice) -> ArrayLike:
    return np.asarray(value)[rows] if np.size(value) > 1 else value


def _part(circuit: Circuit, rows: slice) -> Circuit:
    """The same circuit for some of its sets."""

    def cut(b: Branch) -> Branch:
        return replace(
            b,
            resistance=_rows(b.resistance, rows),
            inductance=_rows(b.inductance, rows),
            capacitance=None if b.capacitance is None else _rows(b.capacitance, rows),
            sections=tuple((_rows(r, rows), _rows(x, rows)) for r, x in b.sections),
        )

    return replace(
        circuit,
        branches=tuple(cut(b) for b in circuit.branches),
        couplings=tuple(replace(c, inductance=_rows(c.inductance, rows)) for c in circuit.couplings),
    )
