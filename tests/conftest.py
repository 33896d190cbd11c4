"""What several tests share."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import settings

# The same examples everywhere, however long a machine takes over one. Who hunts for new ones asks
# for --hypothesis-profile=hunt.
settings.register_profile("steady", deadline=None, derandomize=True)
settings.register_profile("hunt", deadline=None)
settings.load_profile("steady")

ROOT = Path(__file__).parents[1]
DEMOS = sorted((ROOT / "data").glob("*.toml"))

SMALL_JOB = """\
# Invented for a test.
format = 1

[instrument]
name = "a small one"
mains = "50 Hz"

[[pickup]]
name = "neck"       # the one near the neck
resistance = "6.10 kohm"
inductance = "2.45 H"
capacitance = "110 pF"
magnet = "north"
tap = "positive"

[[pickup]]
name = "bridge"
resistance = "7.2 kohm"
inductance = "3.1 H"
capacitance = "100 pF"
magnet = "south"
tap = "positive"

[[control]]
kind = "volume"
track = "250k"
taper = "audio"

[[position]]
name = "both"
wiring = { parallel = ["neck", "bridge"] }

[load]
cable_length = "3 m"
cable_capacitance = "100 pF/m"
amplifier_resistance = "1 Mohm"
"""


@pytest.fixture
def job_file(tmp_path):
    """Writes a job file with changes made to the small one, and gives its path."""

    def write(*changes: tuple[str, str], text: str = SMALL_JOB) -> Path:
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        path = tmp_path / "job.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write
