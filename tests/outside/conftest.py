"""The fixture that every outside check reports to."""

from __future__ import annotations

import pytest

from .agreement import Outside, same_as_stored


@pytest.fixture
def outside(request):
    """Compares ours with theirs; `tests/tell_checks.py` keeps the row, other runs see that it is stored."""
    teller = request.config.pluginmanager.get_plugin("tell_checks")
    test = f"{request.path.name}::{request.function.__name__}"
    return Outside(request.module.SUBJECT, test, teller.keep if teller else same_as_stored)
