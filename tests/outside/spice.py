"""Run a deck through ngspice, a general-purpose circuit simulator, in full precision."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

needs_ngspice = pytest.mark.skipif(
    shutil.which("ngspice") is None, reason="ngspice is not installed (Debian: apt install ngspice)"
)


def run_deck(deck: str, folder: Path) -> tuple[NDArray[np.float64], NDArray[np.complex128]]:
    """Frequencies and the complex voltage at the tip, from the deck as exported."""
    control = "\n".join(
        [".control", "set numdgt=15", "set wr_singlescale", "run", "wrdata tip.txt v(tip)", ".endc", ".end"]
    )
    kept = [line for line in deck.splitlines() if not line.startswith((".print", ".end"))]
    (folder / "deck.cir").write_text("\n".join([*kept, control, ""]))
    done = subprocess.run(
        ["ngspice", "-b", "deck.cir"], cwd=folder, capture_output=True, text=True, timeout=120, check=False
    )
    out = folder / "tip.txt"
    assert out.exists(), done.stdout + done.stderr
    table = np.loadtxt(out)
    return table[:, 0], table[:, 1] + 1j * table[:, 2]
