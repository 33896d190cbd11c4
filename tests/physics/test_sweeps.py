import numpy as np
import pytest

from pickupcalc.physics.measuring.fit import fit_pickup
from pickupcalc.physics.measuring.impedance import pickup_impedance
from pickupcalc.physics.measuring.sweeps import exponential_sweep, ratio_of, trimmed

RATE = 48_000


def test_a_sweep_has_its_level_its_silence_and_its_ends():
    x = exponential_sweep(2.0, RATE, level=0.3, silence=0.5)
    assert x.size == 3 * RATE
    assert np.abs(x).max() == pytest.approx(0.3, rel=1e-3)
    assert not x[: RATE // 2].any()
    assert not x[-RATE // 2 :].any()


def test_its_frequency_grows_by_the_same_factor_each_second():
    x = exponential_sweep(3.0, RATE, low=20, high=20e3, silence=0.0)
    crossings = np.flatnonzero((x[:-1] < 0) & (x[1:] >= 0))
    for second in (0.5, 1.0, 2.0):
        near = crossings[np.abs(crossings - second * RATE) < 0.1 * RATE]
        measured = RATE / np.diff(near).mean()
        middle = (near[0] + near[-1]) / 2 / RATE
        assert measured == pytest.approx(20 * 1000 ** (middle / 3), rel=0.05)


def test_the_ratio_of_a_filter_is_found_with_honest_errors():
    rng = np.random.default_rng(4)
    played = exponential_sweep(2.0, RATE)
    hertz = np.fft.rfftfreq(played.size, 1 / RATE)
    true = 1 / (1 + 1j * hertz / 700)
    first = np.fft.irfft(np.fft.rfft(played) * true, played.size)
    samples = np.stack([first, played], axis=1) + 1e-3 * rng.normal(size=(played.size, 2))
    part, faded = trimmed(samples, RATE)
    found = ratio_of(part[:, 0], part[:, 1], RATE, 30, 15e3, faded)
    pull = np.abs(found.value * (1 + 1j * found.frequency / 700) - 1) / found.deviation
    assert np.sqrt(np.mean(pull**2) / 2) == pytest.approx(1.0, abs=0.1)
    assert np.all(found.coherence > 0.9)


def test_a_line_of_the_mains_widens_only_its_own_bands():
    played = exponential_sweep(2.0, RATE)
    t = np.arange(played.size) / RATE
    samples = np.stack([0.5 * played + 0.05 * np.sin(2 * np.pi * 450.3 * t), played], axis=1)
    samples += 1e-4 * np.random.default_rng(1).normal(size=samples.shape)
    part, faded = trimmed(samples, RATE)
    found = ratio_of(part[:, 0], part[:, 1], RATE, 30, 15e3, faded)
    far = np.abs(found.frequency - 450.3) > 40
    assert np.abs(found.value[far] / 0.5 - 1).max() < 0.01
    near = ~far
    assert np.all(np.abs(found.value[near] / 0.5 - 1) < 4 * found.deviation[near])


def test_a_fit_without_noise_is_exact():
    hertz = np.geomspace(20, 20e3, 100)
    parts = (7400.0, 2.6, 105e-12, 8e5, 1.0, 6e4)
    for true in (parts[:4], parts):
        fit = fit_pickup(hertz, pickup_impedance(2 * np.pi * hertz, *true), np.full(100, 1e-4))
        np.testing.assert_allclose(fit.values, true, rtol=1e-6)
        assert fit.size < 1e-8


def test_a_fit_needs_points():
    with pytest.raises(ValueError, match="eight"):
        fit_pickup([1, 2], [1, 2])
