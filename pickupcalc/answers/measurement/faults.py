"""What may be wrong with an instrument, each cause as a change of the instrument or of its circuit."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from pickupcalc.answers.polarity.changes import SWAP, Change, changed, heard_of
from pickupcalc.instrument.harness import OUTSIDE
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.parts.controls import Tone
from pickupcalc.physics.circuit.network import Branch, Circuit
from pickupcalc.tables import table
from pickupcalc.units import engineering, parse

OPEN, SHORT = 1e9, 0.1  # ohm: what a broken wire and a solder bridge measure
DEAD_COIL = ("open coil", "shorted coil")
DEAD_JACK = ("lead to the jack open", "jack shorted")


def _same(given: Any) -> Any:
    return given


@dataclass(frozen=True)
class Fault:
    """One cause at one severity.

    Attributes
    ----------
    kind : str
        As in the table "faults".
    cause : str
        With the part's name, as a repairer would say it.
    weight : float
        Before any reading.
    alter : callable
        From the sound instrument to the faulty one.
    rewire : callable
        From its circuit to the faulty circuit.
    severity : str
        For causes that come in sizes.
    pickup : str
        Whose winding it is in; empty for all that is outside of the pickups.
    """

    kind: str
    cause: str
    weight: float
    alter: Callable[[Instrument], Instrument] = _same
    rewire: Callable[[Circuit], Circuit] = _same
    severity: str = ""
    pickup: str = ""


def possible_faults(instrument: Instrument) -> list[Fault]:
    """All single causes known here that an instrument can have."""
    weight = table("faults")["weight"]
    whole: dict[str, Callable[[Circuit], Circuit]] = {
        **dict.fromkeys(("nothing wrong", "earth joint open", "screening open"), _same),
        "lead to the jack open": _lead_broken,
        "jack shorted": _jack_shorted,
    }
    found = [Fault(kind, kind, weight[kind], rewire=rewire) for kind, rewire in whole.items()]
    for i, pickup in enumerate(instrument.pickups):
        found += _coil_faults(i, pickup.name)
    for i, (control, label) in enumerate(zip(instrument.controls, instrument.control_labels(), strict=True)):
        found += _wrong_tracks(i, label, control.track.m)
        if isinstance(control, Tone):
            found += _tone_faults(i, label)
    return found


def _coil_faults(index: int, name: str) -> Iterator[Fault]:
    sizes = table("faults")
    weight, severity = sizes["weight"], sizes["severity"]
    for kind, changes in (
        ("open coil", {"alter": _open_coil(index)}),
        ("shorted coil", {"rewire": _shorted(name)}),
        ("leads exchanged", {"alter": _leads_exchanged(index)}),
    ):
        yield Fault(kind, f"{name}: {kind}", weight[kind], **changes, pickup=name)
    steps = severity["shorted_turns"]
    for share in steps:
        yield Fault(
            "shorted turns",
            f"{name}: shorted turns",
            weight["shorted turns"] / len(steps),
            rewire=_shorted_turns(name, share, severity["coupling"]),
            severity=f"{100 * share:.0f} % of the turns",
            pickup=name,
        )


def _wrong_tracks(index: int, label: str, marked: float) -> Iterator[Fault]:
    sizes = table("faults")
    tracks = [parse(t, "ohm") for t in sizes["severity"]["wrong_track"]]
    other = [t for t in tracks if abs(np.log(t / marked)) > 0.4]
    for track in other:
        yield Fault(
            "wrong pot",
            f"{label}: wrong pot",
            sizes["weight"]["wrong pot"] / len(other),
            _control(index, track=f"{track} ohm"),
            severity=f"{engineering(track, 'Ω', 2)} in place of {engineering(marked, 'Ω', 2)}",
        )


def _tone_faults(index: int, label: str) -> Iterator[Fault]:
    sizes = table("faults")
    weight = sizes["weight"]
    leaks = sizes["severity"]["leak"]
    for leak in leaks:
        yield Fault(
            "leaky capacitor",
            f"{label}: leaky capacitor",
            weight["leaky capacitor"] / len(leaks),
            rewire=_leak(label, parse(leak, "ohm")),
            severity=f"about {leak}",
        )
    kind = "capacitor shorted or left out"
    yield Fault(kind, f"{label}: {kind}", weight[kind], rewire=_leak(label, SHORT))
    kind = "tone lugs exchanged"

    def backwards(instrument: Instrument) -> Instrument:
        control = instrument.controls[index]
        return _control(index, setting=1 - np.asarray(control.setting))(instrument)

    yield Fault(kind, f"{label}: end lugs exchanged", weight[kind], backwards)


def _open_coil(index: int) -> Callable[[Instrument], Instrument]:
    def alter(instrument: Instrument) -> Instrument:
        pickups = list(instrument.pickups)
        old = pickups[index].resistance
        pickups[index] = replace(pickups[index], resistance=OPEN * old / old.m)
        return replace(instrument, pickups=tuple(pickups))

    return alter


def _leads_exchanged(index: int) -> Callable[[Instrument], Instrument]:
    def alter(instrument: Instrument) -> Instrument:
        pickups = list(instrument.pickups)
        old = pickups[index]
        observed = (old.signal_sign and old.hum_sign) or any(
            old.name in heard_of(o, instrument) for o in instrument.observations
        )
        if observed:
            return changed(instrument, [Change(old.name, SWAP)])
        # What nobody observed counts as it does elsewhere: like the others, so now unlike them.
        s, h = old.signal_sign or 1, old.hum_sign or 1
        tap, magnet = ("negative" if s > 0 else "positive"), ("north" if s == h else "south")
        pickups[index] = replace(old, tap=tap, magnet=magnet, winding=None, hot=None)
        return replace(instrument, pickups=tuple(pickups))

    return alter


def _control(index: int, **changes: Any) -> Callable[[Instrument], Instrument]:
    def alter(instrument: Instrument) -> Instrument:
        controls = list(instrument.controls)
        old = controls[index]
        new = dict(changes)
        if "track" in new:
            # A tolerance put on the marked track goes along to the other one.
            marked = np.asarray(old.track.m)
            new["track"] = old.track / old.track.m * parse(new["track"], "ohm") * marked / np.mean(marked)
        controls[index] = replace(old, **new)
        return replace(instrument, controls=tuple(controls))

    return alter


def _lead_broken(circuit: Circuit) -> Circuit:
    """Between the harness and the tip; cable and amplifier hang on the tip still."""
    end = "harness: output"

    def moved(b: Branch) -> Branch:
        if b.name in OUTSIDE:
            return b
        start, stop = (end if node == circuit.output else node for node in (b.start, b.end))
        return replace(b, start=start, end=stop)

    lead = Branch("lead to the jack", end, circuit.output, resistance=OPEN)
    return replace(circuit, branches=(*map(moved, circuit.branches), lead))


def _jack_shorted(circuit: Circuit) -> Circuit:
    short = Branch("jack: short", circuit.output, circuit.ground, resistance=SHORT)
    return replace(circuit, branches=(*circuit.branches, short))


def _shorted(name: str) -> Callable[[Circuit], Circuit]:
    def rewire(circuit: Circuit) -> Circuit:
        found = [b for b in circuit.branches if b.name == name]
        bridges = tuple(Branch(f"{name}: short", b.start, b.end, resistance=SHORT) for b in found)
        return replace(circuit, branches=circuit.branches + bridges)

    return rewire


def _shorted_turns(name: str, share: float, coupling: float) -> Callable[[Circuit], Circuit]:
    """A share of the turns closed upon itself, coupled to the rest: a transformer with a shorted secondary.

    With n the share, the rest has (1-n)^2 of the inductance L; the short's
    resistance n R seen from there is (1-n)^2 R/n, beside the coupled part of it.
    """

    def rewire(circuit: Circuit) -> Circuit:
        return replace(circuit, branches=tuple(fewer(b) if b.name == name else b for b in circuit.branches))

    def fewer(b: Branch) -> Branch:
        left = np.asarray(b.inductance) * (1 - share) ** 2
        coupled = left * coupling**2
        seen = np.asarray(b.resistance) / share * (1 - share) ** 2 * coupling**2
        return replace(
            b,
            resistance=np.asarray(b.resistance) * (1 - share),
            inductance=left - coupled,
            sections=(*b.sections, (seen, coupled)),
        )

    return rewire


def _leak(label: str, ohm: float) -> Callable[[Circuit], Circuit]:
    def rewire(circuit: Circuit) -> Circuit:
        out: list[Branch] = []
        for b in circuit.branches:
            if b.name != label or b.capacitance is None:
                out.append(b)
                continue
            middle = f"{label}: joint of track and capacitor"
            out += [
                replace(b, end=middle, capacitance=None),
                Branch(f"{label}: capacitor", middle, b.end, capacitance=b.capacitance),
                Branch(f"{label}: leak", middle, b.end, resistance=ohm),
            ]
        return replace(circuit, branches=tuple(out))

    return rewire
