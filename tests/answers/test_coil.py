"""The coil's report: its figures, their uncertainty, its network in a circuit."""

from __future__ import annotations

import json

import numpy as np
import pytest

from pickupcalc.answers.coil.report import coil_report
from pickupcalc.errors import InputError
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.jobfile import read_job
from pickupcalc.parts.coil import Coil
from tests.parts.test_coil_parts import BAR, GEOMETRY, PLATE, POLES

WHOLE = GEOMETRY | {"poles": POLES, "bar": BAR, "plates": [PLATE]}


@pytest.fixture(scope="module")
def whole():
    return coil_report(Coil.of(WHOLE))


def test_figures_hang_together(whole):
    assert whole.wire_length.m == pytest.approx(7900 * whole.mean_turn.m)
    assert whole.resistance.m == pytest.approx(whole.wire_length.m * 5.4716, rel=1e-3)
    assert whole.air_inductance.m < whole.inductance.m
    assert whole.inductance_at.m[0] == pytest.approx(whole.inductance.m, rel=1e-3)
    assert np.all(np.diff(whole.inductance_at.m) < 0)
    assert np.all(np.diff(whole.resistance_at.m) > 0)
    top = whole.frequencies.m[np.argmax(abs(whole.impedance))]
    assert top == pytest.approx(whole.self_resonance.m, rel=0.12)


def test_network_follows_the_report_within_its_error(whole):
    hertz = whole.frequencies.m
    net = whole.network.linkage(2 * np.pi * hertz)
    exact = whole.inductance_at.m - 1j * (whole.resistance_at.m - whole.resistance.m) / (2 * np.pi * hertz)
    assert np.max(abs(net / exact - 1)) < 1.2 * whole.network.error + 3e-4


def test_json_holds_the_keys_of_the_contract(whole):
    document = json.loads(json.dumps(whole.as_json(), allow_nan=False))
    keys = {
        "turns", "wire_length_m", "mean_turn_m", "resistance_ohm", "air_inductance_h", "inductance_h",
        "capacitance_f", "self_resonance_hz", "frequencies_hz", "inductance_h_at", "resistance_ohm_at",
        "uncertainty",
    }  # fmt: skip
    assert keys <= document.keys()
    assert len(document["frequencies_hz"]) == len(document["resistance_ohm_at"]) == 60


def test_uncertainty_says_what_dominates(whole):
    share = whole.uncertainty["inductance_h"]
    assert 0.02 < share.fraction < 0.2
    assert "permeability" in share.dominated_by
    assert "diameter" in whole.uncertainty["resistance_ohm"].dominated_by
    assert whole.uncertainty["capacitance_f"].fraction >= 0.4


def test_closer_tolerances_count():
    base = coil_report(Coil.of(GEOMETRY), ["1 kHz"])
    tight = coil_report(Coil.of(GEOMETRY | {"tolerance": {"inner_radius": "0.01 mm"}}), ["1 kHz"])
    assert "inner radius" in base.uncertainty["air_inductance_h"].dominated_by
    assert (
        tight.uncertainty["air_inductance_h"].fraction < 0.6 * base.uncertainty["air_inductance_h"].fraction
    )


def test_uncertainty_is_what_moving_the_input_does():
    moved = coil_report(Coil.of(GEOMETRY | {"build": "3.3 mm"}), ["1 kHz"], uncertain=False)
    base = coil_report(
        Coil.of(GEOMETRY | {"tolerance": dict.fromkeys(ALL_BUT_BUILD, "0 mm") | PLAIN}), ["1 kHz"]
    )
    change = moved.resistance.m / base.resistance.m - 1
    assert base.uncertainty["resistance_ohm"].fraction == pytest.approx(change, rel=1e-6)
    assert f"0.1 mm of build is {100 * change:.2g} % of R" == base.uncertainty["resistance_ohm"].dominated_by


ALL_BUT_BUILD = ("straight", "inner_radius", "height")
PLAIN = {"turns": 0.0, "wire": 0.0, "stretch": 0.0}


def test_requested_frequencies_are_solved_exactly():
    coil = Coil.of(GEOMETRY | {"poles": POLES})
    found = coil_report(coil, ["100 Hz", "5 kHz", "20 kHz"], uncertain=False)
    for i, f in enumerate((100.0, 5e3, 20e3)):
        exact = coil.problem.linkage(f)
        assert found.inductance_at.m[i] == pytest.approx(exact.real, rel=1e-4)
        added = found.resistance_at.m[i] - found.resistance.m
        assert added == pytest.approx(-2 * np.pi * f * exact.imag, rel=1e-3)


@pytest.mark.parametrize("frequencies", [[], ["0 Hz"], ["1 MHz"], ["1 kg"], [100.0]])
def test_frequencies_that_are_none(frequencies):
    with pytest.raises(InputError):
        coil_report(Coil.of(GEOMETRY), frequencies)


def test_too_full_and_too_loose_are_told():
    (told,) = coil_report(Coil.of(GEOMETRY | {"build": "2.9 mm"}), ["1 kHz"], uncertain=False).notes
    assert "closer than round wire" in told
    (told,) = coil_report(Coil.of(GEOMETRY | {"build": "9 mm"}), ["1 kHz"], uncertain=False).notes
    assert "looser" in told


TWIN = """\
# Invented for a test.
format = 1
[instrument]
name = "twin"
"""
HALF = """
[[pickup]]
name = "{name}"
winding = "{winding}"
hot = "finish"
{more}
[pickup.coil]
straight = "50 mm"
inner_radius = "2.6 mm"
height = "6.5 mm"
build = "4 mm"
turns = 5000
wire = {{ awg = 42 }}
poles = {{ count = 6, diameter = "4.8 mm", length = "14 mm", pitch = "10 mm", material = "low-carbon steel" }}
"""


def twin(tmp_path, second_winding):
    path = tmp_path / "twin.toml"
    more = 'coupled_to = "screws"\nspacing = "18 mm"'
    halves = HALF.format(name="slugs", winding="clockwise", more=more)
    halves += HALF.format(name="screws", winding=second_winding, more="")
    position = '[[position]]\nname = "series"\nwiring = { series = ["slugs", "screws"] }\n'
    path.write_text(TWIN + halves + position)
    return read_job(path).instrument


@pytest.mark.parametrize(("second", "sign"), [("counter-clockwise", 1), ("clockwise", -1)])
def test_twin_coils_in_series(tmp_path, second, sign):
    """Wound against each other, as a hum-cancelling pair is, the coils add flux to each other."""
    from pickupcalc.answers.positions import report

    instrument = twin(tmp_path, second)
    network = circuit(instrument, instrument.positions[0])
    (coupling,) = network.couplings
    assert np.sign(coupling.inductance) == sign
    alone = instrument.pickup("slugs").inductance.m
    found = report(instrument, instrument.positions[0]).inductance.m
    assert found == pytest.approx(2 * (alone + coupling.inductance), rel=1e-3)


def test_job_file_says_what_was_computed(tmp_path):
    from pickupcalc.answers.positions import positions
    from pickupcalc.show.text import sheet_text

    instrument = twin(tmp_path, "counter-clockwise")
    told = sheet_text(instrument, positions(instrument))
    assert "Computed from the coil's geometry, not measured: slugs's resistance" in told
