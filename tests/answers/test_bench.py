"""What is on the bench: readings made by the model of each fault are told for what they are."""

from __future__ import annotations

import pytest

from pickupcalc.answers.coil.bench import Readings, examine, rows_text
from pickupcalc.answers.coil.report import coil_report
from pickupcalc.parts.coil import Coil
from tests.parts.test_coil_parts import GEOMETRY, POLES

COIL = Coil.of(GEOMETRY | {"poles": POLES, "tolerance": {"wire": 0.01}})
REPORT = coil_report(COIL, ["1 kHz"])
R, L = float(REPORT.resistance.m), float(REPORT.inductance_at.m[0])
Q = 2 * 3.14159265 * 1e3 * L / float(REPORT.resistance_at.m[0])


def told(**readings):
    return examine(COIL, Readings(**readings))


def test_healthy_with_all_readings():
    found = told(resistance=f"{R} ohm", inductance=f"{L} H", quality=Q)
    assert found.explanations[0].name == "healthy"
    assert found.verdict == "The coil is healthy."
    assert sum(e.belief for e in found.explanations) == pytest.approx(1.0)
    assert len(rows_text(found)) == 3


def test_a_warm_coil_is_not_taken_for_a_long_one():
    found = told(resistance=f"{R * 1.0786} ohm", temperature="40 degC", inductance=f"{L} H")
    assert found.explanations[0].name == "healthy"


def test_open():
    found = told(resistance="2 Mohm")
    assert found.verdict.startswith("Open")


def test_other_wire():
    found = told(resistance=f"{1.26 * R} ohm", inductance=f"{L} H")
    assert found.explanations[0].name == "other wire"
    assert "43 AWG" in found.verdict
    assert "micrometer" in found.next_step


def test_fewer_turns():
    found = told(resistance=f"{0.8 * R} ohm", inductance=f"{0.64 * L} H", quality=Q * 0.82)
    assert found.explanations[0].name == "other number of turns"
    assert "6" in found.verdict


def test_shorted_turns_show_in_q():
    omega = 2 * 3.14159265 * 1e3
    share, rest = 0.05, 0.95
    loop = R * share + 1j * omega * L * share**2
    z = float(REPORT.resistance_at.m[0]) * rest + 1j * omega * L * rest**2
    z += omega**2 * (0.9 * L * share * rest) ** 2 / loop
    without_q = told(resistance=f"{R * rest} ohm", inductance=f"{z.imag / omega} H")
    found = told(resistance=f"{R * rest} ohm", inductance=f"{z.imag / omega} H", quality=z.imag / z.real)
    assert found.explanations[0].name == "shorted turns"
    belief = {e.name: e.belief for e in without_q.explanations}
    assert found.explanations[0].belief > 2 * belief["shorted turns"]


def test_missing_poles():
    found = told(resistance=f"{R} ohm", inductance=f"{REPORT.air_inductance.m} H")
    assert found.explanations[0].name == "other poles"


def test_resistance_alone_is_weak_and_asks_for_more():
    found = told(resistance=f"{1.05 * R} ohm")
    assert "inductance" in found.next_step


def test_nothing_and_nonsense():
    assert "Nothing" in told().verdict
    assert "None of the usual" in told(resistance=f"{R} ohm", inductance=f"{20 * L} H").verdict
