"""The fault finder on trial: faults and tolerances drawn at random, its own next readings taken.

    python tests/benchmarks/trial_fault_finder.py [CASES]

Stated probabilities should come true: as often as the likeliest cause is the
right one, so high should its probability be on average.
"""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

from pickupcalc.answers.measurement.fault_finder import find_fault
from pickupcalc.answers.measurement.faults import possible_faults
from pickupcalc.answers.measurement.symptoms import YES_NO, Symptom, observed, predicted
from pickupcalc.answers.tolerance import uncertain_inputs, varied
from pickupcalc.instrument.jobfile import read_job
from pickupcalc.instrument.turning import with_settings
from pickupcalc.tables import table

BASS = read_job(Path(__file__).parents[2] / "data" / "bass_12.toml").instrument
UP = with_settings(BASS, dict.fromkeys(BASS.control_labels(), 1.0))
MOST_READINGS = 6


def asked(text):
    """The symptom that a next reading's sentence stands for."""
    position = next((p.name for p in UP.positions if f"position '{p.name}'" in text), None)
    settings = {label: 0.0 for label in UP.control_labels() if f"{label} down" in text.rpartition("'")[2]}
    for key, sentence in YES_NO.items():
        if text == sentence.format(where=f"position {position!r}"):
            return Symptom(yes_no=key, position=position)
    value = {"inductance": "1 H"} if text.startswith("inductance") else {"resistance": "open"}
    return Symptom(position=position, settings=settings, **value)


def answered(symptom, fault, real, rng):
    """What the faulty instrument would give, with the meter's own scatter."""
    if symptom.yes_no in ("touch", "turn"):
        odds = table("faults")[symptom.yes_no]
        return replace(symptom, answer=bool(rng.random() < odds.get(fault.kind, odds["usual"])))
    if symptom.yes_no:
        return replace(symptom, answer=bool(observed(fault, real, UP, symptom)))
    value = float(np.ravel(predicted(fault, real, symptom))[0]) * (1 + 0.01 * rng.normal())
    if symptom.inductance is not None:
        return replace(symptom, inductance=f"{value} H")
    return replace(symptom, resistance="open" if value > 2e7 else f"{value + 0.3} ohm")


def main() -> None:
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    rng = np.random.default_rng(3)
    faults = possible_faults(UP)
    weights = np.array([f.weight for f in faults])
    inputs = list(dict.fromkeys(i for p in UP.positions for i in uncertain_inputs(UP, p)))
    stated, readings, hits = [], [], 0
    for _ in range(cases):
        fault = faults[rng.choice(len(faults), p=weights / weights.sum())]
        parts = {i: float(np.exp(rng.normal() * i.fraction / 2)) for i in inputs}
        real = fault.alter(varied(UP, parts))
        taken = []
        found = find_fault(BASS, taken)
        while found.next_reading is not None and len(taken) < MOST_READINGS:
            taken.append(answered(asked(found.next_reading.reading), fault, real, rng))
            found = find_fault(BASS, taken)
        stated.append(found.causes[0].probability)
        readings.append(len(taken))
        hits += found.causes[0].cause == fault.cause
    right, said = 100 * hits / cases, 100 * np.mean(stated)
    print(
        f"{cases} faults: right in {right:.0f} %, stated {said:.0f} %, {np.mean(readings):.1f} readings each"
    )


if __name__ == "__main__":
    main()
