"""A type checker reads a user's script as the package means it: text and quantities, no bare numbers."""

from __future__ import annotations

import os
import re
import subprocess
import sys

import pytest

from tests.conftest import ROOT

RIGHT = """\
import pint

import pickupcalc as pc

neck = pc.Pickup(name="neck", resistance="6.1 kohm", inductance=pint.Quantity(2.45, "henry"), tap="positive")
bridge = pc.Pickup(name="bridge", resistance=neck.resistance * 1.1, inductance=neck.inductance.to("mH"))
volume = pc.Volume(track="250k", taper="audio", pickups=["neck", "bridge"])
rods = pc.Rods(length="17 mm")
wire = {"awg": 42}
coil = pc.Coil(inner_radius="2.5 mm", height="11 mm", build="3.2 mm", turns=7900, wire=wire)
both = pc.Position(name="both", wiring={"parallel": ["neck", "bridge"]}, wanted=["in phase"])
about = pc.About(name="a bass", scale_length="864 mm")
cable = pc.Load(cable_length="3 m")
instrument = pc.Instrument(about, (neck, bridge), (volume,), (both,), cable)
peak = pc.report(instrument, instrument.position("both")).peak_frequency
hertz: float = 0 if peak is None else peak.m_as("Hz")
ohms: float = neck.resistance.m + volume.track.m + rods.length.m
curve: pc.Job = pc.read_job("job.toml")
pc.response(instrument, "both", ["1 kHz", "2 kHz"])
pc.meter_reading(neck, "1 kHz", temperature="21 degC").resistance
pc.compass(rods, distance="25 mm")
pc.Drawer(tracks=["236 kohm", {"reads": "262 kohm", "taper": "audio"}], resistors=[neck.resistance])
"""

WRONG = """\
import pickupcalc as pc

neck = pc.Pickup(name="neck", resistance=6.1, inductance="2.45 H")
pc.Pickup(resistance="6.1 kohm", inductance="2.45 H")
pc.Load(cable_length=3)
pc.Coil(inner_radius=2.5, height="11 mm", turns=7900, wire={"awg": 42})
pc.meter_reading(neck, 1000)
pc.read_jobs("job.toml")
neck.tap = "negative"
"""


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    """What mypy tells of both scripts: the lines it finds fault with, by script."""
    pytest.importorskip("mypy")
    folder = tmp_path_factory.mktemp("scripts")
    scripts = {"right.py": RIGHT, "wrong.py": WRONG}
    for name, script in scripts.items():
        (folder / name).write_text(script, encoding="utf-8")
    command = [sys.executable, "-m", "mypy", "--strict", "--follow-imports=silent", "--config-file="]
    environment = os.environ | {"MYPYPATH": str(ROOT)}
    done = subprocess.run([*command, *scripts], cwd=folder, env=environment, capture_output=True, text=True)
    assert done.returncode in (0, 1), done.stderr
    faults = re.findall(r"^(\w+\.py):(\d+): error", done.stdout, re.MULTILINE)
    return {name: [int(line) for script, line in faults if script == name] for name in scripts}


def test_what_the_package_takes_is_no_fault(told):
    assert told["right.py"] == []


def test_every_bare_number_and_slip_is_one(told):
    assert told["wrong.py"] == list(range(3, 10))
