"""The explorer of the notebook on what is on the bench: readings beside what the geometry tells."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from pickupcalc.answers.coil.bench import Examination, HealthyCoil, Readings, rows_text
from pickupcalc.answers.measurement.from_meter import own_inductance
from pickupcalc.answers.measurement.meter import MeterReading
from pickupcalc.instrument.jobfile import Job
from pickupcalc.parts.coil import Coil
from pickupcalc.parts.pickup import Pickup
from pickupcalc.show.coil import plain_axes
from pickupcalc.show.explorers.coil import BLUE, RED, demonstration_coil
from pickupcalc.show.explorers.exchange import pickups, save_readings
from pickupcalc.show.explorers.frame import Explorer
from pickupcalc.show.explorers.jobs import Subject
from pickupcalc.show.explorers.widgets import ChoiceDial, NumberDial, QuantityDial
from pickupcalc.show.plots import head
from pickupcalc.show.words import begun
from pickupcalc.units import celsius, engineering

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def bench_explorer() -> Explorer:
    """Readings by dials, beside what the geometry of that pickup tells."""
    dials = {
        "resistance": QuantityDial("resistance", "ohm", "5.9 kohm", "1 kohm", "300 kohm"),
        "temperature": NumberDial("room, °C", 20, 0, 40, 1),
        "inductance": QuantityDial("inductance", "henry", "2.3 H", "0.3 H", "8 H"),
        "frequency": ChoiceDial("meter's frequency", ["100 Hz", "120 Hz", "1 kHz"]),
        "quality": NumberDial("Q (0: not read)", 0.0, 0.0, 12.0, 0.05),
    }
    subject = Subject(_start_of_bench, "pickup", pickups, _save_bench)
    return Explorer(dials, bench, lambda o: bench_figure(o.finding), OnBench.words, subject)


@dataclass(frozen=True)
class OnBench:
    """A pickup with its readings, and what they say."""

    finding: Examination
    pickup: Pickup

    def words(self) -> str:
        """The verdict, and against what it was reached."""
        told = bench_words(self.finding)
        if self.pickup.coil is not None:
            return told
        beside = f"The job tells no geometry of {self.pickup.name}, so the demonstration bobbin stands in"
        return f"{beside} (six alnico rods, 7,900 turns of 42 AWG; invented). {told}"


_benches: dict[tuple[str, str], HealthyCoil] = {}


def _bench_at(coil: Coil, frequency: str) -> HealthyCoil:
    """Worked out once; a coil may hold a table of tolerances, so its text stands for it."""
    key = repr(coil), frequency
    if key not in _benches:
        _benches[key] = HealthyCoil(coil, frequency)
    return _benches[key]


def bench(
    job: Job,
    pickup: str,
    resistance: Any,
    temperature: float,
    inductance: Any,
    frequency: str,
    quality: float,
) -> OnBench:
    """The finding for a pickup of the job and these readings."""
    readings = Readings(
        resistance=resistance,
        temperature=f"{temperature} degC",
        inductance=inductance,
        frequency=frequency,
        quality=quality or None,
    )
    found = job.instrument.pickup(pickup)
    return OnBench(_bench_at(found.coil or demonstration_coil(), frequency).examine(readings), found)


def _start_of_bench(job: Job, pickup: str) -> dict[str, Any]:
    found = job.instrument.pickup(pickup)
    warm = celsius(found.resistance_temperature.m)
    start = {"resistance": found.resistance, "temperature": round(warm, 2), "inductance": found.inductance}
    return start | {"frequency": "100 Hz", "quality": 0.0}


def _save_bench(job: Job, seen: OnBench, values: dict[str, Any]) -> tuple[Job, str]:
    """The readings; what a meter shows at 1 kHz is turned into the coil's own inductance."""
    shown = MeterReading(frequency=values["frequency"], inductance=values["inductance"])
    own = own_inductance(shown, values["resistance"], seen.pickup.capacitance)
    told = f"shown: {engineering(shown.inductance.m, 'H')} at {values['frequency']}, series mode"
    details: dict[str, dict[str, Any]] = {
        "resistance": {"temperature": f"{values['temperature']} degC"},
        "inductance": {"note": told},
    }
    read = {"resistance": values["resistance"], "inductance": own}
    return save_readings(job, seen.pickup.name, read, details)


def bench_figure(finding: Examination) -> Figure:
    """Readings against the band of a healthy coil, and how the explanations share the belief."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.0, 3.6), layout="constrained")
    left, right = figure.subplots(1, 2)
    plain_axes(left)
    names = [row[0].replace("_", " ") for row in finding.rows]
    for i, (_, _, _, deviation, spread) in enumerate(finding.rows):
        left.barh(i, 200 * spread, left=-100 * spread, height=0.5, color="#cfe3f2")
        left.plot(np.clip(100 * deviation, -100, 100), i, "D", color=RED)
    left.set_yticks(range(len(names)), names)
    left.set_ylim(len(names) - 0.5, -0.5)
    left.set_xlim(-105, 105)
    left.set_xlabel("measured against computed, %")
    head(left, "band: a healthy coil; diamond: the reading")
    plain_axes(right)
    shown = finding.explanations[:5]
    right.barh([e.name for e in shown], [100 * e.belief for e in shown], color=BLUE, height=0.5)
    right.invert_yaxis()
    right.set_xlim(0, 100)
    right.set_xlabel("share of belief, %")
    head(right, "what it may be")
    return figure


def bench_words(finding: Examination) -> str:
    """The verdict, the readings and what to do next."""
    return f"{finding.verdict} {begun('; '.join(rows_text(finding)))}. Next: {finding.next_step}"
