"""A coil's geometry from a file of its own or from a job file, and into a job file."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit

from pickupcalc.errors import InputError, quoted
from pickupcalc.instrument.jobfile import Job, parse_toml
from pickupcalc.limits import read_text
from pickupcalc.parts.coil import Coil
from pickupcalc.parts.fields import Part
from pickupcalc.parts.metal import Material

FORMAT = 1
WRITTEN_IN = {
    "meter": (1e-3, "mm"),
    "siemens / meter": (1e6, "MS/m"),
    "ohm": (1.0, "ohm"),
    "kelvin": (1.0, "K"),
}
BESIDE = ("format", "name")  # keys that may stand beside the geometry


def read_coil(path: str | Path, pickup: str | None = None) -> Coil:
    """The coil of a file.

    Parameters
    ----------
    path : str or Path
        TOML, either the geometry's keys alone or a whole job file.
    pickup : str, optional
        Which pickup of a job file.

    Raises
    ------
    InputError
        Naming the file, each key at fault, its value and what is accepted.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> coil = pc.read_coil("data/coils/bobbin_7.toml")
    >>> coil.turns, coil.wire.awg
    (7900, 43)
    """
    path = Path(path)
    try:
        return coil_of(parse_toml(read_text(path)).unwrap(), pickup)
    except InputError as error:
        raise InputError(error.faults, error.source or str(path)) from None


def coil_of(tables: Mapping[str, Any], pickup: str | None = None) -> Coil:
    """The coil of the tables of a file."""
    if tables.get("format", FORMAT) != FORMAT:
        raise InputError.of("format", f"is {tables['format']!r}; this version reads format = {FORMAT}")
    if "pickup" in tables:
        tables, where = _of_pickup(tables["pickup"], pickup)
    else:
        tables, where = tables.get("coil", tables), ""
        if pickup is not None:
            raise InputError.of("--pickup", "is for job files; this file holds one coil")
    if not isinstance(tables, Mapping):
        raise InputError.of("coil", "must be a table")
    try:
        return Coil.of({k: v for k, v in tables.items() if k not in BESIDE})
    except InputError as error:
        raise InputError(error.under(where) if where else error.faults) from None


def _of_pickup(pickups: Any, name: str | None) -> tuple[Any, str]:
    if not isinstance(pickups, list):
        raise InputError.of("pickup", "must be a list of tables: write [[pickup]] before each")
    found = {p.get("name"): p["coil"] for p in pickups if isinstance(p, Mapping) and "coil" in p}
    if not found:
        raise InputError.of("pickup", "none has a geometry; write it below [pickup.coil]")
    if name is None and len(found) > 1:
        raise InputError.of("--pickup", f"is needed; with a geometry there are: {quoted(found)}")
    if name is not None and name not in found:
        raise InputError.of("--pickup", f'"{name}" is not one of: {quoted(found)}')
    chosen = name if name is not None else next(iter(found))
    return found[chosen], f"pickup {chosen!r}, coil"


def with_coil(job: Job, pickup: str, coil: Coil) -> Job:
    """The job with a pickup's geometry; keys that stay the same stay as written."""
    before = job.instrument.pickup(pickup).coil

    def change(table: Any) -> None:
        geometry = table.setdefault("coil", tomlkit.table())
        new = _written(coil)
        for key in Coil.keys():  # noqa: SIM118
            if before is not None and getattr(before, key) == getattr(coil, key):
                continue
            geometry.pop(key, None)
            if key in new:
                geometry[key] = new[key]

    return job.changed_pickup(pickup, change)


def _written(part: Part) -> dict[str, Any]:
    """The keys of a part as a job file has them; what is usual is left out."""
    found = {}
    for f in dataclasses.fields(part):  # type: ignore[arg-type]
        value, usual = getattr(part, f.name), f.default
        if usual not in (None, (), dataclasses.MISSING):
            usual = part.check(f.name, usual)
        if value is not None and value != usual:
            found[f.name] = _text(value)
    return found


def _text(value: Any) -> Any:
    if isinstance(value, Material) and value.name:
        return value.name
    if isinstance(value, Part):
        table = tomlkit.inline_table()
        table.update(_written(value))
        return table
    if isinstance(value, tuple):
        return [_text(v) for v in value]
    if not hasattr(value, "magnitude"):
        return value
    scale, symbol = WRITTEN_IN[str(value.units)]
    return f"{value.magnitude / scale:.6g} {symbol}"
