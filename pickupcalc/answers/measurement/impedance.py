"""A pickup's parts from its impedance: out of a recorded sweep, a table of values or a one-port."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.measurement.estimates import Figure, percent
from pickupcalc.answers.measurement.sound_card import (
    LEAST_COHERENCE,
    UNKNOWN_GAIN,
    Bench,
    Calibration,
    recorded_ratio,
)
from pickupcalc.errors import InputError
from pickupcalc.parts.impedance_file import Curve, read_csv, read_touchstone
from pickupcalc.physics.measuring.fit import Fit, fit_pickup
from pickupcalc.physics.measuring.impedance import series_inductance
from pickupcalc.physics.measuring.sweeps import Ratio
from pickupcalc.units import engineering, quantity

if TYPE_CHECKING:
    from pint import Quantity

MOST_MISFIT = 0.08  # relative, of the fit; a pickup's real curve stays below 2 % with six parts
UNITS = ("ohm", "henry", "farad", "ohm", "henry", "ohm")


@dataclass(frozen=True)
class Measured:
    """An impedance curve and the pickup behind it.

    Attributes
    ----------
    frequency : Quantity, shape (points,)
    impedance : ndarray of complex, shape (points,)
        Ohm.
    deviation : ndarray, shape (points,)
        Standard deviation of real and imaginary part, relative; of what scatters.
    coherence : ndarray, shape (points,)
    figures : mapping of str to Figure
        resistance, inductance (at low frequency), capacitance, loss_resistance,
        and where iron shows, iron_inductance and iron_resistance. Their
        fractions hold together in 95 of 100 cases.
    dominated_by : mapping of str to str
        What each is least sure of.
    inductance_at : tuple of (float, float)
        Hz and henry: the series inductance of the winding and its iron.
    misfit : float
        Of fitted over measured, relative.
    four : mapping of str to Figure
        The same pickup in four parts only, as job file and circuits take it:
        where iron shows, its losses are then in `loss_resistance`.
    calibration : Calibration or None
    """

    frequency: Quantity
    impedance: NDArray[Any]
    deviation: NDArray[Any]
    coherence: NDArray[Any]
    figures: dict[str, Figure]
    dominated_by: dict[str, str]
    inductance_at: tuple[tuple[float, float], ...]
    misfit: float
    calibration: Calibration | None
    fitted: NDArray[Any]
    four: dict[str, Figure]

    def as_json(self) -> dict[str, Any]:
        keys = {"resistance": "ohm", "inductance": "h", "capacitance": "f", "loss_resistance": "ohm"}
        keys |= {"iron_inductance": "h", "iron_resistance": "ohm"}
        found = {f"{k}_{keys[k]}": float(v.value.m) for k, v in self.figures.items()}
        return {
            "format": 1,
            **found,
            "uncertainty": {f"{k}_{keys[k]}": v.fraction for k, v in self.figures.items()},
            "dominated_by": self.dominated_by,
            "four_parts": {f"{k}_{keys[k]}": float(v.value.m) for k, v in self.four.items()},
            "inductance_h_at": {f"{hertz:g}": henry for hertz, henry in self.inductance_at},
            "misfit": self.misfit,
            "frequencies_hz": self.frequency.m.tolist(),
            "impedance_ohm": np.abs(self.impedance).tolist(),
            "phase_deg": np.degrees(np.angle(self.impedance)).tolist(),
            "relative_error": self.deviation.tolist(),
            "coherence": self.coherence.tolist(),
        }


def measure(path: str | Path, bench: Bench | None = None, calibration: Calibration | None = None) -> Measured:
    """A pickup from a recorded sweep (.wav), a curve (.csv) or a one-port (.s1p).

    Parameters
    ----------
    path : str or Path
    bench : Bench, optional
        Needed for recordings and for ratios.
    calibration : Calibration, optional
        For recordings; without it the channels' gains count as equal within 2 %.

    Returns
    -------
    Measured

    Raises
    ------
    InputError
        For what cannot be trusted, with the reason: clipped, one channel too
        few, channels exchanged or alike, too little level, too much mains, or
        no pickup's curve.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> from pickupcalc.answers.measurement.sound_card import Bench
    >>> found = pc.measure("data/recordings/sweep_12_neck.csv", Bench(resistor="10 kohm"))
    >>> f"{found.figures['inductance'].value.m:.2f} H"
    '2.43 H'
    """
    path = Path(path)
    try:
        kind = path.suffix.lower()
        if kind in (".csv", ".txt"):
            return _from_curve(read_csv(path), bench)
        if kind == ".s1p":
            return _from_curve(read_touchstone(path), bench)
        if bench is None:
            raise InputError.of("--resistor", "is missing: the known resistor in series with the pickup")
        ratio = recorded_ratio(path)
        return _from_ratio(ratio, bench, calibration)
    except InputError as error:
        raise InputError(error.faults, error.source or str(path)) from None


def _from_ratio(ratio: Ratio, bench: Bench, calibration: Calibration | None) -> Measured:
    good = (ratio.coherence > LEAST_COHERENCE) & (ratio.deviation < 0.2)
    hertz = ratio.frequency[good]
    value = ratio.value[good] if calibration is None else calibration.undo(hertz, ratio.value[good])
    z, slope = bench.impedance(hertz, value)
    gain = UNKNOWN_GAIN if calibration is None else calibration.fraction
    return _measured(hertz, z, ratio.deviation[good] * slope, ratio.coherence[good], bench, gain, calibration)


def _from_curve(curve: Curve, bench: Bench | None) -> Measured:
    inside = (curve.frequency >= 1.0) & (curve.frequency <= 100e3)
    hertz, z = curve.frequency[inside], curve.value[inside]
    if curve.kind == "ratio" or (curve.kind == "" and bench is not None):
        if bench is None:
            raise InputError.of("--resistor", "is missing: the file holds a ratio of voltages")
        z, _ = bench.impedance(hertz, z)
    else:
        bench = None
    if hertz.size < 8:
        raise InputError.of("", "has fewer than 8 points between 1 Hz and 100 kHz")
    return _measured(hertz, z, None, np.ones(hertz.size), bench, 0.0, None)


def _measured(
    hertz: NDArray[Any],
    z: NDArray[Any],
    deviation: NDArray[Any] | None,
    coherence: NDArray[Any],
    bench: Bench | None,
    gain: float,
    calibration: Calibration | None,
) -> Measured:
    _refuse_wrong_way(hertz, z, bench)
    fit = fit_pickup(hertz, z, deviation)
    misfit = fit.size
    if not misfit < MOST_MISFIT:
        worst = hertz[int(np.argmax(np.abs(fit.misfit)))]
        told = f"the best fit is off by {percent(misfit)}, most at {engineering(worst, 'Hz', 2)}"
        advice = "check resistor, channels and wiring, and calibrate the channels"
        raise InputError.of("", f"is no pickup's curve: {told}; {advice}")
    scale = float(np.hypot(gain, bench.resistor_tolerance)) if bench else 0.0
    figures, causes = _figures(fit, scale, gain, bench)
    four = figures
    if fit.values.size > 4:
        four, _ = _figures(fit_pickup(hertz, z, deviation, iron=False), scale, gain, bench)
    shown = deviation if deviation is not None else np.full(hertz.size, np.sqrt(fit.scatter))
    at = [f for f in (100.0, 1000.0, 5000.0) if hertz[0] <= f <= hertz[-1]]
    inductances = tuple((f, float(series_inductance(2 * np.pi * f, fit.values))) for f in at)
    return Measured(
        quantity(hertz, "hertz"), z, shown, coherence, figures, causes, inductances, misfit, calibration,
        fit.impedance(2 * np.pi * hertz), four,
    )  # fmt: skip


def _refuse_wrong_way(hertz: NDArray[Any], z: NDArray[Any], bench: Bench | None) -> None:
    """Channels exchanged turn an inductance into a capacitance; one inverted turns resistance negative.

    A file that holds the impedance itself has no channels: there its columns are to be looked at.
    """
    if bench is None:
        inverted = exchanged = "no pickup does that, look at the file's columns and their units"
    else:
        inverted = "a channel is inverted, or --channels is wrong"
        exchanged = "the channels are exchanged, or --channels is wrong"
    low = hertz < max(1500.0, hertz[min(7, hertz.size - 1)])
    if np.median(z.real[low]) < 0:
        raise InputError.of("", f"gives a negative resistance: {inverted}")
    steep = low & (hertz > 200) if (low & (hertz > 200)).sum() > 3 else low
    if np.median(np.angle(z[steep])) < -0.05:
        raise InputError.of("", f"is a capacitor at low frequency: {exchanged}")


def _figures(
    fit: Fit, scale: float, gain: float, bench: Bench | None
) -> tuple[dict[str, Figure], dict[str, str]]:
    names: Sequence[str] = ("resistance", "inductance", "capacitance", "loss_resistance")
    if fit.values.size == 6:
        names = (*names, "iron_inductance", "iron_resistance")
    figures, causes = {}, {}
    shared = "the known resistor" if bench and bench.resistor_tolerance >= gain else "the channels' gain"
    for name, value, deviation, unit in zip(names, fit.values, fit.deviation, UNITS, strict=False):
        own = deviation * fit.factor
        if name == "inductance":
            value, log = fit.inductance
            own = log * fit.factor
        figures[name] = Figure(quantity(float(value), unit), float(np.hypot(own, scale)), own < 0.5)
        scatter = "how well the model fits" if fit.scatter > 2 else "noise"
        causes[name] = shared if scale > own else scatter
    return figures, causes
