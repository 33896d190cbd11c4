"""The job file: read it, name all its faults, change it without losing a comment, save it whole.

The TOML document stays as it was written, with comments and keys unknown here;
an instrument is read out of it, and changes are made in it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sized
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, TypeVar

import tomlkit
from tomlkit.exceptions import TOMLKitError

from pickupcalc.errors import Fault, InputError, quoted, slip_of
from pickupcalc.instrument.files import replace_unchanged
from pickupcalc.instrument.instrument import About, Instrument, Position
from pickupcalc.instrument.observation import Observation
from pickupcalc.instrument.progress import Progress
from pickupcalc.instrument.readings import Reading
from pickupcalc.limits import LIST, PICKUPS, at_most, read_text
from pickupcalc.parts.controls import KINDS, Control
from pickupcalc.parts.drawer import Drawer
from pickupcalc.parts.load import Load
from pickupcalc.parts.pickup import Pickup
from pickupcalc.parts.strings import String

FORMAT = 1
JOB_NAME = "job.toml"  # in a folder of its own for each job
TOP_KEYS = (
    "format", "instrument", "pickup", "control", "position", "load", "drawer", "progress", "observation",
    "reading",
)  # fmt: skip
T = TypeVar("T")


@dataclass(frozen=True)
class Job:
    """A job file that was read.

    Attributes
    ----------
    path : Path
    document : tomlkit.TOMLDocument
        As written, comments and all.
    instrument : Instrument
    progress : Progress
        When it was planned, done and proven.
    notes : tuple of str
        What a person should know of the reading: keys not known here.
    original : str or None
        What the file held when it was read; None for a job not saved yet.
    readings : tuple of Reading
        The history of what was measured, oldest first.
    drawer : Drawer
        Parts at hand for a choice of pots; empty where the file has none.
    """

    path: Path
    document: Any = field(repr=False)
    instrument: Instrument
    progress: Progress = field(default_factory=Progress)
    notes: tuple[str, ...] = ()
    original: str | None = field(default=None, repr=False)
    readings: tuple[Reading, ...] = ()
    drawer: Drawer = field(default_factory=Drawer)

    def changed(self, change: Callable[[Any], None]) -> Job:
        """A job with its document changed; refused, if the result is not a valid job.

        Parameters
        ----------
        change : callable
            Gets a copy of the document and edits it in place.
        """
        document = tomlkit.parse(tomlkit.dumps(self.document))
        change(document)
        return replace(parse_job(tomlkit.dumps(document), self.path), original=self.original)

    def changed_pickup(self, name: str, change: Callable[[Any], None]) -> Job:
        """As `changed`, of the table of one pickup alone."""
        return self.changed(lambda document: change(next(p for p in document["pickup"] if p["name"] == name)))

    def save(self) -> Job:
        """Write the job file, keeping the old one as a numbered copy in the folder "earlier".

        A crash at any moment leaves the old file or the new one. Returns the job
        as it is on the disk now.

        Raises
        ------
        InputError
            If another program changed the file since it was read.
        """
        content = tomlkit.dumps(self.document)
        replace_unchanged(self.path, self.original, content)
        return replace(self, original=content)


def read_job(path: str | Path) -> Job:
    """Read and check a job file, or the `job.toml` of a job folder.

    Raises
    ------
    InputError
        Naming the file, each key at fault, its value and what is accepted.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> job = pc.read_job("data/bass_12.toml")
    >>> [position.name for position in job.instrument.positions]
    ['neck', 'both', 'bridge']
    """
    path = Path(path)
    with suppress(OSError):  # reading it below says what is wrong with the path
        if (path / JOB_NAME).is_file():
            path = path / JOB_NAME
    content = read_text(path)
    return replace(parse_job(content, path), original=content)


def parse_job(content: str, path: Path) -> Job:
    """Check the text of a job file; `path` is for messages and for saving."""
    try:
        document = parse_toml(content)
        reader = _Reader(document.unwrap())
        drawer = reader.part("drawer", Drawer, reader.table("drawer"))
        instrument, progress = reader.instrument(), reader.progress()
    except InputError as error:
        raise InputError(error.faults, str(path)) from None
    return Job(
        path,
        document,
        instrument,
        progress,
        tuple(reader.notes),
        readings=reader.readings,
        drawer=drawer or Drawer(),
    )


def parse_toml(content: str) -> Any:
    if not content.strip():
        raise InputError.of("", f"is empty; a job file starts with: format = {FORMAT}")
    try:
        return tomlkit.parse(content)
    except RecursionError:
        raise InputError.of("", "is nested too deep to be a job file") from None
    except (TOMLKitError, ValueError) as error:
        raise InputError.of("", f"is not TOML: {error}") from None


class _Reader:
    """Turns the tables into parts, gathering faults and notes on the way."""

    def __init__(self, tables: Mapping[str, Any]) -> None:
        self.tables = tables
        self.faults: list[Fault] = []
        self.notes: list[str] = []
        self.readings: tuple[Reading, ...] = ()

    def instrument(self) -> Instrument:
        if self.tables.get("format") != FORMAT:
            found = repr(self.tables["format"]) if "format" in self.tables else "missing"
            self.faults.append(Fault("format", f"is {found}; this version reads format = {FORMAT}"))
        self.unknown("", self.tables, TOP_KEYS)
        about_table = dict(self.table("instrument"))
        strings = self.strings(about_table.pop("strings", []))
        about = self.part("instrument", About, about_table)
        load = self.part("load", Load, self.table("load"))
        if not self.tables.get("pickup"):
            self.faults.append(Fault("pickup", "is missing; write [[pickup]] and its keys below, for each"))
        pickups = self.parts("pickup", Pickup)
        controls = self.parts("control", Control)
        positions = self.parts("position", Position)
        observations = self.parts("observation", Observation)
        self.readings = self.parts("reading", Reading)
        if not self.faults and about and load:
            try:
                return Instrument(about, pickups, controls, positions, load, strings, observations)
            except InputError as error:
                self.faults += error.faults
        raise InputError(self.faults)

    def progress(self) -> Progress:
        found = self.part("progress", Progress, self.table("progress"))
        if found is None:
            raise InputError(self.faults)
        return found

    def table(self, key: str) -> Mapping[str, Any]:
        found = self.tables.get(key, {})
        if isinstance(found, Mapping):
            return found
        self.faults.append(Fault(key, f"{_shown(found)} must be a table: write [{key}] and its keys below"))
        return {}

    def parts(self, key: str, kind: type[T]) -> tuple[T, ...]:
        found = self.tables.get(key, [])
        if not isinstance(found, list):
            self.faults.append(Fault(key, f"must be a list of tables: write [[{key}]] before each"))
            return ()
        if key != "reading" and self.too_many(key, found, "entries", PICKUPS if key == "pickup" else LIST):
            return ()
        made = []
        for i, table in enumerate(found, 1):
            name = table.get("name") if isinstance(table, Mapping) else None
            where = f"{key} {name!r}" if isinstance(name, str) and len(name) < 60 else f"{key} {i}"
            made.append(self.part(where, kind, table))
        return tuple(p for p in made if p is not None)

    def part(self, where: str, kind: type[T], table: Any) -> T | None:
        try:
            if kind is Control:
                return self.control(where, table)  # type: ignore[return-value]
            self.unknown(where, table, kind.keys())  # type: ignore[attr-defined]
            return kind.of(table)  # type: ignore[attr-defined]
        except InputError as error:
            self.faults += error.under(where)
            return None

    def control(self, where: str, table: Any) -> Control:
        given = table.get("kind") if isinstance(table, Mapping) else None
        if not isinstance(given, str) or given not in KINDS:
            problem = "is missing;" if given is None else f"{_shown(given)} is not one of:"
            raise InputError.of("kind", f"{problem} {quoted(KINDS)}")
        kind = KINDS[given]
        self.unknown(where, table, ("kind", *kind.keys()))
        return kind.of({k: v for k, v in table.items() if k != "kind"})

    def strings(self, given: Any) -> tuple[String, ...]:
        if not isinstance(given, list):
            self.faults.append(
                Fault("instrument, strings", f'{_shown(given)} must be a list, such as ["E1", "A1"]')
            )
            return ()
        if self.too_many("instrument, strings", given, "entries"):
            return ()
        made = (self.part(f"instrument, strings, {i}", String, s) for i, s in enumerate(given, 1))
        return tuple(s for s in made if s is not None)

    def unknown(self, where: str, table: Any, known: tuple[str, ...]) -> None:
        """A key that looks like a slip of the pen is a fault; any other is kept and noted."""
        if not isinstance(table, Mapping) or self.too_many(where, table, "keys"):
            return
        for key in table:
            if key in known:
                continue
            place = f"{where}, {key}" if where else str(key)
            if meant := slip_of(key, known):
                self.faults.append(Fault(place, f"is not known; did you mean {meant}?"))
            else:
                self.notes.append(str(Fault(place, "is not known here; it is kept but not used")))

    def too_many(self, where: str, found: Sized, of: str, most: int = LIST) -> bool:
        try:
            at_most(where, found, most, of)
        except InputError as error:
            self.faults += error.faults
            return True
        return False


def _shown(value: Any) -> str:
    shown = f'"{value}"' if isinstance(value, str) else str(value)
    return shown if len(shown) <= 60 else f"{shown[:60]}..."
