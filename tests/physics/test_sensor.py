"""The pole as a sensor: slopes, symmetry, distance, and the bend of the flux."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import elliprd

from pickupcalc.physics.sound import sensor

POLE = sensor.Pole(
    radius=2.4e-3,
    length=17e-3,
    face_field=0.1,
    permeability=4.0,
    turns=8000.0,
    coil_radius=6e-3,
    coil_height=11e-3,
    coil_depth=2e-3,
    distance=2.5e-3,
    offset=0.0,
)


def test_the_face_has_the_field_that_was_measured():
    _, up = sensor.cylinder_field(POLE.radius, POLE.length, sensor.face_remanence(POLE), 0.0, 1e-9)
    assert up == pytest.approx(POLE.face_field, rel=1e-5)


def test_flux_falls_as_the_string_rises_and_a_centred_string_is_deaf_sideways():
    sideways, upward = sensor.slopes(POLE)
    assert upward < 0
    assert abs(sideways) < 1e-9 * abs(upward)
    beside = sensor.slopes(replace(POLE, offset=1e-3))
    assert 0.05 < beside[0] / beside[1] < 0.6


def test_nearer_is_louder_and_hears_less_of_the_string():
    near, far = replace(POLE, distance=1.5e-3), replace(POLE, distance=4e-3)
    assert abs(sensor.slopes(near)[1]) > 5 * abs(sensor.slopes(far)[1])
    assert sensor.sensed_length(near) < sensor.sensed_length(far)


def test_flux_goes_with_field_and_turns():
    double = sensor.slopes(replace(POLE, face_field=0.2))[1] / sensor.slopes(POLE)[1]
    assert double == pytest.approx(2)
    assert sensor.slopes(replace(POLE, turns=16_000.0))[1] / sensor.slopes(POLE)[1] == pytest.approx(2)


def test_a_permeable_pole_helps():
    air = sensor.slopes(replace(POLE, permeability=1.0))[1]
    steel = sensor.slopes(replace(POLE, permeability=100.0))[1]
    assert 1 < sensor.slopes(POLE)[1] / air < steel / air < 10


def test_the_polynomial_follows_the_flux():
    reach = 1e-3
    found = dict(zip(sensor.POWERS, sensor.polynomial(POLE, reach), strict=True))
    u, v = np.meshgrid(np.linspace(-reach, reach, 9), np.linspace(-reach, reach, 9))
    exact = sensor.linkage(POLE, u, v) - sensor.linkage(POLE, 0.0, 0.0)
    made = sum(c * u**i * v**j for (i, j), c in found.items())
    assert np.max(np.abs(made - exact)) < 0.03 * np.ptp(exact)
    assert found[0, 2] > 0  # the flux falls ever more slowly
    assert abs(found[1, 0]) < 1e-6 * abs(found[0, 1])


def test_along_the_string_enough_points_are_taken(monkeypatch):
    coarse = sensor.linkage(POLE, 0.0, [0.0, 1e-4])
    monkeypatch.setattr(sensor, "POINTS", 601)
    np.testing.assert_allclose(coarse, sensor.linkage(POLE, 0.0, [0.0, 1e-4]), rtol=1e-6)


@pytest.mark.parametrize("aspect", [0.05, 0.3, 0.999, 1.0, 1.001, 3.5, 20.0])
def test_demagnetising_of_spheroids_long_and_flat(aspect):
    """Osborn's integral is B. C. Carlson's R_D, as SciPy has it."""
    assert sensor._demagnetising(aspect) == pytest.approx(aspect / 3 * elliprd(1, 1, aspect**2), rel=1e-6)


@pytest.mark.parametrize("offset", [0.0, 2e-3])
def test_the_sensed_length_is_that_of_the_slope_spread_along_the_string(offset):
    """Its second moment is that of d(linkage)/d(height) per length, the field's sideways part included."""
    pole = replace(POLE, offset=offset)
    x, h = np.linspace(-10, 10, 4001) * pole.radius, 1e-6
    each = []
    for z in (pole.distance - h, pole.distance + h):
        rho = np.hypot(x, offset)
        magnet = sensor.cylinder_field(pole.radius, pole.length, sensor.face_remanence(pole), rho, z)
        coil = sensor.coil_field(pole, rho, z)
        sideways = (offset / np.maximum(rho, 1e-12)) ** 2
        each.append(magnet[1] * coil[1] + magnet[0] * coil[0] * sideways)
    weight = np.maximum(each[0] - each[1], 0)
    expected = np.sqrt(12 * np.sum(weight * x**2) / np.sum(weight))
    assert sensor.sensed_length(pole) == pytest.approx(expected, rel=1e-3)
