"""The wheel holds all that the main job needs, tables and templates too."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile

from pickupcalc.show.trust import outside_checks
from tests.conftest import DEMOS, ROOT


def test_the_main_job_runs_from_a_wheel_outside_the_checkout(tmp_path):
    build = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "-q",
        "--no-deps",
        "--no-build-isolation",
        "-w",
        tmp_path,
        ROOT,
    ]
    subprocess.run(build, check=True, capture_output=True, text=True)
    (wheel,) = tmp_path.glob("*.whl")
    unpacked = tmp_path / "unpacked"
    zipfile.ZipFile(wheel).extractall(unpacked)
    for_checkers = ("py.typed", "__init__.pyi")
    assert all((unpacked / "pickupcalc" / name).is_file() for name in for_checkers)
    environment = os.environ | {"PYTHONPATH": str(unpacked)}
    where = subprocess.run(
        [sys.executable, "-c", "import pickupcalc; print(pickupcalc.__file__)"],
        cwd=tmp_path, env=environment, check=True, capture_output=True, text=True,
    )  # fmt: skip
    assert str(unpacked) in where.stdout
    page = tmp_path / "sheet.html"
    done = subprocess.run(
        [sys.executable, "-m", "pickupcalc", "sheet", str(DEMOS[0]), "--json", "--html", str(page)],
        cwd=tmp_path, env=environment, check=True, capture_output=True, text=True,
    )  # fmt: skip
    assert len(json.loads(done.stdout)["positions"]) == 5
    assert "<svg" in page.read_text(encoding="utf-8")
    demo = "from pickupcalc.show.explorers.jobs import JobDial; print(JobDial('bass_12').value.path)"
    done = subprocess.run(
        [sys.executable, "-c", demo],
        cwd=tmp_path, env=environment, check=True, capture_output=True, text=True,
    )  # fmt: skip
    assert done.stdout.startswith(str(unpacked))
    count = "from pickupcalc.show.trust import outside_checks; print(len(outside_checks()))"
    done = subprocess.run(
        [sys.executable, "-c", count],
        cwd=tmp_path, env=environment, check=True, capture_output=True, text=True,
    )  # fmt: skip
    assert int(done.stdout) == len(outside_checks())
