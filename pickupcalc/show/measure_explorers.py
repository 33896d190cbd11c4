"""The explorers of the notebooks on readings: meter, sound card, hum recordings."""

from __future__ import annotations

from typing import Any

from pickupcalc.answers.measurement.estimates import percent
from pickupcalc.answers.measurement.hum_change import Comparison
from pickupcalc.answers.measurement.impedance import Measured
from pickupcalc.answers.measurement.meter import meter_reading, why_they_disagree
from pickupcalc.answers.measurement.rehearsal import rehearse_hum, rehearse_sweep
from pickupcalc.answers.measurement.sound_card import Bench
from pickupcalc.parts.pickup import Pickup
from pickupcalc.show.measure_plots import hum_figure, impedance_figure, meter_figure
from pickupcalc.show.widgets import ChoiceDial, Dial, Explorer, NumberDial, QuantityDial
from pickupcalc.units import engineering

Read = tuple[Pickup, str, str]


def coil_dials() -> dict[str, Dial]:
    """The four parts of a pickup as a meter meets them."""
    return {
        "resistance": QuantityDial("coil resistance", "ohm", "6.1 kohm", "1 kohm", "20 kohm"),
        "inductance": QuantityDial("coil inductance", "henry", "2.45 H", "0.5 H", "12 H"),
        "capacitance": QuantityDial("own capacitance", "farad", "110 pF", "20 pF", "400 pF"),
        "loss_resistance": QuantityDial("losses", "ohm", "1.2 Mohm", "50 kohm", "5 Mohm"),
    }


def meter_explorer() -> Explorer:
    """What an inductance meter shows for a pickup, and why another one disagrees."""
    meters = ["100 Hz", "120 Hz", "1 kHz", "10 kHz"]
    dials = {
        **coil_dials(),
        "frequency": ChoiceDial("meter", meters),
        "mode": ChoiceDial("mode", ["series", "parallel"], "parallel"),
    }
    return Explorer(dials, _read, lambda read: meter_figure(read[0]), _read_words)


def _read(frequency: str, mode: str, **parts: Any) -> Read:
    return Pickup(name="pickup", **parts), frequency, mode


def _read_words(read: Read) -> str:
    pickup, frequency, mode = read
    shown = meter_reading(pickup, frequency, mode)
    off = 100 * (shown.inductance.m / pickup.inductance.m - 1)
    told = (
        f"In {mode} mode at {frequency} the meter shows {engineering(shown.inductance.m, 'H')}, "
        f"{off:+.0f} % off the coil's {engineering(pickup.inductance.m, 'H')}; Q {shown.q:.2f}."
    )
    if shown.inductance.m < 0:
        told += " Below zero: at this frequency the pickup is past its resonance and acts as a capacitor."
    if (frequency, mode) == ("100 Hz", "series"):
        return told
    return f"{told} Beside a meter in series mode at 100 Hz: " + why_they_disagree(
        pickup, ("100 Hz", "series"), (frequency, mode)
    )


def sweep_explorer() -> Explorer:
    """A sweep through a sound card, invented, measured and fitted: what level, noise and mains do to it."""
    dials = {
        **coil_dials(),
        "resistor": QuantityDial("known resistor", "ohm", "10 kohm", "100 ohm", "1 Mohm"),
        "level": NumberDial("level, dB", -12.0, -60.0, 0.0, 1.0),
        "noise": NumberDial("noise, dB", -80.0, -110.0, -40.0, 1.0),
        "mains": NumberDial("mains, dB", -60.0, -90.0, 0.0, 1.0),
    }
    return Explorer(dials, _swept, impedance_figure, _swept_words)


def _swept(
    resistance: Any,
    inductance: Any,
    capacitance: Any,
    loss_resistance: Any,
    resistor: Any,
    level: float,
    noise: float,
    mains: float,
) -> Measured:
    parts = (resistance.m, inductance.m, capacitance.m, loss_resistance.m)
    loud, floor, hum = (10 ** (db / 20) for db in (level, noise, mains))
    return rehearse_sweep(parts, Bench(resistor=resistor), seconds=1.0, level=loud, noise=floor, mains=hum)


def _swept_words(measured: Measured) -> str:
    told = [f"{name.replace('_', ' ')} {figure}" for name, figure in measured.figures.items()]
    least = max(measured.figures, key=lambda name: measured.figures[name].fraction)
    cause = measured.dominated_by[least]
    return (
        f"Found: {'; '.join(told)}. Least sure is the {least.replace('_', ' ')}, for {cause}. "
        f"The fit leaves {percent(measured.misfit)}."
    )


def hum_explorer() -> Explorer:
    """Two recordings, invented and compared: what is heard, and what can still be told."""
    dials = {
        "before": NumberDial("hum before, dB", -34.0, -80.0, -12.0, 1.0),
        "after": NumberDial("hum after, dB", -64.0, -130.0, -12.0, 1.0),
        "noise": NumberDial("noise, dB", -76.0, -100.0, -40.0, 1.0),
        "gain": NumberDial("gain moved, dB", 0.0, -12.0, 12.0, 0.5),
    }
    return Explorer(dials, _hummed, hum_figure, _hummed_words)


def _hummed(before: float, after: float, noise: float, gain: float) -> Comparison:
    one, other, floor, turned = (10 ** (db / 20) for db in (before, after, noise, gain))
    return rehearse_hum(one, other, noise=floor, gain=turned)


def _hummed_words(comparison: Comparison) -> str:
    before, after = comparison.before, comparison.after
    where = f"The mains stood at {before.mains.m:.2f} Hz"
    if after.mains_deviation is not None:
        where += f" and at {after.mains.m:.2f} Hz"
    changes = f"The hum changed by {comparison.change}; as the ear weighs it (A) by {comparison.change_a}."
    above = after.level_a_db - after.floor_a_db
    side = "above" if above > 0 else "below"
    return f"{where}. {changes} What is left lies {abs(above):.0f} dB {side} the noise, both A-weighted."
