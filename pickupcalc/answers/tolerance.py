"""How far the inputs of a prediction may be off, and an instrument with them varied.

One at a time for the sheet; all at once, drawn at random, for a study of what
the tolerance of real parts does to a choice.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import Instrument, Position
from pickupcalc.limits import SAMPLES, whole
from pickupcalc.parts.controls import Tone
from pickupcalc.tables import table
from pickupcalc.units import engineering

BATCHED = {"track": ("tracks", "Ω"), "resistor_across": ("resistors", "Ω"), "capacitor": ("capacitors", "F")}


@dataclass(frozen=True)
class UncertainInput:
    """One value of an instrument and how far it may be off.

    Attributes
    ----------
    label : str
        As a repairer would call it; no two inputs of an instrument share one.
    owner : str
        "pickups", "controls" or "load".
    index : int
        Which pickup or control.
    key : str
    fraction : float
        Two standard deviations, relative.
    """

    label: str
    owner: str
    index: int
    key: str
    fraction: float


def uncertain_inputs(instrument: Instrument, position: Position) -> list[UncertainInput]:
    """The values that a position's behaviour rests on.

    Sources and sizes are in the table "uncertainty"; a value nobody measured
    counts as less certain than a reading. Bypass parts, and parts that a
    position's wiring adds, count as exact.
    """
    sizes = table("uncertainty")
    present = set(position.wiring.pickups())
    found = []
    for i, pickup in enumerate(instrument.pickups):
        if pickup.name not in present:
            continue
        for key in ("resistance", "inductance", "capacitance", "loss_resistance", "hum_sensitivity"):
            kind = "assumed" if key in (*pickup.assumed(), "hum_sensitivity") else "measured"
            kind = "computed" if key in pickup.computed else kind
            if key != "loss_resistance" or pickup.loss_resistance is not None:
                label = f"{pickup.name}'s {key.replace('_', ' ')}"
                found.append(UncertainInput(label, "pickups", i, key, sizes[kind][key]))
    for i, (control, label) in enumerate(zip(instrument.controls, instrument.control_labels(), strict=True)):
        if control.pickups is not None and not present.intersection(control.pickups):
            continue
        found.append(UncertainInput(f"{label}'s track", "controls", i, "track", sizes["marked"]["track"]))
        if isinstance(control, Tone):
            size = sizes["marked"]["capacitor"]
            found.append(UncertainInput(f"{label}'s capacitor", "controls", i, "capacitor", size))
        if control.resistor_across is not None:
            size = sizes["marked"]["resistor"]
            found.append(UncertainInput(f"{label}'s resistor", "controls", i, "resistor_across", size))
    return found + _load_inputs(instrument)


_LOAD = {
    "cable_length": "the cable's length",
    "cable_capacitance": "the cable's capacitance",
    "amplifier_resistance": "the amplifier's input resistance",
    "amplifier_capacitance": "the amplifier's input capacitance",
}


def _load_inputs(instrument: Instrument) -> list[UncertainInput]:
    sizes = table("uncertainty")
    load = instrument.load
    assumed = load.assumed()
    cable = [key for key in ("cable_length", "cable_capacitance") if key in assumed]
    keys = [*(cable or ["cable_capacitance"]), "amplifier_resistance", "amplifier_capacitance"]
    found = []
    for key in keys:
        size = sizes["assumed" if key in assumed else "measured"][key]
        found.append(UncertainInput(_LOAD[key], "load", 0, key, size))
    return found


def varied(instrument: Instrument, factors: Mapping[UncertainInput, Any]) -> Instrument:
    """The instrument with values multiplied, each factor a number or shape (sets,)."""
    parts: dict[str, list[Any]] = {
        "pickups": list(instrument.pickups),
        "controls": list(instrument.controls),
        "load": [instrument.load],
    }
    for which, factor in factors.items():
        group = parts[which.owner]
        old = group[which.index]
        value = old.known(which.key) if which.key in old.assumed() else getattr(old, which.key)
        group[which.index] = replace(old, **{which.key: value * factor})
    return replace(
        instrument,
        pickups=tuple(parts["pickups"]),
        controls=tuple(parts["controls"]),
        load=parts["load"][0],
    )


def each_alone(instrument: Instrument, inputs: Sequence[UncertainInput], factors: Any) -> Instrument:
    """The instrument as it is, then with one input after the other multiplied: that many sets and one."""
    sets = 1 + np.diag(np.asarray(factors) - 1)
    return varied(instrument, {which: np.concatenate([[1.0], sets[j]]) for j, which in enumerate(inputs)})


def inputs_of(instrument: Instrument, positions: Sequence[Position]) -> list[UncertainInput]:
    """The uncertain inputs of several positions, each once."""
    return list(dict.fromkeys(i for p in positions for i in uncertain_inputs(instrument, p)))


@dataclass(frozen=True)
class Draw:
    """Many instruments of the same drawing, each with its own parts.

    Attributes
    ----------
    factors : mapping of UncertainInput to ndarray, shape (samples,)
        What to multiply each input by.
    causes : tuple of str
        What varies independently: each part by itself, and each batch.
    normals : ndarray, shape (samples, causes)
        How far each cause is off, in its own standard deviations.
    """

    factors: Mapping[UncertainInput, NDArray[Any]]
    causes: tuple[str, ...]
    normals: NDArray[Any]

    def rows(self, rows: slice) -> dict[UncertainInput, NDArray[Any]]:
        """Factors for some of the samples."""
        return {which: factor[rows] for which, factor in self.factors.items()}

    def shares(self, values: NDArray[Any]) -> dict[str, float]:
        """How much of a figure's variance each cause makes, greatest first.

        The squared coefficients of a straight-line fit to the independent causes
        (A. Saltelli et al., *Sensitivity Analysis in Practice*, 2004, section 1.2.5).
        What is missing to 1 is curvature, and causes that act together.

        Parameters
        ----------
        values : ndarray, shape (samples,)
            The figure in each sample; nan where it has none.
        """
        there = np.isfinite(values)
        spread = np.var(values[there]) if there.any() else 0.0
        if there.sum() <= len(self.causes) + 1 or spread <= 1e-24 * np.mean(values[there]) ** 2:
            return {}
        model = np.column_stack([np.ones(there.sum()), self.normals[there]])
        slopes = np.linalg.lstsq(model, values[there], rcond=None)[0][1:]
        shares = {cause: float(b**2 / spread) for cause, b in zip(self.causes, slopes, strict=True)}
        return dict(sorted(shares.items(), key=lambda item: -item[1]))


def draw(
    instrument: Instrument,
    inputs: Sequence[UncertainInput],
    samples: int,
    *,
    seed: int = 1,
    batch_share: float | None = None,
) -> Draw:
    """Draw parts at random, those of one batch together.

    A factor is log-normal about 1, so that 19 of 20 lie within the input's
    fraction and none turns negative. Tracks, capacitors and resistors with the
    same marking are one batch: `batch_share` of their variance (from the table
    "uncertainty" if left out) is common to all of them.

    Parameters
    ----------
    instrument : Instrument
        With one value for each part.
    inputs : sequence of UncertainInput
    samples : int
        2 to 100,000.
    seed : int
        The same seed gives the same parts.
    batch_share : float, optional
        0 (every part by itself) to 1 (all of a marking alike).

    Raises
    ------
    InputError
        For a number of samples or a share out of range.
    """
    whole("samples", samples, 2, SAMPLES)
    share = table("uncertainty")["batch"]["share"] if batch_share is None else batch_share
    if not 0 <= share <= 1:
        raise InputError.of("batch_share", f"{share:g} is not from 0 to 1")
    batches = _batches(instrument, inputs)
    normals = _independent(np.random.default_rng(seed), samples, len(inputs) + len(batches))
    deviations = normals[:, : len(inputs)].copy()
    for k, members in enumerate(batches.values(), len(inputs)):
        for j in members:
            deviations[:, j] = np.sqrt(1 - share) * normals[:, j] + np.sqrt(share) * normals[:, k]
    factors = {i: np.exp(deviations[:, j] * np.log1p(i.fraction) / 2) for j, i in enumerate(inputs)}
    return Draw(factors, (*(i.label for i in inputs), *batches), normals)


def _independent(random: np.random.Generator, samples: int, causes: int) -> NDArray[Any]:
    """Standard normals; where there are enough, with mean 0, variance 1 and no correlation exactly.

    A sample's chance correlations would blur the shares of the variance.
    """
    normals = random.standard_normal((samples, causes))
    if samples <= 2 * causes:
        return normals
    normals -= normals.mean(axis=0)
    spread = np.linalg.cholesky(normals.T @ normals / samples)
    return np.linalg.solve(spread, normals.T).T


def _batches(instrument: Instrument, inputs: Sequence[UncertainInput]) -> dict[str, list[int]]:
    """Which inputs are parts with the same marking, by a name for the batch."""
    found: dict[str, list[int]] = {}
    for j, i in enumerate(inputs):
        if i.owner == "controls" and i.key in BATCHED:
            kind, symbol = BATCHED[i.key]
            value = getattr(instrument.controls[i.index], i.key).magnitude
            found.setdefault(f"the batch of {engineering(value, symbol)} {kind}", []).append(j)
    return {name: members for name, members in found.items() if len(members) > 1}
