"""How likely each cause is after some readings, and what each would make of the next one.

Each cause predicts each reading, with the spread that the parts' tolerances
give it. How likely the readings are under a cause is a Gaussian in which the
readings share those tolerances (a multivariate normal with covariance
J S J^T + errors, as in any text on linear models); yes and no symptoms
multiply it by how often they come true.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.measurement.faults import Fault, possible_faults
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
from pickupcalc.answers.tolerance import UncertainInput, each_alone, inputs_of
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.tables import table

STEP = 0.02  # of a logarithm, for slopes over tolerances


@dataclass(frozen=True)
class FaultStudy:
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
    def inputs(self) -> list[UncertainInput]:
        every = inputs_of(self.instrument, self.instrument.positions)
        return [i for i in every if i.owner != "load" and i.key != "hum_sensitivity"]

    @cached_property
    def values(self) -> NDArray[Any]:
        """What was read, in the scale of comparison."""
        return np.array([scale(o, read(o)) for o in self.taken if o.numeric])

    @cached_property
    def predictions(self) -> list[tuple[NDArray[Any], NDArray[Any]]]:
        """Mean, shape (readings,), and covariance for each cause."""
        instrument = each_alone(self.instrument, self.inputs, np.full(len(self.inputs), 1 + STEP))
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

    def misfit(self) -> float:
        """Squared misfit per reading of the likeliest cause."""
        n = self.numbers
        if not n:
            return 0.0
        mean, covariance = self.predictions[int(np.argmax(self.probabilities))]
        off = self.values - mean[:n]
        return float(off @ np.linalg.solve(covariance[:n, :n], off) / n)

    def apart(self, o: Symptom) -> NDArray[Any]:
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

    def told(self, i: int, o: Symptom) -> str:
        if not o.numeric:
            return "yes" if self._yes(self.faults[i], o) > 0.5 else "no"
        mean, _ = self._foreseen(i, o)
        if o.inductance is not None:
            return f"{mean:.3g} H"
        ohm = np.exp(mean)
        if ohm > 0.5 * METER_END:
            return "open"
        return "shorted" if ohm < 3 * CONTACT else f"{ohm / 1e3:.3g} kΩ"
