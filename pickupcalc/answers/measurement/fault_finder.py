"""What is wrong, unopened: ranks the causes for the readings given, and names the next reading.

Each cause predicts each reading, with the spread that the parts' tolerances
give it. How likely the readings are under a cause is a Gaussian in which the
readings share those tolerances (a multivariate normal with covariance
J S J^T + errors, as in any text on linear models); yes and no symptoms
multiply it by how often they come true. The best next reading is the one whose
predictions lie furthest apart between causes that are still likely (1 minus
the Bhattacharyya coefficient, A. Bhattacharyya, Bull. Calcutta Math. Soc. 35,
99, 1943).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.measurement.faults import Fault, possible_faults
from pickupcalc.answers.measurement.jack import with_settings
from pickupcalc.answers.measurement.symptoms import (
    CONTACT,
    METER_END,
    SOUND,
    Symptom,
    error,
    observed,
    predicted,
    read,
    scale,
)
from pickupcalc.answers.tolerance import uncertain_inputs, varied
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.tables import table
from pickupcalc.units import quantity

if TYPE_CHECKING:
    pass

POOR_FIT = 6.0  # squared misfit per reading above which a cause does not explain it
TIED = 0.8  # of the likeliest cause's probability: the next one is then not told apart
WORTH_A_READING = 0.01  # separation below which no reading would change the ranking
STEP = 0.02  # of a logarithm, for slopes over tolerances


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
    """Causes, likeliest first, and the next reading; None where none would change the ranking."""

    causes: tuple[Ranked, ...]
    next_reading: Next | None
    fits: float

    def __str__(self) -> str:
        shown = [c for c in self.causes[:6] if c.probability >= 0.005]
        lines = [
            f"{100 * c.probability:4.0f} %  {c.cause}" + (f" ({c.severity})" if c.severity else "")
            for c in shown
        ]
        if self.fits > POOR_FIT:
            lines.append("None of these explains the readings well: two faults, or another wiring.")
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
    for o in symptoms:
        _check(instrument, o)
    up = with_settings(instrument, dict.fromkeys(instrument.control_labels(), 1.0))
    candidates = _candidates(up, symptoms)
    study = _Study(up, tuple(symptoms), tuple(candidates))
    return Finding(study.ranked(), study.best_next(), study.misfit())


def _check(instrument: Instrument, o: Symptom) -> None:
    with_settings(instrument, o.settings or {})
    if o.position is not None:
        instrument.position(o.position)
    elif o.yes_no not in ("touch", "turn"):
        raise InputError.of("position", f"is missing; {o} needs one")
    if o.numeric and (o.resistance is None) == (o.inductance is None):
        raise InputError.of("symptom", "is one of: a resistance, an inductance, a yes or no")


def _candidates(instrument: Instrument, taken: Sequence[Symptom]) -> list[Symptom]:
    """Readings not yet taken: each position as it is, and with each tone turned down."""
    found = []
    turns: list[dict[str, float]] = [{}, *({label: 0.0} for label in instrument.control_labels())]
    for p in instrument.positions:
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


@dataclass(frozen=True)
class _Study:
    """All causes against all readings, taken ones first, then those that could be."""

    instrument: Instrument
    taken: tuple[Symptom, ...]
    open: tuple[Symptom, ...]

    @cached_property
    def faults(self) -> list[Fault]:
        return possible_faults(self.instrument)

    @cached_property
    def readings(self) -> list[Symptom]:
        return [o for o in (*self.taken, *self.open) if o.numeric]

    @cached_property
    def numbers(self) -> int:
        return sum(o.numeric for o in self.taken)

    @cached_property
    def inputs(self) -> list[Any]:
        every = [i for p in self.instrument.positions for i in uncertain_inputs(self.instrument, p)]
        return [i for i in dict.fromkeys(every) if i.owner != "load" and i.key != "hum_sensitivity"]

    @cached_property
    def values(self) -> NDArray[Any]:
        """What was read, in the scale of comparison."""
        return np.array([scale(o, read(o)) for o in self.taken if o.numeric])

    @cached_property
    def predictions(self) -> list[tuple[NDArray[Any], NDArray[Any]]]:
        """Mean, shape (readings,), and covariance for each cause."""
        steps = 1 + STEP * np.eye(len(self.inputs))
        sets = {i: np.concatenate([[1.0], steps[j]]) for j, i in enumerate(self.inputs)}
        instrument = varied(self.instrument, sets)
        spreads = np.array([i.fraction for i in self.inputs]) / 2
        return [self._prediction(fault, instrument, spreads) for fault in self.faults]

    def _prediction(
        self, fault: Fault, instrument: Instrument, spreads: NDArray[Any]
    ) -> tuple[NDArray[Any], NDArray[Any]]:
        altered = fault.alter(instrument)
        rows = [scale(o, predicted(fault, altered, o)) for o in self.readings]
        shape = (len(rows), len(self.inputs) + 1)
        read = np.array([np.broadcast_to(r, shape[1]) for r in rows]).reshape(shape)
        slopes = (read[:, 1:] - read[:, :1]) / STEP * spreads
        errors = [error(o, m) for o, m in zip(self.readings, read[:, 0], strict=True)]
        covariance = slopes @ slopes.T + np.diag(np.square(errors))
        if fault.severity:
            covariance += np.diag(np.full(len(rows), 1.0)) * self._severity_share(fault, read[:, 0])
        return read[:, 0], covariance

    def _severity_share(self, fault: Fault, mean: NDArray[Any]) -> NDArray[Any]:
        """A severity lies between the steps listed: readings it moves are less sure by that much."""
        size = table("faults")["severity"]["severity_spread"]
        kind = 0.05 if fault.kind == "wrong pot" else size
        return np.square(kind * (mean - self._sound))

    @cached_property
    def _sound(self) -> NDArray[Any]:
        return np.array([scale(o, predicted(SOUND, self.instrument, o)) for o in self.readings]).ravel()

    @cached_property
    def probabilities(self) -> NDArray[Any]:
        logs = np.log([f.weight for f in self.faults])
        for i, fault in enumerate(self.faults):
            logs[i] += self._log_likelihood(i)
            for o in self.taken:
                if not o.numeric:
                    p = self._yes(fault, o)
                    logs[i] += np.log(p if o.answer else 1 - p)
        weights = np.exp(logs - logs.max())
        return weights / weights.sum()

    def _log_likelihood(self, i: int) -> float:
        n = self.numbers
        if not n:
            return 0.0
        mean, covariance = self.predictions[i]
        off = self.values - mean[:n]
        c = covariance[:n, :n]
        _, size = np.linalg.slogdet(c)
        return float(-0.5 * (off @ np.linalg.solve(c, off) + size))

    def _yes(self, fault: Fault, o: Symptom) -> float:
        sizes = table("faults")
        assert o.yes_no is not None
        if o.yes_no in ("touch", "turn"):
            return float(sizes[o.yes_no].get(fault.kind, sizes[o.yes_no]["usual"]))
        true = observed(fault, fault.alter(self.instrument), self.instrument, o)
        slip = sizes["slip"]["any"]
        return 0.5 if true is None else 1 - slip if true else slip

    def ranked(self) -> tuple[Ranked, ...]:
        """Causes with all their severities taken together, likeliest first."""
        total: dict[str, float] = {}
        worst: dict[str, tuple[float, str]] = {}
        for fault, p in zip(self.faults, self.probabilities, strict=True):
            total[fault.cause] = total.get(fault.cause, 0.0) + float(p)
            if float(p) >= worst.get(fault.cause, (-1.0, ""))[0]:
                worst[fault.cause] = (float(p), fault.severity)
        order = sorted(total, key=lambda cause: -total[cause])
        return tuple(Ranked(c, total[c], worst[c][1]) for c in order)

    def misfit(self) -> float:
        """Squared misfit per reading of the likeliest cause."""
        n = self.numbers
        if not n:
            return 0.0
        mean, covariance = self.predictions[int(np.argmax(self.probabilities))]
        off = self.values - mean[:n]
        return float(off @ np.linalg.solve(covariance[:n, :n], off) / n)

    def best_next(self) -> Next | None:
        if not self.open:
            return None
        p = self.probabilities
        causes = np.array([f.cause for f in self.faults])
        other = causes[:, np.newaxis] != causes
        scores = [float(p @ (self._apart(o) * other) @ p) for o in self.open]
        best = int(np.argmax(scores))
        if scores[best] < WORTH_A_READING:
            return None
        chosen = self.open[best]
        likely: dict[str, str] = {}
        for i in np.argsort(-p):
            likely.setdefault(self.faults[i].cause, self._told(int(i), chosen))
        return Next(str(chosen), scores[best], tuple(list(likely.items())[:4]))

    def _apart(self, o: Symptom) -> NDArray[Any]:
        """1 minus the Bhattacharyya coefficient of what two causes predict, shape (causes, causes)."""
        if not o.numeric:
            yes = np.array([self._yes(f, o) for f in self.faults])
            return 1 - np.sqrt(np.outer(yes, yes)) - np.sqrt(np.outer(1 - yes, 1 - yes))
        mean, variance = np.array([self._foreseen(i, o) for i in range(len(self.faults))]).T
        both = variance[:, np.newaxis] + variance
        distance = 0.25 * np.subtract.outer(mean, mean) ** 2 / both
        distance += 0.5 * np.log(both / (2 * np.sqrt(np.outer(variance, variance))))
        return 1 - np.exp(-distance)

    def _foreseen(self, i: int, o: Symptom) -> tuple[float, float]:
        """Mean and variance of a reading under a cause, given the readings already taken."""
        n, k = self.numbers, self.readings.index(o)
        mean, covariance = self.predictions[i]
        if not n:
            return float(mean[k]), float(covariance[k, k])
        gain = np.linalg.solve(covariance[:n, :n], covariance[:n, k])
        at = mean[k] + gain @ (self.values - mean[:n])
        return float(at), float(max(covariance[k, k] - gain @ covariance[:n, k], 1e-12))

    def _told(self, i: int, o: Symptom) -> str:
        if not o.numeric:
            return "yes" if self._yes(self.faults[i], o) > 0.5 else "no"
        mean, _ = self._foreseen(i, o)
        if o.inductance is not None:
            return f"{mean:.3g} H"
        ohm = np.exp(mean)
        if ohm > 0.5 * METER_END:
            return "open"
        return "shorted" if ohm < 3 * CONTACT else f"{ohm / 1e3:.3g} kΩ"
