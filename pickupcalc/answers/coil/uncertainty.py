"""How far a coil's computed figures may be off, and which input is to blame."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from pickupcalc.errors import InputError
from pickupcalc.parts.coil import Coil
from pickupcalc.parts.metal import Material, Poles
from pickupcalc.physics.winding.field_problem import FieldProblem
from pickupcalc.tables import table
from pickupcalc.units import quantity, to_si

SYMBOLS = {
    "turns": "the turns",
    "mean_turn_m": "the mean turn",
    "wire_length_m": "the wire",
    "resistance_ohm": "R",
    "air_inductance_h": "the air value",
    "inductance_h": "L",
    "capacitance_f": "C",
    "inductance_h_at": "L at 5 kHz",
    "resistance_ohm_at": "R at 5 kHz",
}
TREBLE = 5e3  # Hz, where the uncertainty of the curves over frequency is told


@dataclass(frozen=True)
class Doubt:
    """Two standard deviations as a fraction of the figure, and the input that contributes most."""

    fraction: float
    dominated_by: str


def uncertainty(coil: Coil) -> dict[str, Doubt]:
    """The spread of every figure: the root of the summed squares of what each input does alone.

    Inputs move by their tolerance (two standard deviations), up and, for factors such as a permeability, both
    ways. Plates and bars change the figures too little to be moved with the rest; their own doubt is added.
    """
    base = _figures(coil)
    moves: dict[str, list[tuple[float, str]]] = {key: [] for key in base}
    for told, size, changed in _variations(coil):
        for key, value in _figures(changed).items():
            effect = abs(value / base[key] - 1)
            if effect > 1e-12:
                says = f" is {100 * effect:.2g} % of {SYMBOLS[key]}"
                moves[key].append((effect, f"{size} {told}{says}"))
    moves["capacitance_f"].append((_size(coil, "capacitance"), "scatter, wax and leads"))
    for key, open_questions in _method(coil, base).items():
        moves[key] += open_questions
    found = {key: _doubt(items) for key, items in moves.items()}
    half = np.hypot(found["inductance_h"].fraction, found["capacitance_f"].fraction) / 2
    found["self_resonance_hz"] = Doubt(float(half), found["capacitance_f"].dominated_by)
    return found


def _doubt(items: list[tuple[float, str]]) -> Doubt:
    if not items:
        return Doubt(0.0, "")
    return Doubt(float(np.sqrt(sum(x * x for x, _ in items))), max(items)[1])


def _figures(coil: Coil) -> dict[str, float]:
    """What the tolerances act on, with the poles only."""
    bare = FieldProblem(coil.geometry, coil.rods())
    low = float(bare.linkage(0.0).real)
    high = complex(low) if bare.lossless else bare.linkage(TREBLE)
    return {
        "turns": coil.geometry.turns,
        "mean_turn_m": coil.geometry.mean_turn,
        "wire_length_m": coil.wire_length,
        "resistance_ohm": coil.dc_resistance,
        "air_inductance_h": bare.air_inductance,
        "inductance_h": low,
        "capacitance_f": coil.own_capacitance,
        "inductance_h_at": high.real,
        "resistance_ohm_at": coil.dc_resistance - 2 * np.pi * TREBLE * high.imag,
    }


def _method(coil: Coil, base: dict[str, float]) -> dict[str, list[tuple[float, str]]]:
    """What the computation itself leaves open, and the plates' metal."""
    sizes = table("coil")["method"]
    whole, with_poles = coil.low_frequency_inductance, base["inductance_h"]
    poles = sizes["poles"] * abs(with_poles - base["air_inductance_h"]) / whole
    on_grid = bool(coil.problem.blocks)  # discs on the axis of a round coil are exact
    steel = sizes["steel_plate"] * abs(whole - with_poles) / whole * on_grid
    found = {"inductance_h": [(poles, "the method for the poles"), (steel, "magnetic plates and bar")]}
    metals = [p.material for p in coil.plates] + ([coil.bar.material] if coil.bar else [])
    if metals:
        high = coil.problem.linkage(TREBLE)
        resistance = coil.dc_resistance - 2 * np.pi * TREBLE * high.imag
        doubt = max(max(m.factors) for m in metals) - 1 + sizes["thin_plate"]
        for key, value in (("inductance_h_at", high.real), ("resistance_ohm_at", resistance)):
            found[key] = [(doubt * abs(value - base[key]) / value, "the metal of plates and bar")]
    return found


def _size(coil: Coil, key: str) -> float:
    """A tolerance in SI: the coil's own, or the usual one."""
    usual = table("coil")["tolerance"][key]
    size = (coil.tolerance or {}).get(key, usual)
    return float(size) if isinstance(usual, float) else float(to_si(size, "meter"))


def _variations(coil: Coil) -> Iterator[tuple[str, str, Coil]]:
    """Each input in words, the size of its move, and the coil with it moved."""
    for key in ("straight", "inner_radius", "height", "build"):
        value = getattr(coil, key)
        step = _size(coil, key)
        if value is not None and value.m > 0 and step:
            moved = quantity(value.m + step, "meter")
            yield f"of {key.replace('_', ' ')}", f"{step * 1e3:.3g} mm", _moved(coil, **{key: moved})
    for key in ("turns", "resistance", "packing"):
        value, step = getattr(coil, key), _size(coil, key)
        if value is not None and step:
            # fewer turns always fit, so it moves down; a lower reading may be too low
            yield (
                f"of {key}",
                f"{100 * step:.3g} %",
                _either(coil, key, value * (1 - step), value * (1 + step)),
            )
    w, step = coil.wire, _size(coil, "wire")
    if step:
        thicker = replace(
            w,
            awg=None,
            diameter=quantity(w.bare * (1 - step), "meter"),
            overall=quantity(w.over_film, "meter"),
        )
        yield "of the wire's diameter", f"{100 * step:.3g} %", _moved(coil, wire=thicker)
    if step := _size(coil, "stretch"):
        yield (
            "of stretch in winding",
            f"{100 * step:.3g} %",
            _moved(coil, wire=replace(w, stretch=w.stretch + step)),
        )
    if coil.poles is not None:
        yield from _pole_variations(coil, coil.poles)


def _pole_variations(coil: Coil, poles: Poles) -> Iterator[tuple[str, str, Coil]]:
    for key in ("length", "diameter", "offset"):
        step = _size(coil, f"pole_{key}")
        if step:
            down = -1.0 if key == "diameter" else 1.0  # a thicker pole might not fit
            changed: Any = {key: quantity(getattr(poles, key).m + down * step, "meter")}
            moved = replace(poles, **changed)
            yield f"of the poles' {key}", f"{step * 1e3:.3g} mm", _moved(coil, poles=moved)
    m = poles.material
    factor, conducting = m.factors
    if m.permeability > 1 and factor > 1:
        lower = Material(permeability=max(1.0, m.permeability / factor), conductivity=m.conductivity)
        told = f"a factor of {factor:.3g}"
        yield "in the poles' permeability", told, _moved(coil, poles=replace(poles, material=lower))
    if m.conductivity.m > 0 and conducting > 1:
        better = Material(permeability=m.permeability, conductivity=m.conductivity * conducting)
        told = f"a factor of {conducting:.3g}"
        yield "in the poles' conductivity", told, _moved(coil, poles=replace(poles, material=better))


def _either(coil: Coil, key: str, first: Any, second: Any) -> Coil:
    try:
        return _moved(coil, **{key: first})
    except InputError:
        return _moved(coil, **{key: second})


def _moved(coil: Coil, **changes: Any) -> Coil:
    """The coil with values moved and bar and plates left off."""
    return replace(coil, bar=None, plates=(), **changes)
