"""Parts in the drawer, and a resistor soldered across a track."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from pickupcalc.errors import InputError
from pickupcalc.instrument.harness import circuit, harness
from pickupcalc.instrument.jobfile import parse_job, read_job
from pickupcalc.parts.controls import Blend, Tone, Volume
from pickupcalc.parts.drawer import CapacitorPiece, Drawer, TrackPiece
from pickupcalc.units import quantity

DATA = Path(__file__).parents[2] / "data"
BASS = (DATA / "bass_12.toml").read_text(encoding="utf-8")


def test_a_reading_or_a_table():
    drawer = Drawer.of({"tracks": ["236 kohm", {"marked": "500k", "reads": "455 kohm", "taper": "linear"}]})
    assert [p.reads.m for p in drawer.tracks] == [236e3, 455e3]
    assert [p.marked for p in drawer.tracks] == [None, quantity(500e3, "ohm")]
    assert Drawer(capacitors=[CapacitorPiece(reads="21 nF")]).capacitors[0].reads.m == pytest.approx(21e-9)


def test_the_job_file_keeps_a_drawer():
    job = parse_job(BASS + '\n[drawer]\ntracks = ["236 kohm"]\nresistors = ["470k"]\n', Path("job.toml"))
    assert job.drawer.tracks == (TrackPiece(reads="236 kohm"),)
    assert job.drawer.resistors[0].reads.m == 470e3
    assert read_job(DATA / "bass_12.toml").drawer == Drawer()


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("tracks = [236]", r'drawer, tracks, piece 1, reads: 236 has no unit; write "236 kohm"'),
        ('tracks = "236 kohm"', r'drawer, tracks: "236 kohm" must be a list'),
        ('tracks = [{marked = "250k"}]', r"piece 1, reads: is missing"),
        ('capacitor = ["22n"]', r"did you mean capacitors\?"),
        ('capacitors = ["0 nF"]', r"must be above 0"),
    ],
)
def test_faults_are_named(written, told):
    with pytest.raises(InputError, match=told):
        parse_job(f"{BASS}\n[drawer]\n{written}\n", Path("job.toml"))


def test_a_resistor_across_a_rheostat():
    tone = Tone(track="500 kohm", taper="linear", capacitor="22n", setting=0.5, resistor_across="500 kohm")
    assert tone.in_series.m == pytest.approx(250e3 * 750e3 / 1000e3)
    assert Tone(track="500 kohm", capacitor="22n").in_series.m == 500e3


@pytest.mark.parametrize(("fed_at", "node"), [("end", "selector"), ("wiper", "tip")])
def test_a_resistor_across_a_volume_joins_its_end_lugs(fed_at, node):
    job = parse_job(BASS, Path("job.toml"))
    volume = Volume(track="500 kohm", fed_at=fed_at, resistor_across="470 kohm")
    instrument = replace(job.instrument, controls=(volume,))
    (across,) = (
        b for b in circuit(instrument, instrument.positions[0]).branches if b.name.endswith("resistor across")
    )
    assert {across.start, across.end} == {"sleeve", node}
    assert np.asarray(across.resistance) == 470e3


def test_both_tracks_of_a_blend_have_it():
    blend = Blend(track="500 kohm", pickups=["neck", "bridge"], resistor_across="1 Mohm")
    assert blend.gang("neck").resistor_across == blend.resistor_across


def test_where_the_resistor_of_a_tone_is_soldered():
    job = parse_job(BASS, Path("job.toml"))
    tone = Tone(track="500 kohm", capacitor="22n", resistor_across="470 kohm")
    joints = harness(replace(job.instrument, controls=(tone,)), job.instrument.positions[0]).joints()
    assert ("tone: upper lug", "tone: resistor across: other lead") in joints
    assert ("tone: lower lug", "tone capacitor: other lead", "tone: resistor across: one lead") in joints
