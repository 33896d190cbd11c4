"""Impedances and ratios in files: CSV with a general header, Touchstone one-ports."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc import limits
from pickupcalc.errors import Fault, InputError
from pickupcalc.parts.fields import LARGEST

LEAST_ROWS = 8
MOST_DB = 20 * 31  # beyond it a level is as good as infinite
_FACTORS = {
    "hz": 1.0,
    "khz": 1e3,
    "ohm": 1.0,
    "ω": 1.0,
    "kohm": 1e3,
    "kω": 1e3,
    "mohm": 1e6,
    "v": 1.0,
    "mv": 1e-3,
}
_FACTORS |= {"deg": np.pi / 180, "°": np.pi / 180, "degree": np.pi / 180, "degrees": np.pi / 180, "rad": 1.0}
_KINDS = (
    {"hz": "hz", "khz": "hz"}
    | dict.fromkeys(("ohm", "ω", "kohm", "kω", "mohm"), "ohm")
    | dict.fromkeys(("v", "mv"), "v")
    | {"db": "db", "ratio": "ratio"}
    | dict.fromkeys(("deg", "°", "degree", "degrees", "rad"), "angle")
)
_COMMA_NUMBER = re.compile(r"\s*[+-]?\d+,\d+\s*")


@dataclass(frozen=True)
class Curve:
    """What a file holds.

    Attributes
    ----------
    frequency : ndarray, shape (points,)
        Hz, rising.
    value : ndarray of complex, shape (points,)
    kind : str
        "ohm" for an impedance, "ratio" for one channel over the other, "" where
        the header does not say.
    """

    frequency: NDArray[Any]
    value: NDArray[Any]
    kind: str


def read_csv(path: str | Path) -> Curve:
    """Read frequency, magnitude and phase; or frequency and magnitude and phase of two channels.

    The header names each column and its unit, such as "frequency (Hz)",
    "magnitude_ohm" or "phase [deg]". Lines that begin with # are comments;
    columns are parted by comma, semicolon or tab, decimals by a point.

    Raises
    ------
    InputError
        Naming the file, the line and what is accepted.
    """
    path = Path(path)
    try:
        return _read_csv(_text(path))
    except InputError as error:
        raise InputError(error.faults, str(path)) from None


def write_csv(path: str | Path, frequency: NDArray[Any], impedance: NDArray[Any]) -> None:
    """Write an impedance so that `read_csv` and a spreadsheet read it."""
    rows = ["frequency_hz,magnitude_ohm,phase_deg"]
    columns = zip(frequency, np.abs(impedance), np.degrees(np.angle(impedance)), strict=True)
    rows += [f"{f:.6f},{size:.6g},{angle:.5f}" for f, size, angle in columns]
    _write(Path(path), "\n".join(rows) + "\n")


def read_touchstone(path: str | Path) -> Curve:
    """The impedance of a one-port in a Touchstone file (extra "touchstone").

    Raises
    ------
    InputError
        For a file that is none, or has more ports than one.
    """
    skrf = _skrf()
    path = Path(path)
    text = _text(path)
    _refuse_claims(path, text)
    # Given a file's name, the reader would first try to unpickle it, which runs whatever code is in it.
    file = io.StringIO(text)
    file.name = path.name
    try:
        network = skrf.Network(file)
        frequency, ports = np.asarray(network.f, dtype=float), network.nports
        impedance = np.asarray(network.z[:, 0, 0], dtype=complex) if ports == 1 else np.zeros(0)
    except Exception as error:  # the reader raises whatever its parser stumbles over
        raise InputError(Fault("", f"is not a Touchstone file: {error}"), str(path)) from error
    if ports != 1:
        raise _too_many_ports(path, ports)
    keep = frequency > 0
    try:
        return _checked(frequency[keep], impedance[keep], "ohm", None)
    except InputError as error:
        raise InputError(error.faults, str(path)) from None


def _refuse_claims(path: Path, text: str) -> None:
    """Ports and frequencies that a file only speaks of: the reader makes room for them at once."""
    claims = re.findall(r"^\s*\[number of (.*)", text, re.IGNORECASE | re.MULTILINE)
    ports = [("ports", number) for number in re.findall(r"^\.s(\d+)p$", path.suffix.lower())]
    for what, number in ports + [(claim.lower(), n) for claim in claims for n in re.findall(r"\d+", claim)]:
        if what.startswith("ports") and number.lstrip("0") != "1":
            raise _too_many_ports(path, number)
        if len(number) > len(str(limits.CURVE_POINTS)):
            told = f"speaks of {number} frequencies; at most {limits.CURVE_POINTS} are read"
            raise InputError(Fault("", told), str(path))


def _too_many_ports(path: Path, ports: Any) -> InputError:
    return InputError(Fault("", f"has {ports} ports; a pickup has one (.s1p)"), str(path))


def write_touchstone(path: str | Path, frequency: NDArray[Any], impedance: NDArray[Any]) -> None:
    """Write an impedance as a Touchstone one-port, referred to 50 ohm (extra "touchstone")."""
    skrf = _skrf()
    path = Path(path)
    if path.suffix.lower() != ".s1p":
        raise InputError.of("--touchstone", f'"{path}" must end in .s1p')
    scattering = (impedance - 50) / (impedance + 50)
    network = skrf.Network(
        frequency=skrf.Frequency.from_f(frequency, unit="hz"), s=scattering[:, np.newaxis, np.newaxis], z0=50
    )
    digits = dict.fromkeys(("format_spec_A", "format_spec_B"), "{:.12g}")
    _write(path, network.write_touchstone(path.stem, return_string=True, **digits))


def _skrf() -> Any:
    try:
        import skrf
    except ImportError:
        told = 'Touchstone files need scikit-rf; install pickupcalc with its extra "touchstone"'
        raise InputError(Fault("", told)) from None
    return skrf


def _text(path: Path) -> str:
    text = limits.read_text(path, limits.CURVE_BYTES)
    limits.at_most("", text.count("\n") + text.count("\r"), limits.CURVE_POINTS, "lines")
    return text


def _write(path: Path, text: str) -> None:
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise InputError(Fault("", f"cannot be written: {error.strerror or error}"), str(path)) from error


def _read_csv(text: str) -> Curve:
    lines = [
        (number, line)
        for number, line in enumerate(io.StringIO(text, newline=None), 1)
        if line.strip() and not line.startswith("#")
    ]
    if not lines:
        raise InputError.of("", "is empty")
    number, header = lines[0]
    delimiter = max(";\t,", key=header.count)
    names = [cell.strip() for cell in _cells(number, header, delimiter)]
    with _in_line(number):
        units = _units(names)
    rows = np.array([_row(number, line, delimiter, len(names)) for number, line in lines[1:]])
    if len(rows) < LEAST_ROWS:
        raise InputError.of("", f"has {len(rows)} rows of numbers; at least {LEAST_ROWS} are needed")
    with _in_line(number):
        frequency = rows[:, 0] * _factor(units[0], ("", "hz"), names[0])
        (values, kind), *second = (
            _complex(rows[:, i : i + 2], names[i : i + 2], units[i : i + 2]) for i in range(1, len(names), 2)
        )
        if second and "ohm" in (kind, second[0][1]):
            raise InputError.of("", "has two channels and an impedance; channels are voltages")
    for other, _ in second:
        if np.any(other == 0):
            raise InputError.of("", f"column {names[3]!r} is zero somewhere; nothing can be divided by it")
        values, kind = values / other, "ratio"
    return _checked(frequency, values, {"v": "ratio", "db": "ratio"}.get(kind, kind), lines[1:])


@contextmanager
def _in_line(number: int) -> Iterator[None]:
    """What is refused within is told of that line: comments may stand before the header."""
    try:
        yield
    except InputError as error:
        raise InputError(error.under(f"line {number}")) from None


def _units(names: list[str]) -> list[str]:
    """The units of a header's columns."""
    if all(_is_number(name) or _COMMA_NUMBER.fullmatch(name) for name in names):
        raise InputError.of("", "is a row of numbers; the header with names and units is missing")
    if len(names) not in (3, 5):
        told = '3, such as "frequency_hz,magnitude_ohm,phase_deg", or 5 for two channels'
        raise InputError.of("", f"has {len(names)} columns; accepted are {told}")
    return [_unit(name) for name in names]


def _unit(name: str) -> str:
    """The unit a column's name ends with, in lower case; empty where it has none."""
    found = re.search(r"[(\[]\s*([^)\]]+?)\s*[)\]]\s*$", name)
    word = found[1] if found else re.split(r"[_\s/]", name.strip())[-1]
    word = word.lower().replace("\u2126", "ω")
    if found and word not in _KINDS:
        raise InputError.of("", f"unit {found[1]!r} of {name!r} is not one of: {', '.join(_KINDS)}")
    return word if word in _KINDS else ""


def _factor(unit: str, accepted: tuple[str, ...], name: str) -> float:
    kind = _KINDS.get(unit, "")
    if kind not in accepted:
        told = "the order is frequency, magnitude, phase"
        raise InputError.of("", f"column {name!r} is out of place; {told}")
    return _FACTORS.get(unit, 1.0)


def _complex(columns: NDArray[Any], names: list[str], units: list[str]) -> tuple[NDArray[Any], str]:
    kind = _KINDS.get(units[0], "")
    size = columns[:, 0] * _factor(units[0], ("", "ohm", "ratio", "v", "db"), names[0])
    if kind == "db":
        size = 10 ** (np.clip(columns[:, 0], -MOST_DB, MOST_DB) / 20)
    # Without a unit a phase is in degrees: no phase of a passive part needs more than 1.6 rad.
    angle = columns[:, 1] * (_factor(units[1], ("", "angle"), names[1]) if units[1] else np.pi / 180)
    return size * np.exp(1j * angle), kind


def _cells(number: int, line: str, delimiter: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=delimiter))
    except csv.Error as error:
        raise InputError.of(f"line {number}", f"cannot be parted into columns: {error}") from None


def _row(number: int, line: str, delimiter: str, columns: int) -> list[float]:
    cells = _cells(number, line, delimiter)
    if len(cells) == 2 * columns or any(_COMMA_NUMBER.fullmatch(c) for c in cells):
        raise InputError.of(f"line {number}", "has commas as decimal separators; write decimals with a point")
    if len(cells) != columns:
        raise InputError.of(f"line {number}", f"has {len(cells)} columns, the header {columns}")
    try:
        values = [float(c) for c in cells]
    except ValueError:
        bad = next(c for c in cells if not _is_number(c))
        raise InputError.of(f"line {number}", f"{bad.strip()!r} is not a number") from None
    if not np.all(np.isfinite(values)):
        raise InputError.of(f"line {number}", "holds a value that is not finite")
    if max(map(abs, values)) > LARGEST:
        raise InputError.of(f"line {number}", f"holds a value above {LARGEST:g}, beyond anything on a bench")
    return values


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def _checked(frequency: NDArray[Any], value: NDArray[Any], kind: str, lines: Any) -> Curve:
    if frequency.size < LEAST_ROWS:
        raise InputError.of("", f"has {frequency.size} points; at least {LEAST_ROWS} are needed")
    size = np.abs(value)
    bad = ~((size > 1 / LARGEST) & (size < LARGEST))  # so is what is not a number
    wrong = np.flatnonzero((np.diff(frequency, prepend=0.0) <= 0) | bad)
    if wrong.size:
        i = int(wrong[0])
        where = f"line {lines[i][0]}" if lines else f"point {i + 1}"
        if bad[i]:
            raise InputError.of(where, "holds a magnitude that is zero or not finite, or as good as that")
        told = "is not above zero" if frequency[i] <= 0 else "is out of order; frequencies must rise"
        raise InputError.of(where, f"{frequency[i]:g} Hz {told}")
    return Curve(frequency, value, kind)
