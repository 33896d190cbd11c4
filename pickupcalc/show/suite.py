"""Where the notebooks are, and how a copy of one's own is made of them."""

from __future__ import annotations

from importlib.resources import as_file, files
from pathlib import Path

from pickupcalc.errors import Fault, InputError
from pickupcalc.instrument.files import write_whole

FIRST_PAGE = "00_start_here.ipynb"
SHIPPED = "shipped"  # folder of notebooks and data inside an installed package
FOLDERS = ("notebooks", "data")
LEFT_OUT = {"__pycache__", ".ipynb_checkpoints"}


def source() -> Path:
    """The folder that holds `notebooks` and `data`: in an installed package, or the checkout it runs from."""
    package = files("pickupcalc")
    with as_file(package / SHIPPED) as shipped:
        if shipped.is_dir():
            return shipped
    with as_file(package) as inside:
        return inside.parent


def demonstrations() -> list[Path]:
    """The demonstration jobs that belong to the package, in the order of their names."""
    return sorted((source() / "data").glob("*.toml"))


def is_demonstration(path: Path) -> bool:
    """Whether a job is a demonstration: of the package, or of the copied suite this runs in."""
    own = Path.cwd().parent if (Path.cwd() / FIRST_PAGE).is_file() else source()
    return path.resolve().parent in {(place / "data").resolve() for place in (source(), own)}


def copy_suite(target: Path) -> list[Path]:
    """Copy notebooks and data into a folder of the user's own.

    What is there already is never overwritten.

    Returns
    -------
    list of Path
        Files that were there and differ: the user's changes, or an older version.

    Raises
    ------
    InputError
        If the folder cannot be made or written.
    """
    kept = []
    for folder in FOLDERS:
        for original in sorted((source() / folder).rglob("*")):
            if not original.is_file() or LEFT_OUT & set(original.parts):
                continue
            copy = target / original.relative_to(source())
            content = original.read_bytes()
            if copy.exists():
                kept += [copy] if copy.read_bytes() != content else []
                continue
            try:
                copy.parent.mkdir(parents=True, exist_ok=True)
            except OSError as error:
                raise InputError(
                    Fault("", f"cannot be made: {error.strerror or error}"), str(target)
                ) from error
            write_whole(copy, content)
    return kept
