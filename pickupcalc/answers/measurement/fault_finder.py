"""What is wrong, unopened: ranks the causes for the readings given, and names the next reading.

How likely each cause is after the readings is told by `fault_study`. The best
next reading is the one whose predictions lie furthest apart between causes that
are still likely (1 minus the Bhattacharyya coefficient, A. Bhattacharyya, Bull.
Calcutta Math. Soc. 35, 99, 1943).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from pickupcalc.answers.measurement.fault_study import FaultStudy
from pickupcalc.answers.measurement.jack import turned_alone
from pickupcalc.answers.measurement.symptoms import Symptom
from pickupcalc.errors import InputError, quoted
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.instrument.turning import with_settings
from pickupcalc.units import quantity

POOR_FIT = 6.0  # squared misfit per reading above which a cause does not explain it
TIED = 0.8  # of the likeliest cause's probability: the next one is then not told apart
WORTH_A_READING = 0.01  # separation below which no reading would change the ranking
NEARLY_BEST = 0.98  # of the best separation: the first such reading is taken, since simple ones come first


@dataclass(frozen=True)
class Ranked:
    """A cause and how likely it is after the readings."""

    cause: str
    probability: float
    severity: str


@dataclass(frozen=True)
class Next:
    """The reading that separates best what is still likely.

    Attributes
    ----------
    reading : str
    separation : float
        0 to 1: how far apart the predictions lie, weighted by what is likely.
    expected : tuple of (str, str)
        For each of the likeliest causes, what would be read.
    """

    reading: str
    separation: float
    expected: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Finding:
    """Causes, likeliest first, and the next reading.

    Attributes
    ----------
    causes : tuple of Ranked
        Their probabilities add up to 1.
    next_reading : Next or None
        None where no reading would change the ranking.
    fits : float
        Squared misfit per numeric reading of the likeliest cause.
    """

    causes: tuple[Ranked, ...]
    next_reading: Next | None
    fits: float

    def __str__(self) -> str:
        shown = [c for c in self.causes[:6] if c.probability >= 0.005]
        lines = []
        if self.fits > POOR_FIT:
            lines.append("None of these explains the readings well: two faults, or another wiring.")
        lines += [
            f"{100 * c.probability:4.0f} %  {c.cause}" + (f" ({c.severity})" if c.severity else "")
            for c in shown
        ]
        if self.next_reading is None:
            lines.append("No further reading would change this order.")
            first, second = self.causes[:2]
            if second.probability > TIED * first.probability:
                lines.append(f"Not told apart at the jack: {first.cause}; {second.cause}.")
            return "\n".join(lines)
        lines.append(f"Read next: {self.next_reading.reading}.")
        lines += [f"        {cause}: {told}" for cause, told in self.next_reading.expected]
        return "\n".join(lines)

    def as_json(self) -> dict[str, Any]:
        following = self.next_reading
        return {
            "causes": [
                {"cause": c.cause, "probability": c.probability, "severity": c.severity} for c in self.causes
            ],
            "next": following and {"reading": following.reading, "expected": dict(following.expected)},
            "misfit_of_the_likeliest": self.fits,
        }


def find_fault(instrument: Instrument, symptoms: Sequence[Symptom]) -> Finding:
    """Rank what may be wrong.

    Parameters
    ----------
    instrument : Instrument
        As it should be: wiring and values of the card.
    symptoms : sequence of Symptom

    Returns
    -------
    Finding
        One fault at a time is considered. `fits` is the squared misfit per
        numeric reading of the likeliest cause; above about 6 none of them
        explains the readings and two faults, or another wiring, are likely.

    Raises
    ------
    InputError
        For positions or controls that are not there.
    """
    symptoms = [placed(instrument, o) for o in symptoms]
    up = with_settings(instrument, instrument.controls_up())
    candidates = _candidates(up, symptoms)
    study = FaultStudy(up, tuple(symptoms), tuple(candidates))
    return Finding(_ranked(study), _best_next(study), study.misfit())


def placed(instrument: Instrument, o: Symptom) -> Symptom:
    """A symptom that this instrument can show; its only position need not be named.

    Raises
    ------
    InputError
        For positions or controls that are not there, and a symptom of no one kind.
    """
    with_settings(instrument, o.settings or {})
    if o.numeric and (o.resistance is None) == (o.inductance is None):
        raise InputError.of("symptom", "is one of: a resistance, an inductance, a yes or no")
    if o.position is not None:
        instrument.position(o.position)
    elif o.yes_no not in ("touch", "turn"):
        names = [p.name for p in instrument.positions]
        if len(names) > 1:
            raise InputError.of("position", f"is missing; it is one of: {quoted(names)}")
        return replace(o, position=names[0])
    return o


def _candidates(instrument: Instrument, taken: Sequence[Symptom]) -> list[Symptom]:
    """Readings not yet taken: each position with all controls up, and with each that matters turned down."""
    found = []
    for p in instrument.positions:
        turns: list[dict[str, float]] = [{}, *turned_alone(instrument, p)]
        found += [Symptom(position=p.name, resistance="open", settings=t) for t in turns]
        found.append(Symptom(position=p.name, inductance=quantity(1.0, "henry")))
        several = len(p.wiring.pickups()) > 1
        found += [
            Symptom(position=p.name, yes_no=k)
            for k in ("silent", "dull", *(("quiet", "thin") if several else ()))
        ]
    found += [Symptom(yes_no=k) for k in ("touch", "turn")]
    known = {str(o) for o in taken}
    return [o for o in found if str(o) not in known]


def _ranked(study: FaultStudy) -> tuple[Ranked, ...]:
    """Causes with all their severities taken together, likeliest first."""
    total: dict[str, float] = {}
    worst: dict[str, tuple[float, str]] = {}
    for fault, p in zip(study.faults, study.probabilities, strict=True):
        total[fault.cause] = total.get(fault.cause, 0.0) + float(p)
        if float(p) >= worst.get(fault.cause, (-1.0, ""))[0]:
            worst[fault.cause] = (float(p), fault.severity)
    order = sorted(total, key=lambda cause: -total[cause])
    return tuple(Ranked(c, total[c], worst[c][1]) for c in order)


def _best_next(study: FaultStudy) -> Next | None:
    if not study.open:
        return None
    p = study.probabilities
    causes = np.array([f.cause for f in study.faults])
    other = causes[:, np.newaxis] != causes
    scores = [float(p @ (study.apart(o) * other) @ p) for o in study.open]
    best = int(np.argmax(np.array(scores) >= NEARLY_BEST * max(scores)))
    if scores[best] < WORTH_A_READING:
        return None
    chosen = study.open[best]
    likely: dict[str, str] = {}
    for i in np.argsort(-p):
        likely.setdefault(study.faults[i].cause, study.told(int(i), chosen))
    return Next(str(chosen), scores[best], tuple(list(likely.items())[:4]))
