"""A first job file, with a comment at every key that a beginner would ask about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import tomlkit

from pickupcalc.errors import Fault, InputError
from pickupcalc.instrument.files import replace_unchanged
from pickupcalc.instrument.jobfile import JOB_NAME, Job, parse_job, read_job

FOLDERS = ("recordings", "sheets")


@dataclass(frozen=True)
class Coil:
    """What is asked about each pickup; None is written as a line to fill in."""

    name: str
    resistance: str
    inductance: str
    magnet: str | None = None
    tap: str | None = None


@dataclass(frozen=True)
class Start:
    """What is asked about an instrument, as text."""

    name: str
    mains: str
    coils: Sequence[Coil]
    volume: str | None = None
    tone: str | None = None
    capacitor: str = "22 nF"
    cable_length: str = "3 m"


def start_job(folder: Path, start: Start) -> Job:
    """Make a job folder with a commented job file, and the folders beside it.

    Raises
    ------
    InputError
        If the folder has a job file already, or the answers make no valid job.
    """
    path = folder / JOB_NAME
    if path.exists():
        raise InputError(Fault("", "is there already; choose another folder"), str(path))
    text = job_text(start)
    parse_job(text, path)
    try:
        for name in FOLDERS:
            (folder / name).mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(Fault("", f"cannot be made: {error.strerror or error}"), str(folder)) from error
    replace_unchanged(path, None, text)
    return read_job(path)


def job_text(start: Start) -> str:
    """The job file's text."""
    lines = [
        '# Every quantity is a text with its unit: "6.10 kohm", "2.45 H", "22 nF", also "6k1" and "22n".',
        "format = 1",
        "",
        "[instrument]",
        f"name = {_text(start.name)}",
        f'mains = {_text(start.mains)}                # "50 Hz" or "60 Hz"',
        '# scale_length = "648 mm"       # bridge to nut, needed to predict the sound',
        '# strings = ["E2", "A2", "D3", "G3", "B3", "E4"]',
    ]
    for coil in start.coils:
        lines += _coil(coil)
    if start.volume:
        lines += ["", "[[control]]", 'kind = "volume"', f"track = {_text(start.volume)}", 'taper = "audio"']
    if start.tone:
        lines += ["", "[[control]]", 'kind = "tone"', f"track = {_text(start.tone)}", 'taper = "audio"']
        lines += [f"capacitor = {_text(start.capacitor)}"]
    lines += _positions([coil.name for coil in start.coils])
    lines += ["", "[load]", f"cable_length = {_text(start.cable_length)}"]
    lines += ['cable_capacitance = "100 pF/m"', 'amplifier_resistance = "1 Mohm"', ""]
    return "\n".join(lines)


def _coil(coil: Coil) -> list[str]:
    return [
        "",
        "[[pickup]]",
        f"name = {_text(coil.name)}",
        f"resistance = {_text(coil.resistance)}       # ohmmeter, nothing else connected",
        '# resistance_temperature = "20 degC"',
        f"inductance = {_text(coil.inductance)}         # meter at 100 or 120 Hz",
        '# capacitance = "110 pF"        # own capacitance; a usual value stands in, and the sheet says so',
        _or_open("magnet", coil.magnet, "north", "the pole that faces the strings, by compass"),
        _or_open("tap", coil.tap, "positive", "hot lead's swing when steel is pulled off the pole"),
        '# distance_from_bridge = "150 mm"',
    ]


def _positions(names: list[str]) -> list[str]:
    lines = []
    for name in names:
        lines += ["", "[[position]]", f"name = {_text(name)}", f"wiring = {_text(name)}"]
    if len(names) > 1:
        listed = ", ".join(map(_text, names))
        lines += ["", "[[position]]", 'name = "all together"', f"wiring = {{ parallel = [{listed}] }}"]
        lines += ['wanted = ["in phase", "hum-cancelling"]' if len(names) == 2 else 'wanted = ["in phase"]']
    return lines


def _or_open(key: str, value: str | None, example: str, comment: str) -> str:
    given = f"{key} = {_text(value)}" if value else f"# {key} = {_text(example)}"
    return f"{given}   # {comment}"


def _text(value: str) -> str:
    return tomlkit.string(value).as_string()
