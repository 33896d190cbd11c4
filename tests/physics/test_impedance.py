import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pickupcalc.physics.measuring.impedance import (
    log_slopes,
    parallel_equivalent,
    pickup_impedance,
    series_equivalent,
    series_inductance,
)

OMEGA = 2 * np.pi * np.geomspace(20, 20e3, 40)
SIX = st.tuples(
    st.floats(1e3, 2e4), st.floats(0.5, 10), st.floats(5e-11, 5e-10), st.floats(5e4, 5e6),
    st.floats(0.05, 3), st.floats(5e3, 5e5),
)  # fmt: skip


@given(SIX, st.sampled_from([4, 6]))
def test_slopes_are_those_of_differences(values, count):
    values = np.array(values[:count])
    slopes = log_slopes(OMEGA, values)
    for k in range(count):
        up, down = values.copy(), values.copy()
        up[k] *= np.exp(1e-5)
        down[k] *= np.exp(-1e-5)
        ratio = np.log(pickup_impedance(OMEGA, *up) / pickup_impedance(OMEGA, *down))
        np.testing.assert_allclose(slopes[:, k], ratio / 2e-5, rtol=1e-5, atol=1e-7)


@given(SIX)
def test_equivalents_have_the_impedance_they_stand_for(values):
    z = pickup_impedance(OMEGA, *values)
    r, henry = series_equivalent(OMEGA, z)
    np.testing.assert_allclose(r + 1j * OMEGA * henry, z, rtol=1e-12)
    r, henry = parallel_equivalent(OMEGA, z)
    np.testing.assert_allclose(1 / (1 / r + 1 / (1j * OMEGA * henry)), z, rtol=1e-9)


def test_limits():
    low, high = (pickup_impedance(w, 6100, 2.45, 110e-12, 1.2e6) for w in (1e-3, 1e9))
    assert low.real == pytest.approx(1 / (1 / 6100 + 1 / 1.2e6))
    assert abs(high) == pytest.approx(1 / (1e9 * 110e-12), rel=1e-3)


def test_iron_loses_inductance_as_frequency_rises():
    values = (6100, 2.45, 110e-12, 1.2e6, 1.0, 6e4)
    inductance = series_inductance(OMEGA, values)
    assert np.all(np.diff(inductance) < 0)
    assert inductance[0] == pytest.approx(3.45, rel=1e-3)
    assert inductance[-1] > 2.45
