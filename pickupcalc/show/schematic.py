"""The circuit of a position as a drawing, made from the graph that is solved.

Every node is a horizontal rail, every branch a column of its own between its
two rails, so that no text meets another whatever the harness is. Rails run from
the sleeve at the bottom to the tip at the top, columns from the pickups to the
amplifier. A dot is a joint; where a column crosses a rail without one, they pass.
"""

from __future__ import annotations

import textwrap
from typing import Any

import numpy as np

from pickupcalc.physics.circuit.network import Branch, Circuit
from pickupcalc.units import engineering

RAIL_GAP = 2.0  # drawing units, two of which make a resistor
LETTERS = 15  # of a label's line
LETTER_WIDTH = 0.15  # drawing units, at the size below
SIZE = 10  # points


def schematic(circuit: Circuit) -> str:
    """The drawing as an SVG element.

    Parameters
    ----------
    circuit : Circuit
        With one value for each part, not one per set.
    """
    import schemdraw

    drawing = schemdraw.Drawing(canvas="svg", show=False)
    drawing.config(fontsize=SIZE, unit=RAIL_GAP, margin=0.3, bgcolor="white", color="#1a1a1a")
    shown = [b for b in circuit.branches if b.capacitance is None or np.any(b.capacitance)]
    columns = {n: [i for i, b in enumerate(shown) if n in (b.start, b.end)] for n in circuit.nodes}
    heights = _rails(circuit, columns)
    x = 0.0
    spans: dict[str, list[float]] = {node: [] for node in heights}
    for branch in shown:
        lines = _label(branch)
        _column(drawing, branch, x, heights, lines)
        for node in (branch.start, branch.end):
            spans[node].append(x)
        x += 1.1 + LETTER_WIDTH * max(map(len, lines))
    _draw_rails(drawing, spans, heights, circuit)
    text = drawing.get_imagedata("svg").decode("utf-8")
    return text[text.index("<svg") :]


def _rails(circuit: Circuit, columns: dict[str, list[int]]) -> dict[str, float]:
    """A height for each node: the sleeve lowest, the tip highest, between them in the order of the signal.

    The order is that of the voltages in a network of equal resistors fed at the
    tip. Nodes of equal rank share a height where their columns do not overlap.
    """
    rank = _ranks(circuit)
    between = [n for n in circuit.nodes if n not in (circuit.ground, circuit.output)]
    levels: list[list[str]] = []
    for node in sorted(between, key=rank.__getitem__):
        beside = levels and all(_apart(columns[node], columns[n]) for n in levels[-1])
        if beside and rank[node] - rank[levels[-1][0]] < 1e-6:
            levels[-1].append(node)
        else:
            levels.append([node])
    heights = {circuit.ground: 0.0, circuit.output: RAIL_GAP * (len(levels) + 1)}
    return heights | {node: RAIL_GAP * i for i, level in enumerate(levels, 1) for node in level}


def _ranks(circuit: Circuit) -> dict[str, float]:
    nodes = [n for n in circuit.nodes if n != circuit.ground]
    index = {n: i for i, n in enumerate(nodes)}
    matrix = np.zeros((len(nodes), len(nodes)))
    for b in circuit.branches:
        ends = [index[n] for n in (b.start, b.end) if n != circuit.ground]
        for i in ends:
            matrix[i, i] += 1
        if len(ends) == 2:
            matrix[ends[0], ends[1]] -= 1
            matrix[ends[1], ends[0]] -= 1
    fed = np.zeros(len(nodes))
    fed[index[circuit.output]] = 1
    return dict(zip(nodes, np.linalg.solve(matrix, fed), strict=True))


def _apart(first: list[int], second: list[int]) -> bool:
    return max(first) < min(second) or max(second) < min(first)


def _label(branch: Branch) -> list[str]:
    values = []
    if np.any(branch.resistance) or not (branch.emf or branch.capacitance is not None):
        values.append(_value(branch.resistance, "Ω"))
    if np.any(branch.inductance):
        values.append(_value(branch.inductance, "H"))
    if branch.capacitance is not None:
        values.append(_value(branch.capacitance, "F"))
    return [*textwrap.wrap(branch.name, LETTERS), *values]


def _as_it_is(text: str) -> str:
    """For a drawing library that takes $ for mathematics and & for the beginning of an entity."""
    return text.replace("&", "&amp;").replace("$", "&#36;")


def _value(value: Any, symbol: str) -> str:
    return engineering(float(np.asarray(value)), symbol)


def _column(drawing: Any, branch: Branch, x: float, heights: dict[str, float], lines: list[str]) -> None:
    import schemdraw.elements as elm

    low, high = sorted((branch.start, branch.end), key=heights.__getitem__)
    bottom, top = heights[low], heights[high]
    symbols: list[Any] = []
    if branch.emf:
        symbols.append(elm.Inductor2)
    elif np.any(branch.resistance):
        symbols.append(elm.ResistorIEC)
    if branch.capacitance is not None:
        symbols.append(elm.Capacitor)
    step = (top - bottom) / max(1, len(symbols))
    for i, symbol in enumerate(symbols or [elm.Line]):
        drawing += symbol().at((x, top - i * step)).to((x, top - (i + 1) * step))
    if branch.emf:  # the hot end, as on a transformer
        hot = top - step / 2 + 0.62 if branch.end == high else top - step / 2 - 0.62
        drawing += elm.Dot(radius=0.09).at((x - 0.25, hot))
    middle = top - step / 2 if len(symbols) < 2 else (top + bottom) / 2
    label = "\n".join(map(_as_it_is, lines))
    drawing += elm.Label().at((x + 0.45, middle)).label(label, halign="left", valign="center")
    drawing += elm.Dot().at((x, top))
    drawing += elm.Dot().at((x, bottom))


def _draw_rails(
    drawing: Any, spans: dict[str, list[float]], heights: dict[str, float], circuit: Circuit
) -> None:
    import schemdraw.elements as elm

    end = max(max(span) for span in spans.values() if span) + 1.2
    for node, span in spans.items():
        outside = node in (circuit.ground, circuit.output)
        left, right = min(span), end if outside else max(span)
        if right > left:
            drawing += elm.Line().at((left, heights[node])).to((right, heights[node]))
        if outside:
            drawing += elm.Dot(open=True).at((right, heights[node]))
            name = elm.Label().at((right + 0.25, heights[node]))
            drawing += name.label(f"jack, {node}", halign="left", valign="center")
