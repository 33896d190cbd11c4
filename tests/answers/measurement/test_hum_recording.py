import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pickupcalc.answers.measurement.hum_change import compare
from pickupcalc.answers.measurement.hum_recording import hum_of
from pickupcalc.errors import InputError
from pickupcalc.parts.recording import write_recording
from pickupcalc.physics.measuring.lines import find_lines, spectra

RATE = 16_000
HARMONICS = {1: 1.0, 2: 0.2, 3: 0.5, 5: 0.3, 7: 0.2, 11: 0.1}


def hum(level, seconds=12.0, mains=50.02, noise=2e-4, seed=1, rate=RATE):
    t = np.arange(int(seconds * rate)) / rate
    x = noise * np.random.default_rng(seed).normal(size=t.size)
    for k, share in HARMONICS.items():
        x += level * share * np.sin(2 * np.pi * k * mains * t + k)
    return x


@pytest.fixture
def recorded(tmp_path):
    def write(name, samples, rate=RATE, bits=24):
        write_recording(tmp_path / f"{name}.wav", samples, rate, bits)
        return tmp_path / f"{name}.wav"

    return write


@settings(max_examples=25)
@given(st.floats(45.05, 64.95), st.floats(-3, -1), st.integers(0, 1000))
def test_the_mains_is_found_to_a_hundredth_of_a_hertz(mains, decade, seed):
    x = hum(10**decade, mains=mains, seed=seed)
    size = RATE
    found = find_lines(spectra((x[i : i + size] for i in range(0, x.size - size + 1, size)), RATE))
    assert found.mains == pytest.approx(mains, abs=0.01)


def test_the_mains_is_followed_though_it_wanders(recorded):
    t = np.arange(30 * RATE) / RATE
    phase = 2 * np.pi * np.cumsum(50 + 0.03 * np.sin(2 * np.pi * t / 20)) / RATE
    x = 0.02 * sum(share * np.sin(k * phase) for k, share in HARMONICS.items())
    steady = hum_of(recorded("steady", hum(0.02, 30.0)))
    wandering = hum_of(recorded("wandering", x + 2e-4 * np.random.default_rng(2).normal(size=t.size)))
    assert wandering.mains.m == pytest.approx(50 + 0.03 * np.mean(np.sin(2 * np.pi * t / 20)), abs=0.01)
    assert wandering.level_db == pytest.approx(steady.level_db, abs=0.02)


def test_levels_of_lines_and_floor_are_right(recorded):
    found = hum_of(recorded("a", hum(0.02)))
    squares = sum((0.02 * share) ** 2 for share in HARMONICS.values())
    assert found.level_db == pytest.approx(10 * np.log10(squares), abs=0.02)
    third = next(x for x in found.lines if round(x.frequency.m) == 150)
    assert third.clear
    assert third.level_db == pytest.approx(20 * np.log10(0.01), abs=0.05)
    share = (7600 - 25) / 8000  # the floor is summed up to 0.95 of half the sample rate
    assert found.floor_db == pytest.approx(10 * np.log10(2 * 4e-8 * share), abs=0.1)


def test_the_change_lies_in_its_interval(recorded):
    before, after = (hum_of(recorded(n, hum(v, seed=s))) for n, v, s in (("b", 0.02, 1), ("a", 0.001, 2)))
    change = compare(before, after).change
    true = 20 * np.log10(0.001 / 0.02)
    assert change.low_db <= true <= change.high_db
    assert change.high_db - change.low_db < 0.5


def test_intervals_hold_in_95_of_100_cases_for_a_hum_near_the_floor():
    from pickupcalc.answers.measurement.hum_change import change_of
    from pickupcalc.answers.measurement.hum_recording import power_of

    inside = 0
    for seed in range(100):
        powers = []
        for level, s in ((2e-3, seed), (4e-5, 1000 + seed)):
            x = hum(level, 12.0, seed=s, rate=8000)
            cut = (x[i : i + 8000] for i in range(0, x.size, 8000))
            powers.append(power_of(find_lines(spectra(cut, 8000), 50.02).powers.sum(axis=1)))
        change = change_of(*powers)
        inside += change.low_db <= 20 * np.log10(0.02) <= change.high_db
    assert inside >= 93


def test_a_hum_that_is_gone_gives_a_bound(recorded):
    before, after = hum_of(recorded("b", hum(0.02))), hum_of(recorded("a", hum(0.0, seed=2)))
    change = compare(before, after).change
    assert change.at_least
    assert change.change_db < -50
    assert "nothing of it stands out" in str(change)


def test_a_changed_gain_is_known_by_the_floor(recorded):
    before, after = hum_of(recorded("b", hum(0.02))), hum_of(recorded("a", 2 * hum(0.001, seed=2)))
    with pytest.raises(InputError, match="the gain was changed"):
        compare(before, after)
    assert compare(before, after, same_gain=True).floor_change_db == pytest.approx(6.0, abs=0.2)


def test_unequal_lengths_are_refused(recorded):
    before, after = hum_of(recorded("b", hum(0.02))), hum_of(recorded("a", hum(0.02, 20.0)))
    with pytest.raises(InputError, match="equally long"):
        compare(before, after)


def test_a_wrong_sample_rate_shows_in_the_mains(recorded):
    before, after = hum_of(recorded("b", hum(0.02))), hum_of(recorded("a", hum(0.02, seed=3), rate=17_400))
    assert "sample rate" in after.notes[0]
    with pytest.raises(InputError, match="sample rate is wrong"):
        compare(before, after)


def with_note(hertz=98.0, level=0.01, at=5.0):
    x = hum(0.02)
    t = np.arange(x.size) / RATE - at
    sounding = np.where(t > 0, np.exp(-2 * np.maximum(t, 0)), 0)
    return x + level * sounding * sum(np.sin(2 * np.pi * n * hertz * t) / n for n in range(1, 8))


def gain_step():
    x = hum(0.02)
    x[x.size // 2 :] *= 1.5
    return x


def gated():
    x = hum(0.02)
    x[3 * RATE : 4 * RATE] = 0
    return x


SPOILED = {
    "clipped": (lambda: np.clip(60 * hum(0.02), -1, 1 - 2**-15), "is clipped: 3 samples"),
    "clipped before the converter": (lambda: np.clip(hum(0.4), -0.3, 0.3), "before the converter"),
    "a note": (with_note, "a note or a knock"),
    "a soft note": (lambda: with_note(level=0.002), "a note or a knock"),
    "a string that sounds all along": (
        lambda: hum(0.02) + 0.001 * np.sin(2 * np.pi * 110 * np.arange(12 * RATE) / RATE),
        "a string was sounding",
    ),
    "a gain moved": (gain_step, "changed while recording"),
    "a gate": (gated, "is perfectly silent at 3.0 s"),
    "silence": (lambda: np.zeros(12 * RATE), "is perfectly silent at 0.0 s"),
    "too short": (lambda: hum(0.02, 3.0), "at least 6 s"),
}


@pytest.mark.parametrize("case", SPOILED)
def test_what_cannot_be_compared_is_refused_and_it_is_said_how_it_is_known(recorded, case):
    made, told = SPOILED[case]
    with pytest.raises(InputError, match=told) as caught:
        hum_of(recorded("spoiled", made(), bits=16))
    assert "spoiled.wav" in str(caught.value)


def test_a_sine_near_full_scale_is_not_taken_for_clipped(recorded):
    t = np.arange(8 * RATE) / RATE
    x = 0.95 * np.sin(2 * np.pi * 50 * t) + 1e-4 * np.random.default_rng(1).normal(size=t.size)
    assert hum_of(recorded("a", x, bits=16)).level_db == pytest.approx(20 * np.log10(0.95), abs=0.01)


def test_a_channel_that_is_not_there_is_refused(recorded):
    with pytest.raises(InputError, match="not one of the file's 1 to 1"):
        hum_of(recorded("a", hum(0.02)), channel=2)


def test_the_click_of_the_button_can_be_left_out(recorded):
    x = hum(0.02)
    x[RATE // 5 : RATE // 5 + 40] += 0.5
    path = recorded("a", x)
    with pytest.raises(InputError, match="a note or a knock"):
        hum_of(path)
    found = hum_of(path, skip="1 s")
    assert found.seconds == pytest.approx(11)
    assert hum_of(path, skip="1 s", seconds="8 s").seconds == pytest.approx(8)


def test_a_time_without_a_unit_is_refused(recorded):
    with pytest.raises(InputError, match="no unit"):
        hum_of(recorded("a", hum(0.02)), skip=1)
