"""The explorer of the notebook on how many henries a coil will have."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.answers.coil.report import CoilReport, coil_report
from pickupcalc.instrument.coilfile import with_coil
from pickupcalc.instrument.jobfile import Job
from pickupcalc.parts.coil import Coil
from pickupcalc.parts.metal import Material, Plate, Poles
from pickupcalc.parts.pickup import Pickup
from pickupcalc.parts.wire import Wire
from pickupcalc.show.coil import draw_plan, draw_section, plain_axes
from pickupcalc.show.explorers.exchange import pickups
from pickupcalc.show.explorers.frame import Explorer
from pickupcalc.show.explorers.jobs import Subject
from pickupcalc.show.explorers.widgets import ChoiceDial, NumberDial, Offer, QuantityDial
from pickupcalc.show.plots import head, hertz_axis
from pickupcalc.units import engineering, quantity

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

AS_IN_JOB = "as in the job"
GAUGES = ["41 AWG", "42 AWG", "43 AWG", "44 AWG"]
POLE_METALS = ["alnico 5", "low-carbon steel", "none"]
COVERS = ["none", "nickel silver", "brass", "brass, slotted"]
BLUE, RED = "#0072B2", "#D55E00"
FREQUENCIES = np.geomspace(50, 20e3, 24)
SIX_RODS = {"count": 6, "diameter": "4.8 mm", "length": "17 mm", "pitch": "10.4 mm", "material": "alnico 5"}


def henries_explorer() -> Explorer:
    """Bobbin, wire and metal by dials; the coil to scale, its inductance and its losses."""
    dials = {
        "turns": NumberDial("turns", 7900, 3000, 10000, 50),
        "build": QuantityDial("build", "meter", "3.2 mm", "2.6 mm", "6 mm", linear=True),
        "gauge": ChoiceDial("wire", GAUGES, "42 AWG"),
        "height": QuantityDial("winding height", "meter", "11 mm", "9 mm", "14 mm", linear=True),
        "poles": ChoiceDial("poles", POLE_METALS),
        "length": QuantityDial("pole length", "meter", "17 mm", "6 mm", "26 mm", linear=True),
        "cover": ChoiceDial("cover", COVERS),
    }
    subject = Subject(_start_of_bobbin, "pickup", pickups, _save_bobbin)
    return Explorer(dials, wound, lambda w: henries_figure(w.report), Wound.words, subject)


@dataclass(frozen=True)
class Wound:
    """A bobbin as dialled, and the pickup of the job that it would be."""

    report: CoilReport
    pickup: Pickup

    def words(self) -> str:
        """What the figures mean, and how they compare with what was measured."""
        told = henries_words(self.report)
        measured = [key for key in ("resistance", "inductance") if key not in self.pickup.computed]
        symbols = {"resistance": "Ω", "inductance": "H"}
        beside = [
            f"{engineering(getattr(self.pickup, key).m, symbols[key])} "
            f"({100 * (getattr(self.report, key).m / getattr(self.pickup, key).m - 1):+.0f} % here)"
            for key in measured
        ]
        return f"{told} In the job {self.pickup.name} reads {' and '.join(beside)}." if beside else told


def wound(job: Job, pickup: str, **values: Any) -> Wound:
    """The report on the pickup's bobbin as dialled."""
    found = job.instrument.pickup(pickup)
    coil = bobbin(found.coil or demonstration_coil(), **values)
    return Wound(coil_report(coil, quantity(FREQUENCIES, "hertz"), uncertain=False), found)


def bobbin(
    base: Coil, turns: float, build: Any, gauge: str, height: Any, poles: str, length: Any, cover: str
) -> Coil:
    """A coil with what the dials say put in."""
    changes: dict[str, Any] = {"height": height, "build": build, "turns": turns}
    changes |= {"resistance": None, "packing": None}
    row = None
    if poles != "none":
        row = replace(base.poles or Poles.of(SIX_RODS), length=length)
        row = row if poles == AS_IN_JOB else replace(row, material=Material.of(poles))
    if gauge != AS_IN_JOB:
        changes["wire"] = Wire(awg=float(gauge.split()[0]))
    if cover != AS_IN_JOB:
        top = max(float(height.m), float(length.m) if row else 0.0) / 2
        metal = cover.partition(",")[0]
        changes["plates"] = () if cover == "none" else (_cover(metal, top + 1.25e-3, "slotted" in cover),)
    return replace(base, **changes, poles=row)


def _start_of_bobbin(job: Job, pickup: str) -> dict[str, Any]:
    """The geometry that the job tells; where it tells none, that of the demonstration bobbin."""
    told = job.instrument.pickup(pickup).coil
    coil, own = (told, [AS_IN_JOB]) if told else (demonstration_coil(), [])
    turns, build = coil.wound
    return {
        "turns": turns,
        "build": quantity(build, "meter"),
        "height": coil.height,
        "gauge": Offer([*own, *GAUGES], None if own else "42 AWG"),
        "poles": Offer([*(own if coil.poles else []), *POLE_METALS], None if coil.poles else "none"),
        "length": coil.poles.length if coil.poles else quantity(17e-3, "meter"),
        "cover": Offer([*(own if coil.plates else []), *COVERS]),
    }


def _save_bobbin(job: Job, found: Wound, values: dict[str, Any]) -> tuple[Job, str]:
    """The geometry as dialled, below the pickup."""
    told = f"the geometry of {values['pickup']}, {found.report.turns:.0f} turns"
    return with_coil(job, values["pickup"], found.report.coil), told


def _cover(metal: str, z: float, slotted: bool) -> Plate:
    return Plate.of(
        {
            "material": metal,
            "thickness": "0.5 mm",
            "length": "70 mm",
            "width": "20 mm",
            "height_above_centre": quantity(z, "meter"),
            "slots": [{"along": "length"}] if slotted else [],
        }
    )


def henries_figure(report: CoilReport) -> Figure:
    """Plan and section to scale, L and R over frequency, L and R over turns."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.0, 6.4))  # placed by hand: an automatic layout would draw everything twice
    plan, section = figure.add_axes((0.06, 0.58, 0.62, 0.36)), figure.add_axes((0.75, 0.58, 0.22, 0.36))
    draw_plan(plan, report.coil)
    draw_section(section, report.coil)
    for axes, title in ((plan, "plan, mm"), (section, "section, mm")):
        axes.set_aspect("equal")
        head(axes, title)
        axes.locator_params(nbins=5)
    plan.set_xlim(-40, 40)
    plan.set_ylim(-13, 13)
    section.set_xlim(-11, 11)
    section.set_ylim(-15, 16)
    figure.legend(*_labels(section), loc="upper left", bbox_to_anchor=(0.05, 0.545), ncols=3, frameon=False)
    over_f, over_n = figure.add_axes((0.08, 0.09, 0.34, 0.36)), figure.add_axes((0.58, 0.09, 0.34, 0.36))
    hertz = report.frequencies.m
    _pair(over_f, hertz, report.inductance_at.m, report.resistance_at.m / 1e3)
    hertz_axis(over_f)
    turns = np.linspace(2000, 11000, 30)
    share = turns / report.turns  # the same space filled looser or closer: L as the square, R as the turns
    _pair(over_n, turns, report.inductance.m * share**2, report.resistance.m / 1e3 * share)
    over_n.set_xlabel("turns, same build")
    over_n.axvline(report.turns, color="#555555", linewidth=0.8, linestyle=":")
    return figure


def _labels(axes: Axes) -> tuple[list[Any], list[str]]:
    """Handles and labels of what was drawn, each once."""
    handles, labels = axes.get_legend_handles_labels()
    unique = dict(zip(labels, handles, strict=True))
    return list(unique.values()), list(unique)


def _pair(axes: Axes, x: Any, henries: Any, kilohm: Any) -> None:
    """Inductance on the left scale and resistance on the right, told apart by colour, line and label."""
    plain_axes(axes)
    axes.plot(x, henries, color=BLUE)
    axes.set_ylabel("L in H", color=BLUE)
    axes.set_ylim(0, 1.15 * henries.max())
    axes.locator_params(nbins=5)
    other = axes.twinx()
    other.plot(x, kilohm, color=RED, linestyle="--")
    other.set_ylabel("R in kΩ (dashed)", color=RED)
    other.set_ylim(0, 1.15 * kilohm.max())
    other.locator_params(axis="y", nbins=5)
    other.spines["top"].set_visible(False)


def henries_words(report: CoilReport) -> str:
    """What the figures mean at the bench."""
    gain = report.inductance.m / report.air_inductance.m
    i = int(np.argmin(abs(report.frequencies.m - 5e3)))
    lost = 1 - report.inductance_at.m[i] / report.inductance.m
    added = report.resistance_at.m[i] / report.resistance.m
    told = (
        f"{engineering(report.inductance.m, 'H')} and {engineering(report.resistance.m, 'Ω')}: "
        f"{report.turns:.0f} turns, {report.wire_length.m:.0f} m of {report.coil.wire.told()}, "
        f"packing {report.coil.packed:.2f}. The metal makes it {gain:.2f} times that of the bare winding. "
        f"At 5 kHz {100 * lost:.0f} % of it is gone and the series resistance is {added:.1f} times that "
        "of the wire: the more, the lower and broader the peak."
    )
    return " ".join([told, *(f"Note: {note}." for note in report.notes)])


@lru_cache(maxsize=1)
def demonstration_coil() -> Coil:
    """Six alnico rods in a racetrack; invented."""
    return Coil.of(
        {
            "straight": "55 mm",
            "inner_radius": "2.5 mm",
            "height": "11 mm",
            "build": "3.2 mm",
            "turns": 7900,
            "wire": {"awg": 42},
            "poles": SIX_RODS,
        }
    )
