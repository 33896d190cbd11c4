import numpy as np
import pytest

from pickupcalc.physics.measuring.estimate import most_probable


def test_one_exact_reading_of_one_value():
    found = most_probable(lambda x: x, [5.0], [1.0], [7.0], [0.007])
    assert found.values[0] == pytest.approx(7.0, rel=1e-4)
    assert found.deviation[0] == pytest.approx(1e-3, rel=1e-2)
    assert found.told[0] > 0.99


def test_a_product_tells_only_the_product():
    found = most_probable(lambda x: x[:, :1] * x[:, 1:], [2.0, 3.0], [0.5, 0.5], [12.0], [0.01])
    assert np.prod(found.values) == pytest.approx(12, rel=1e-3)
    assert found.correlation[0, 1] < -0.99
    np.testing.assert_allclose(found.values, [2 * np.sqrt(2), 3 * np.sqrt(2)], rtol=1e-3)


def test_nothing_read_leaves_what_was_expected():
    found = most_probable(lambda x: 0 * x + 1, [5.0], [0.3], [1.0], [0.1])
    assert found.values[0] == pytest.approx(5.0)
    assert found.deviation[0] == pytest.approx(0.3)
    assert found.told[0] == pytest.approx(0, abs=1e-9)


def test_linear_theory_of_two_readings():
    """Two readings of one value and its expectation: weights add up, as any text has it."""
    found = most_probable(lambda x: np.log(np.hstack([x, x])), [1.0], [1.0], [0.1, 0.2], [0.1, 0.1])
    assert np.log(found.values[0]) == pytest.approx(30 / 201, rel=1e-6)
    assert found.deviation[0] == pytest.approx(201**-0.5, rel=1e-6)
