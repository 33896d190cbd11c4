"""Magnetic pickups on the bench: what they measure, how they combine, what to change.

The public names are listed in `__init__.pyi`, for type checkers and for this module, and
loaded when first used, so that importing the package costs next to nothing.
"""

from __future__ import annotations

import re
from importlib import import_module
from pathlib import Path
from typing import Any

__version__ = "0.1.0"

_LIST = Path(__file__).with_suffix(".pyi").read_text(encoding="utf-8")
_HOMES = {name: home for home, name in re.findall(r"^from (\S+) import (\w+) as", _LIST, re.MULTILINE)}
__all__ = sorted(_HOMES)


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return [*globals(), *_HOMES]
