"""Poles and discs: convergence, limits, reciprocity and passivity."""

from __future__ import annotations

import numpy as np
import pytest

from pickupcalc.physics.winding import poles
from pickupcalc.physics.winding.field_problem import FieldProblem, twin_mutual
from pickupcalc.physics.winding.geometry import Rods, Winding
from pickupcalc.physics.winding.poles import Cylinder, Poles
from pickupcalc.physics.winding.rods import Body

ROUND = Winding(0.0, 3.4e-3, 3.6e-3, 9e-3, 9000)
RACETRACK = Winding(55e-3, 2.5e-3, 3.2e-3, 11e-3, 7900)
STEEL = Rods(6, 4.8e-3, 17e-3, 10.4e-3, 0.0, 100, 6e6)


@pytest.mark.parametrize(
    ("mu", "sigma", "hertz"), [(4, 2e6, 20e3), (100, 6e6, 1e3), (100, 6e6, 20e3), (1000, 0, 0)]
)
def test_one_rod_converges(mu, sigma, hertz):
    def change(order, layers):
        body = Body(2.5e-3, 16e-3, 1e-3, order, layers)
        poles = Poles([Cylinder(body, 0.0, mu, sigma)])
        applied = poles.applied(ROUND)[:, None]
        return (applied.T @ poles.weight @ poles.react(2 * np.pi * hertz, applied))[0, 0]

    fine = change(7, 6)
    errors = [abs(change(*size) / fine - 1) for size in ((3, 2), (4, 3), (6, 5))]
    assert errors[1] < 1e-3
    assert errors[2] < 1e-4
    assert errors[2] < errors[0]


def test_few_unknowns_answer_as_all_do():
    rods = FieldProblem(RACETRACK, STEEL).poles
    applied = rods.applied(RACETRACK)[:, None]
    omega = 2 * np.pi * 3e3
    few = rods.react(omega, applied)
    y = np.zeros((rods.size, rods.size), complex)
    for span, c in zip(rods.spans, rods.cylinders, strict=True):
        y[span, span] = c.body.response(c.permeability, c.conductivity, omega)
    all_of_them = y @ np.linalg.solve(np.eye(rods.size) - rods.coupling @ y, applied)
    linked = [(applied.T @ rods.weight @ k)[0, 0] for k in (few, all_of_them)]
    assert linked[0] == pytest.approx(linked[1], rel=1e-6)


@pytest.mark.parametrize("pitch", [4.9e-3, 5.2e-3, 6.5e-3, 10.4e-3])
def test_poles_close_together_are_summed_by_enough_points(monkeypatch, pitch):
    def gain():
        poles._between.cache_clear()
        problem = FieldProblem(RACETRACK, Rods(4, 4.8e-3, 17e-3, pitch, 0.0, 100, 0.0))
        return problem.linkage(0.0).real - problem.air_inductance

    usual = gain()
    enough = poles._enough_around
    monkeypatch.setattr(poles, "_enough_around", lambda *circles: 3 * max(enough(*circles), 16))
    assert usual == pytest.approx(gain(), rel=0.01 if pitch < 5e-3 else 1e-3)
    poles._between.cache_clear()


def test_a_rod_of_air_does_nothing():
    assert FieldProblem(ROUND, Rods(1, 5e-3, 16e-3, 0, 0, 1.0, 0.0)).linkage(0.0) == pytest.approx(
        FieldProblem(ROUND).air_inductance, rel=1e-12
    )


def test_offset_up_and_down_are_alike_and_less_than_centred():
    gains = [
        FieldProblem(RACETRACK, Rods(6, 4.8e-3, 17e-3, 10.4e-3, z, 4, 0)).linkage(0).real
        for z in (-3e-3, 0, 3e-3)
    ]
    assert gains[0] == pytest.approx(gains[2], rel=1e-9)
    assert gains[1] > gains[0]


def test_demagnetisation_saturates_the_gain():
    """Short rods: a tenfold permeability above 100 is worth some ten percent, not ten times."""
    gain = {
        mu: FieldProblem(RACETRACK, Rods(6, 4.8e-3, 17e-3, 10.4e-3, 0, mu, 0)).linkage(0).real
        for mu in (4, 100, 1000)
    }
    assert gain[4] < gain[100] < gain[1000] < 1.15 * gain[100]


def test_losses_are_passive_and_fall_with_frequency():
    hertz = np.geomspace(20, 20e3, 12)
    values = FieldProblem(RACETRACK, STEEL).linkages(hertz)
    assert np.all(np.diff(values.real) < 0)
    resistance = -2 * np.pi * hertz * values.imag
    assert np.all(np.diff(resistance) > 0)
    assert resistance[0] > 0


@pytest.mark.parametrize("rods", [STEEL, Rods(6, 4.8e-3, 17e-3, 10.4e-3, 0.0, 3.6, 2.1e6)])
def test_interpolation_between_frequencies(rods):
    problem = FieldProblem(RACETRACK, rods)
    hertz = np.geomspace(20, 20e3, 60)
    found = problem.linkages(hertz)
    for i in (1, 17, 31, 44, 58):
        exact = problem.linkage(float(hertz[i]))
        assert found[i].real == pytest.approx(exact.real, rel=5e-4)
        assert found[i].imag == pytest.approx(exact.imag, rel=3e-3)


def test_direct_current_is_the_limit():
    problem = FieldProblem(RACETRACK, STEEL)
    assert problem.linkage(1e-3).real == pytest.approx(problem.linkage(0.0).real, rel=1e-6)


def test_twin_coils_take_flux_from_each_other_more_with_steel():
    bare = twin_mutual(RACETRACK, RACETRACK, (None, None), 18e-3)
    steel = twin_mutual(RACETRACK, RACETRACK, (STEEL, STEEL), 18e-3)
    one_sided = [twin_mutual(RACETRACK, RACETRACK, pair, 18e-3) for pair in ((STEEL, None), (None, STEEL))]
    assert steel < one_sided[0] < bare < 0
    assert one_sided[0] == pytest.approx(one_sided[1], rel=1e-4)
