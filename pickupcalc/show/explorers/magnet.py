"""The explorers of the notebook on magnets: reversing, compass, warming, and what the strings feel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pickupcalc.answers.magnet.at_strings import AtString, at_string
from pickupcalc.answers.magnet.compass import STATES, compass
from pickupcalc.answers.magnet.field_map import FieldMap, field_map
from pickupcalc.answers.magnet.keeper import KeeperEffect, keeper_effect
from pickupcalc.answers.magnet.kinds import usual_magnets
from pickupcalc.answers.magnet.reversal import Reversal, reversal
from pickupcalc.answers.magnet.warming import softenings, warming
from pickupcalc.instrument.jobfile import Job
from pickupcalc.parts.jig import Blocks, Horseshoe, Jig
from pickupcalc.parts.keeper import Keeper
from pickupcalc.parts.magnets import BarUnderPoles, Magnets, Rods, TwinCoil
from pickupcalc.parts.strings import String
from pickupcalc.show.explorers.exchange import pickups
from pickupcalc.show.explorers.frame import Explorer
from pickupcalc.show.explorers.jobs import Subject
from pickupcalc.show.explorers.widgets import ChoiceDial, NumberDial, QuantityDial
from pickupcalc.show.magnet_figures import compass_figure, reversal_figure, strings_figure, warming_figure
from pickupcalc.show.magnet_words import (
    at_string_sentence,
    compass_sentence,
    keeper_sentence,
    mind,
    reversal_sentence,
    warming_sentence,
)

CONSTRUCTIONS: dict[str, Magnets] = {
    "alnico 5 rods": Rods(),
    "alnico 3 rods": Rods(material="alnico 3"),
    "alnico 2 rods": Rods(material="alnico 2"),
    "alnico 5 rods, each 2nd turned": Rods(opposite=(2, 4, 6)),
    "ferrite bar under steel poles": BarUnderPoles(),
    "ferrite bar, taken out": BarUnderPoles(loose=True),
    "neodymium bar under steel poles": BarUnderPoles(material="neodymium N35"),
    "twin coil, alnico 5 bar": TwinCoil(),
    "alnico 5 rods on a keeper plate": Rods(keeper=Keeper.of({"width": "16 mm", "thickness": "2 mm"})),
    "twin coil, keepers under rows": TwinCoil(keeper=Keeper()),
}
JIGS: dict[str, Jig] = {
    "two neodymium, 80 x 25 x 25 mm": Blocks.of({"length": "80 mm"}),
    "two neodymium, 50 x 25 x 12 mm": Blocks.of({"depth": "12 mm"}),
    "two ferrite, 80 x 25 x 25 mm": Blocks.of({"length": "80 mm", "material": "hard ferrite"}),
    "horseshoe of alnico 5": Horseshoe(),
}
NO_WAX = "none"
SHADES = 54  # each way, of a map that follows the hand
STRINGS: dict[str, String] = {
    "E2, 1.17 mm wound": String.of({"note": "E2", "gauge": "1.17 mm", "core": "0.43 mm"}),
    "A2, 0.91 mm wound": String.of({"note": "A2", "gauge": "0.91 mm", "core": "0.39 mm"}),
    "G3, 0.43 mm plain": String.of({"note": "G3", "gauge": "0.43 mm"}),
    "E4, 0.25 mm plain": String.of({"note": "E4", "gauge": "0.25 mm"}),
}


@dataclass(frozen=True)
class Seen:
    """A verdict and the field that would be left."""

    found: Reversal
    field: FieldMap


def jig_with_gap(magnets: Magnets, name: str, gap: Any) -> Jig:
    """A jig of the list with its gap, or touching the work where the gap is too small for it."""
    jig = JIGS[name]
    return type(jig)(**{**vars(jig), "gap": f"{1e3 * max(gap.m, jig.smallest_gap(magnets)):.6g} mm"})


def magnet_subject() -> Subject:
    """A pickup's magnet, by its `magnet_kind`."""
    return Subject(_start, "pickup", pickups, _save_kind)


def _start(job: Job, pickup: str) -> dict[str, Any]:
    """The construction of usual size that the job's words mean; none where they tell too little."""
    usual = usual_magnets(job.instrument.pickup(pickup).magnet_kind)
    meant = [name for name, magnets in CONSTRUCTIONS.items() if magnets == usual]
    return {"construction": meant[0]} if meant else {}


def _save_kind(job: Job, _: Any, values: dict[str, Any]) -> tuple[Job, str]:
    pickup, kind = values["pickup"], values["construction"]
    saved = job.changed_pickup(pickup, lambda table: table.update(magnet_kind=kind))
    return saved, f"the magnet of {pickup}, {kind}"


def reversal_explorer() -> Explorer:
    """Construction, jig and gap: will it turn, and what is left?"""
    dials = {
        "construction": ChoiceDial("magnet", list(CONSTRUCTIONS)),
        "jig": ChoiceDial("jig", list(JIGS)),
        "gap": QuantityDial("gap, face to face", "meter", "22 mm", "4 mm", "60 mm"),
        "way": ChoiceDial("and it is", ["held still", "drawn along the row"]),
    }

    def compute(construction: str, jig: str, gap: Any, way: str, **_: Any) -> Seen:
        magnets = CONSTRUCTIONS[construction]
        placed = jig_with_gap(magnets, jig, gap)
        found = reversal(magnets, placed, moved_along=way != "held still")
        return Seen(found, field_map(magnets, "after the jig", jig=placed, points=SHADES))

    def words(seen: Seen) -> str:
        return f"{reversal_sentence(seen.found)} {mind(seen.found.cautions)}"

    return Explorer(
        dials, compute, lambda seen: reversal_figure(seen.field, seen.found), words, magnet_subject()
    )


def compass_explorer() -> Explorer:
    """Construction and state: what do the needles show?"""
    dials = {
        "construction": ChoiceDial("magnet", list(CONSTRUCTIONS)),
        "state": ChoiceDial("state", list(STATES)),
        "jig": ChoiceDial("jig, if one was used", list(JIGS)),
        "distance": QuantityDial("compass, distance", "meter", "20 mm", "5 mm", "80 mm"),
    }

    def compute(construction: str, state: str, jig: str, distance: Any) -> Any:
        magnets = CONSTRUCTIONS[construction]
        placed = jig_with_gap(magnets, jig, JIGS[jig].gap)
        return compass(magnets, state, jig=placed, distance=distance)

    return Explorer(dials, compute, compass_figure, compass_sentence)


def warming_explorer() -> Explorer:
    """Construction, glue, wax, bobbin and temperature: is there a window?"""
    dials = {
        "construction": ChoiceDial("magnet", list(CONSTRUCTIONS)),
        "temperature": NumberDial("temperature, °C", 60.0, -40.0, 200.0, 1.0),
        "glue": ChoiceDial("glue to loosen", list(softenings("glue"))),
        "bobbin": ChoiceDial("bobbin", list(softenings("bobbin"))),
        "wax": ChoiceDial("wax in the winding", [NO_WAX, *softenings("wax")]),
    }

    def compute(construction: str, temperature: float, glue: str, bobbin: str, wax: str) -> Any:
        held = {"glue": glue, "bobbin": bobbin, "wax": None if wax == NO_WAX else wax}
        return warming(CONSTRUCTIONS[construction], f"{temperature} degC", **held)

    def words(found: Any) -> str:
        return f"{warming_sentence(found)} {mind(found.cautions)}"

    return Explorer(dials, compute, warming_figure, words)


@dataclass(frozen=True)
class Felt:
    """One string over several magnets."""

    names: tuple[str, ...]
    strings: tuple[AtString, ...]
    chosen: int
    keeper: KeeperEffect | None


def strings_explorer() -> Explorer:
    """Construction, string and height: field, pull and drag."""
    dials = {
        "construction": ChoiceDial("magnet", list(CONSTRUCTIONS)),
        "string": ChoiceDial("string", list(STRINGS)),
        "height": QuantityDial("height above pole", "meter", "3 mm", "1.5 mm", "8 mm", linear=True),
    }

    def compute(construction: str, string: str, height: Any) -> Felt:
        names = tuple(n for n, m in CONSTRUCTIONS.items() if not getattr(m, "loose", False))
        chosen = construction if construction in names else names[0]
        felt = tuple(at_string(CONSTRUCTIONS[n], STRINGS[string], height=height) for n in names)
        magnets = CONSTRUCTIONS[chosen]
        keeper = keeper_effect(magnets, height=height) if magnets.keeper else None
        return Felt(names, felt, names.index(chosen), keeper)

    def words(felt: Felt) -> str:
        told = f"Over {felt.names[felt.chosen]} {at_string_sentence(felt.strings[felt.chosen])}"
        return f"{told} {keeper_sentence(felt.keeper)}" if felt.keeper else told

    return Explorer(dials, compute, lambda felt: strings_figure(felt.names, felt.strings), words)
