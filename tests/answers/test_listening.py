"""Takes put on record: levels, gaps, hum, files."""

from __future__ import annotations

import io
import json
import wave
from dataclasses import replace

import numpy as np
import pytest
from scipy.io import wavfile

import pickupcalc as pc
from pickupcalc.answers.sound.listening import PEAK, wav_bytes
from pickupcalc.answers.sound.rendering import hum_voltages
from tests.conftest import ROOT

SHORT = pc.Performance(seconds="0.5 s")


@pytest.fixture(scope="module")
def bass():
    return pc.read_job(ROOT / "data" / "bass_12.toml").instrument


@pytest.fixture(scope="module")
def heard(bass):
    return pc.listen(pc.takes(bass), SHORT)


def test_one_after_the_other_with_gaps(bass, heard):
    assert [s.label for s in heard.segments] == ["neck", "both", "bridge"]
    assert heard.samples.size == 3 * 24_000 + 2 * 19_200
    gap = heard.samples[24_000 : 24_000 + 19_200]
    assert not gap.any()
    assert np.array_equal(heard.segment(1), heard.samples[43_200 : 43_200 + 24_000])
    json.dumps(heard.as_json(), allow_nan=False)


def test_matched_is_equally_loud_and_nothing_is_too_loud(heard):
    loud = [s.loudness for s in heard.segments]
    assert np.ptp(loud) < 1e-6
    assert np.max(np.abs(heard.samples)) == pytest.approx(PEAK)


def test_true_level_keeps_the_differences(bass):
    true = pc.listen(pc.takes(bass), SHORT, pc.Record(level="true"))
    assert all(s.gain_db == pytest.approx(0) for s in true.segments)
    assert true.segments[1].loudness < true.segments[0].loudness - 5
    assert np.max(np.abs(true.samples)) == pytest.approx(PEAK)


def test_it_starts_and_ends_in_silence(heard):
    for i in range(3):
        part = heard.segment(i)
        assert abs(part[0]) < 1e-3
        assert abs(part[-1]) < 1e-3


def test_before_and_after(bass):
    neck, bridge = bass.pickups
    mended = replace(bass, pickups=(neck, replace(bridge, tap="positive")))
    pair = pc.before_and_after(bass, mended, ["both"])
    heard = pc.listen(pair, SHORT, pc.Record(level="true"))
    assert [s.label for s in heard.segments] == ["both, before", "both, after"]
    assert heard.segments[1].loudness > heard.segments[0].loudness + 5


def test_the_same_again_is_the_same_file(bass, heard):
    assert pc.listen(pc.takes(bass), SHORT).wav() == heard.wav()


def test_hum_is_told_and_an_assumed_field_is_marked(bass):
    heard = pc.listen(pc.takes(bass), SHORT, pc.Record(hum=True))
    assert all(-80 < s.hum_db < -20 for s in heard.segments)
    assert any("hum field" in line for line in heard.assumed)
    given = pc.listen(pc.takes(bass), SHORT, pc.Record(hum=True, room="500 nT"))
    assert not any("hum field" in line for line in given.assumed)
    assert given.segments[0].hum_db == pytest.approx(heard.segments[0].hum_db + 20 * np.log10(5), abs=0.1)


def test_a_cancelling_pair_hums_less_but_not_nothing(bass):
    neck, bridge = bass.pickups
    mended = replace(bass, pickups=(neck, replace(bridge, tap="positive")))
    record = pc.Record(hum=True)
    adding, cancelling, alone = (
        np.abs(hum_voltages(i, i.position(name), record)[1][0])
        for i, name in ((bass, "both"), (mended, "both"), (bass, "neck"))
    )
    assert 1e-3 * alone < cancelling < 0.2 * alone
    assert adding == pytest.approx(alone, rel=0.2)


def test_hum_lines_are_multiples_of_the_mains(bass):
    frequency, _ = hum_voltages(bass, bass.position("neck"), pc.Record())
    assert frequency[0] == 50
    np.testing.assert_allclose(frequency, 50 * np.rint(frequency / 50))


def test_a_low_pass_takes_the_treble_only_if_asked(bass):
    bright, dark = (
        pc.listen(pc.takes(bass, ["bridge"]), SHORT, pc.Record(low_pass=corner)).samples
        for corner in (None, "500 Hz")
    )

    def treble(x):
        power = np.abs(np.fft.rfft(x)) ** 2
        return power[np.fft.rfftfreq(x.size, 1 / 48_000) > 1000].sum() / power.sum()

    assert treble(dark) < 0.1 * treble(bright)


def test_distortion_changes_a_gentle_note_little_and_a_hard_one_more(bass):
    def change(height):
        plays = pc.Performance(scene="note", seconds="0.3 s", pluck=pc.Pluck(height=height))
        one = pc.takes(bass, ["neck"])
        straight, bent = (pc.listen(one, plays, pc.Record(distortion=d)).samples for d in (False, True))
        return np.linalg.norm(bent - straight) / np.linalg.norm(straight)

    assert change("0.1 mm") < 0.1
    assert change("2 mm") > 3 * change("0.1 mm")
    with pytest.raises(pc.InputError, match="above its pole"):
        change("5 mm")


def test_a_note_stops_when_its_string_is_plucked_again(bass):
    plays = pc.Performance(scene="scale", seconds="2 s", fret=0)
    heard = pc.listen(pc.takes(bass, ["neck"]), plays)
    assert np.isfinite(heard.samples).all()
    assert heard.samples.size == 96_000


@pytest.mark.parametrize("bits", [16, 24])
def test_files_read_back(heard, bits):
    content = heard.wav(bits)
    rate, samples = wavfile.read(io.BytesIO(content))
    full = 2.0**31 if bits == 24 else 2.0**15
    assert rate == 48_000
    np.testing.assert_allclose(samples / full, heard.samples, atol=1.5 * 2.0 ** (1 - bits))
    with wave.open(io.BytesIO(content)) as file:
        assert (file.getnchannels(), file.getsampwidth()) == (1, bits // 8)


def test_other_widths_are_refused(heard):
    with pytest.raises(pc.InputError, match="16, 24"):
        wav_bytes(heard.samples, 48_000, 12)


def test_more_than_memory_holds_is_refused(bass):
    with pytest.raises(pc.InputError, match=r"seconds.*at most 52 s"):
        pc.listen(pc.takes(bass), pc.Performance(seconds="60 s"), pc.Record(rate="192 kHz"))


def test_nothing_chosen_is_refused():
    with pytest.raises(pc.InputError, match="position"):
        pc.listen([])


def test_it_plays_in_a_notebook(heard):
    page = heard._repr_html_()
    assert page.count("<audio") == 3
    assert "volume down" in page


def test_silence_is_recorded_as_silence(bass):
    """Two pickups that cancel completely, alone and beside one that sounds."""
    neck = bass.pickups[0]
    other = replace(neck, name="bridge", tap="negative")
    both = pc.Position(name="both", wiring={"parallel": ["neck", "bridge"]})
    dead = replace(bass, pickups=(neck, other), controls=(), positions=(both, bass.position("neck")))
    nothing = pc.listen(pc.takes(dead, ["both"]), SHORT)
    assert not nothing.samples.any()
    beside = pc.listen(pc.takes(dead), SHORT)
    assert not beside.segment(0).any()
    assert np.max(np.abs(beside.segment(1))) == pytest.approx(PEAK)
    assert beside.segments[0].as_json()["loudness_lufs"] is None
