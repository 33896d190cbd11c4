"""The explorers of the notebooks on readings: meter, sound card, hum recordings."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pickupcalc.answers.measurement.estimates import percent
from pickupcalc.answers.measurement.hum_change import Comparison, compare, proof
from pickupcalc.answers.measurement.hum_recording import hum_of
from pickupcalc.answers.measurement.impedance import Measured, measure
from pickupcalc.answers.measurement.meter import METER_FREQUENCIES, meter_reading, why_they_disagree
from pickupcalc.answers.measurement.rehearsal import rehearse_hum, rehearse_sweep
from pickupcalc.answers.measurement.sound_card import Bench
from pickupcalc.errors import InputError
from pickupcalc.instrument.jobfile import Job
from pickupcalc.instrument.readings import recorded
from pickupcalc.parts.pickup import Pickup
from pickupcalc.show.explorers.exchange import (
    coil_dials,
    coil_values,
    joined_positions,
    pickups,
    save_dialled,
    save_readings,
)
from pickupcalc.show.explorers.frame import Explorer
from pickupcalc.show.explorers.jobs import Subject
from pickupcalc.show.explorers.widgets import ChoiceDial, NumberDial, PathDial, QuantityDial
from pickupcalc.show.measure_plots import hum_figure, impedance_figure, meter_figure
from pickupcalc.units import engineering

Read = tuple[Pickup, str, str]
NAME_YOURS = "name your own recording above to save what it tells"


def meter_explorer() -> Explorer:
    """What an inductance meter shows for a pickup, and why another one disagrees."""
    dials = {
        **coil_dials(),
        "frequency": ChoiceDial("meter", METER_FREQUENCIES),
        "mode": ChoiceDial("mode", ["series", "parallel"], "parallel"),
    }
    subject = Subject(coil_values, "pickup", pickups, save_dialled)
    return Explorer(dials, _read, lambda read: meter_figure(read[0]), _read_words, subject)


def _read(job: Job, pickup: str, frequency: str, mode: str, **parts: Any) -> Read:
    return Pickup(name=pickup, **parts), frequency, mode


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
    """A sweep through a sound card, your own or invented, measured and fitted."""
    subject = Subject(coil_values, "pickup", pickups, _save_swept)
    dials = {
        "recording": PathDial("your sweep", "recorded (.wav, .csv, .s1p); empty: invented from the dials"),
        **coil_dials(),
        "resistor": QuantityDial("known resistor", "ohm", "10 kohm", "100 ohm", "1 Mohm"),
        "level": NumberDial("level, dB", -12.0, -60.0, 0.0, 1.0),
        "noise": NumberDial("noise, dB", -80.0, -110.0, -40.0, 1.0),
        "mains": NumberDial("mains, dB", -60.0, -90.0, 0.0, 1.0),
    }
    return Explorer(dials, _swept, impedance_figure, _swept_words, subject)


def _swept(
    recording: str,
    resistance: Any,
    inductance: Any,
    capacitance: Any,
    loss_resistance: Any,
    resistor: Any,
    level: float,
    noise: float,
    mains: float,
    **_: Any,
) -> Measured:
    if recording:
        return measure(recording, Bench(resistor=resistor))
    parts = (resistance.m, inductance.m, capacitance.m, loss_resistance.m)
    loud, floor, hum = (10 ** (db / 20) for db in (level, noise, mains))
    return rehearse_sweep(parts, Bench(resistor=resistor), seconds=1.0, level=loud, noise=floor, mains=hum)


def _save_swept(job: Job, measured: Measured, values: dict[str, Any]) -> tuple[Job, str]:
    """What was measured; never what was invented."""
    if not values["recording"]:
        raise InputError.of("", f"this sweep is invented; {NAME_YOURS}")
    found = {name: figure.value for name, figure in measured.four.items() if figure.measured}
    note = f"measured by a sweep, {Path(values['recording']).name}"
    return save_readings(job, values["pickup"], found, note)


def _swept_words(measured: Measured) -> str:
    told = [f"{name.replace('_', ' ')} {figure}" for name, figure in measured.figures.items()]
    least = max(measured.figures, key=lambda name: measured.figures[name].fraction)
    cause = measured.dominated_by[least]
    return (
        f"Found: {'; '.join(told)}. Least sure is the {least.replace('_', ' ')}, for {cause}. "
        f"The fit leaves {percent(measured.misfit)}."
    )


def hum_explorer() -> Explorer:
    """Two recordings, your own or invented, compared: what is heard, and what can still be told."""
    lacking = "a position of two pickups"
    subject = Subject(lambda *_: {}, "position", joined_positions, _save_hummed, lacking=lacking)
    hint = "a recording (.wav); empty: invented from the dials"
    dials = {
        "earlier": PathDial("yours, before", hint),
        "later": PathDial("yours, after", hint),
        "before": NumberDial("hum before, dB", -34.0, -80.0, -12.0, 1.0),
        "after": NumberDial("hum after, dB", -64.0, -130.0, -12.0, 1.0),
        "noise": NumberDial("noise, dB", -76.0, -100.0, -40.0, 1.0),
        "gain": NumberDial("gain moved, dB", 0.0, -12.0, 12.0, 0.5),
    }
    return Explorer(dials, _hummed, hum_figure, _hummed_words, subject)


def _hummed(
    position: str,
    earlier: str,
    later: str,
    before: float,
    after: float,
    noise: float,
    gain: float,
    **_: Any,
) -> Comparison:
    if earlier and later:
        return compare(hum_of(earlier), hum_of(later), position=position)
    if earlier or later:
        raise InputError.of("", "name both recordings, the one before and the one after")
    one, other, floor, turned = (10 ** (db / 20) for db in (before, after, noise, gain))
    return rehearse_hum(one, other, noise=floor, gain=turned)


def _save_hummed(job: Job, comparison: Comparison, values: dict[str, Any]) -> tuple[Job, str]:
    """The change as a proof; never an invented one."""
    if not values["later"]:
        raise InputError.of("", f"these recordings are invented; {NAME_YOURS}")
    reading = proof(comparison)
    return recorded(job, [reading]), f"the hum of {values['position']} changed by {comparison.change_a}"


def _hummed_words(comparison: Comparison) -> str:
    before, after = comparison.before, comparison.after
    where = f"The mains stood at {before.mains.m:.2f} Hz"
    if after.mains_deviation is not None:
        where += f" and at {after.mains.m:.2f} Hz"
    changes = f"The hum changed by {comparison.change}; as the ear weighs it (A) by {comparison.change_a}."
    above = after.level_a_db - after.floor_a_db
    side = "above" if above > 0 else "below"
    return f"{where}. {changes} What is left lies {abs(above):.0f} dB {side} the noise, both A-weighted."
