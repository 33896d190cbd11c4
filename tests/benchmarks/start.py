"""Start-up, and the commands as they are typed."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks.frame import BARITONE, BASS, ROOT, Figure, Peer, process

BOBBIN = ROOT / "data" / "coils" / "bobbin_7.toml"
RECORDINGS = ROOT / "data" / "recordings"


def figures() -> Iterator[Figure]:
    numpy = process("", "-c", "import numpy").seconds
    yield process("import pickupcalc", "-c", "import pickupcalc", limit=0.6, peer=Peer("import numpy", numpy))
    five, two = str(BARITONE), str(BASS)
    hums = [str(RECORDINGS / f"hum_12_both_{when}.wav") for when in ("before", "after")]
    sweep = str(RECORDINGS / "sweep_12_neck.csv")
    with tempfile.TemporaryDirectory() as folder:
        html, wav = str(Path(folder) / "sheet.html"), str(Path(folder) / "sound.wav")
        for what, limit, arguments in (
            ("sheet, five positions", 1.5, ["sheet", five]),
            ("sheet --html, five positions", 4.0, ["sheet", five, "--html", html]),
            ("plan, five positions", None, ["plan", five]),
            ("pots --height 2 4", None, ["pots", two, "--height", "2", "4"]),
            ("listen, five positions", None, ["listen", five, "-o", wav]),
            ("hum, two recordings", None, ["hum", *hums]),
            ("measure, a table", None, ["measure", sweep, "--resistor", "10 kohm"]),
            ("coil, six rods", None, ["coil", str(BOBBIN)]),
        ):
            yield process(f"pickupcalc {what}", "-m", "pickupcalc", *arguments, limit=limit)
