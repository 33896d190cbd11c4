"""Strings, poles, plucks and performances as parts: what they take, assume and refuse."""

from __future__ import annotations

import numpy as np
import pytest

import pickupcalc as pc
from pickupcalc.parts.sensing import usual_turns
from pickupcalc.tables import table


def test_a_gauge_nobody_measured_takes_the_usual_tension():
    for scale, tension in ((0.648, 75.0), (0.864, 180.0)):
        for note in ("E1", "A2", "E4"):
            string = pc.String(note=note)
            assert string.assumed_wire()
            wire = string.wire(scale)
            assert wire.tension(string.frequency.m, scale) == pytest.approx(tension, rel=1e-6)


def test_a_measured_gauge_is_kept():
    wire = pc.String(note="E4", gauge="0.25 mm").wire(0.648)
    assert wire.diameter == pytest.approx(0.25e-3)
    assert wire.magnetic_area == pytest.approx(np.pi / 4 * 0.25e-3**2)
    assert wire.mass == pytest.approx(7850 * wire.magnetic_area)


def test_a_wound_string_is_heavier_than_its_core_and_more_flexible_than_a_rod():
    wound = pc.String(note="E2", gauge="1.17 mm", core="0.46 mm", wrap="nickel-plated steel").wire(0.648)
    rod = pc.String(note="E2", gauge="1.17 mm", wrap="plain").wire(0.648)
    core = pc.String(note="E2", gauge="0.46 mm", wrap="plain").wire(0.648)
    assert core.mass < wound.mass < rod.mass
    assert wound.rigidity == pytest.approx(core.rigidity)
    assert core.magnetic_area < wound.magnetic_area < rod.magnetic_area


def test_bronze_is_not_heard():
    bronze, steel = (
        pc.String(note="E2", gauge="1.17 mm", core="0.46 mm", wrap=wrap).wire(0.648)
        for wrap in ("bronze", "nickel-plated steel")
    )
    assert bronze.magnetic_area == pytest.approx(np.pi / 4 * 0.46e-3**2)
    assert bronze.magnetic_area < steel.magnetic_area


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({}, "note"),
        ({"gauge": "0.25 mm"}, "note: is missing"),
        ({"note": "H2"}, "a string is a note"),
        ({"note": "0 Hz"}, "above 0 Hz"),
        ({"note": "E2", "wrap": "wool"}, '"bronze"'),
        ({"note": "E2", "gauge": "0.4 mm", "core": "0.5 mm"}, "below the gauge"),
        ({"note": "E2", "wrap": "plain", "core": "0.4 mm"}, "plain string has none"),
    ],
)
def test_strings_refused(given, said):
    with pytest.raises(pc.InputError, match=said):
        pc.String.of(given)


def test_a_core_too_thick_for_the_usual_gauge_is_refused():
    with pytest.raises(pc.InputError, match="leaves no room for a wrap"):
        pc.String(note="E4", core="1 mm").wire(0.648)


def test_what_sensing_assumes():
    sensing = pc.Sensing(distance="2 mm")
    assert "distance" not in sensing.assumed()
    assert "face_field" in sensing.assumed()
    pole = sensing.pole(usual_turns(2.5))
    assert pole.distance == pytest.approx(2e-3)
    assert pole.turns == pytest.approx(8000)
    assert sensing.pole(usual_turns(10.0)).turns == pytest.approx(16_000)
    assert pc.Sensing(turns=5000).pole(8000).turns == 5000


def test_sensing_comes_from_the_job_file(job_file):
    path = job_file(
        (
            'capacitance = "110 pF"',
            'capacitance = "110 pF"\nsensing = { distance = "3 mm", face_field = "80 mT" }',
        )
    )
    sensing = pc.read_job(path).instrument.pickup("neck").sensing
    assert sensing.face_field.m_as("mT") == pytest.approx(80)
    wrong = job_file(('capacitance = "110 pF"', 'capacitance = "110 pF"\nsensing = { distance = "3" }'))
    with pytest.raises(pc.InputError, match="sensing, distance"):
        pc.read_job(wrong)


class TestPerformance:
    def test_scenes(self):
        strum = pc.Performance(stroke="20 ms").events(3)
        assert strum == [(0, 0.0, 0.0), (1, 0.0, 0.02), (2, 0.0, 0.04)]
        assert [start for _, _, start in pc.Performance(scene="chord").events(3)] == [0, 0, 0]
        assert pc.Performance(scene="note", string=2, fret=5).events(3) == [(1, 5.0, 0.0)]
        scale = pc.Performance(scene="scale", fret=3, seconds="4 s").events(3)
        assert [fret for _, fret, _ in scale] == [3, 5, 7, 8, 10, 12, 14, 15]
        assert scale[1][2] == pytest.approx(0.5)
        one_by_one = pc.Performance(scene="strings", seconds="3 s").events(3)
        assert [start for _, _, start in one_by_one] == [0, 1, 2]

    def test_frets_string_by_string(self):
        events = pc.Performance(scene="chord", frets=[0, "x", 2]).events(3)
        assert [(string, fret) for string, fret, _ in events] == [(0, 0.0), (2, 2.0)]
        with pytest.raises(pc.InputError, match="2 entries for 3 strings"):
            pc.Performance(frets=[0, 2]).events(3)

    @pytest.mark.parametrize(
        ("given", "said"),
        [
            ({"scene": "solo"}, '"strum"'),
            ({"seconds": "0 s"}, "100 ms to 60.0 s"),
            ({"seconds": "1 h"}, "h"),
            ({"seconds": 3}, "no unit"),
            ({"frets": [0, -1]}, "fret from 0 to 36"),
            ({"frets": "0,1"}, "list"),
            ({"scene": "note", "frets": [0]}, "note is played at"),
            ({"fret": 99}, "from 0 to 36"),
            ({"pluck": {"height": "0 mm"}}, "pluck, height"),
        ],
    )
    def test_refused(self, given, said):
        with pytest.raises(pc.InputError, match=said):
            pc.Performance.of(given)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"rate": "0 Hz"}, "8.00 kHz to 192 kHz"),
        ({"rate": "10 MHz"}, "8.00 kHz to 192 kHz"),
        ({"rate": 48_000}, "no unit"),
        ({"level": "loud"}, '"matched", "true"'),
        ({"hum": "yes"}, "true or false"),
        ({"low_pass": "1 Hz"}, "100 Hz to 100 kHz"),
        ({"gap": "-1 s"}, "0 s to 5.00 s"),
        ({"room": "-1 nT"}, "at least 0"),
    ],
)
def test_records_refused(given, said):
    with pytest.raises(pc.InputError, match=said):
        pc.Record.of(given)


def test_every_wrap_has_a_source():
    assert all(wrap["source"] for wrap in table("strings")["wraps"].values())
