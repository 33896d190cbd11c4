"""Files that are never lost: replaced whole, the old one kept.

A save is: take the lock, see that nobody changed the file since it was read,
keep what is there as the next numbered copy, write the new content beside it,
flush it to the disk, rename. Whatever is cut short, and whenever, the file is
the old one or the new one.
"""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path

from pickupcalc.errors import Fault, InputError
from pickupcalc.limits import read_text

KEPT_IN = "earlier"  # folder of the numbered copies, beside the file
PATIENCE = 10.0  # seconds to wait for another program that is saving


def write_whole(path: Path, content: str | bytes) -> None:
    """Replace a file in one step: written beside it, flushed to the disk, then renamed."""
    data = content.encode("utf-8") if isinstance(content, str) else content
    try:
        handle, beside = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(data)
                out.flush()
                os.fsync(out.fileno())
            Path(beside).chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
            Path(beside).replace(path)
        except BaseException:
            Path(beside).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise _fault(path, f"cannot be written: {error.strerror or error}") from error


def replace_unchanged(path: Path, expected: str | None, content: str) -> None:
    """Replace a file that still reads as `expected`, keeping what is there as a numbered copy.

    Parameters
    ----------
    path : Path
    expected : str or None
        What the file held when it was read; None where there was none.
    content : str

    Raises
    ------
    InputError
        If the file was changed meanwhile, or another program holds it for more
        than ten seconds. Nothing is written then.
    """
    from filelock import FileLock, Timeout

    if not path.parent.is_dir():
        raise _fault(path, "cannot be written: there is no such folder")
    try:
        with FileLock(path.parent / f".{path.name}.lock", timeout=PATIENCE):
            found = read_text(path) if path.exists() else None
            if found == content:
                return
            if found != expected:
                raise _fault(
                    path, "was changed by another program since it was read; read it again, then save"
                )
            if found is not None:
                write_whole(_next_copy(path), found)
            write_whole(path, content)
    except Timeout:
        raise _fault(path, f"is held by another program for more than {PATIENCE:g} s") from None
    except OSError as error:
        raise _fault(path, f"cannot be written: {error.strerror or error}") from error


def earlier(path: Path) -> list[Path]:
    """The numbered copies of a file, oldest first."""
    pattern = re.compile(re.escape(path.stem) + r"\.([0-9]+)" + re.escape(path.suffix))
    folder = path.parent / KEPT_IN
    numbered = [
        (int(m[1]), p)
        for p in (folder.iterdir() if folder.is_dir() else ())
        if (m := pattern.fullmatch(p.name))
    ]
    return [p for _, p in sorted(numbered)]


def _next_copy(path: Path) -> Path:
    folder = path.parent / KEPT_IN
    if folder.is_symlink():
        raise _fault(folder, "is a link; copies are kept in a folder beside the file, make it one")
    folder.mkdir(exist_ok=True)
    copies = earlier(path)
    number = int(copies[-1].stem.rpartition(".")[2]) + 1 if copies else 1
    return folder / f"{path.stem}.{number}{path.suffix}"


def _fault(path: Path, message: str) -> InputError:
    return InputError(Fault("", message), str(path))
