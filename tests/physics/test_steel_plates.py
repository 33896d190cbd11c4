"""Surface charge on plates and on poles that stand on them: sums, conservation, refinement."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pickupcalc.physics.magnetism.assembly import Assembly
from pickupcalc.physics.magnetism.pieces import block
from pickupcalc.physics.magnetism.steel_plates import SteelPlate
from pickupcalc.physics.magnetism.steel_rods import SteelRods
from tests.physics.straight_curves import magnetise

LENGTH = 0.012
POLES = SteelRods(((-0.005, 0.0), (0.005, 0.0)), -LENGTH, 0.0, 0.0024, 8, 2, standing=True)
STRIP = SteelPlate((0.0, 0.0, -LENGTH - 0.0016), (0.02, 0.006, 0.0032), 150.0, poles=POLES)
PLATE = SteelPlate((0.0, 0.0, -0.002), (0.02, 0.012, 0.003), 150.0, feet=((0.004, 0.0),), radius=0.002)
BAR = block((0.0, 0.0, -LENGTH - 0.006), (0.02, 0.006, 0.005), cut=(2, 1, 1), axes=(2,))
FAR = np.random.default_rng(3).uniform(0.001, 0.03, (300, 3))  # above every plate and pole
ABOVE = np.array([(0.005, 0.0, 0.003), (0.0, 0.0, 0.006)])


def bar_on(*steel):
    assembly = Assembly((BAR,), steel)
    every = np.ones(BAR.count)
    m = magnetise(assembly, permanent=3e5 * every, susceptibility=0.08 * every, applied=0 * every)
    return assembly, m


@pytest.mark.parametrize("steel", [STRIP, PLATE], ids=["poles on a strip", "plate"])
def test_two_ways_of_summing_agree(steel):
    charge = np.random.default_rng(4).normal(size=steel.count)
    one_by_one = np.einsum("npi,p->ni", steel.per_piece(FAR), charge)
    assert steel.b_over_mu0(FAR, charge) == pytest.approx(one_by_one, abs=1e-3 * abs(one_by_one).max())


def test_no_net_charge_and_flux_through_the_feet():
    assembly, m = bar_on(STRIP)
    charge = assembly.charges(m)
    assert abs(charge @ STRIP.areas) < 1e-9 * (abs(charge) @ STRIP.areas)
    per = POLES.per_rod
    left, right = (charge * STRIP.areas)[-2 * per :].reshape(2, per).sum(axis=1)
    assert left == pytest.approx(right, rel=1e-6) and left > 0
    assert 0.05 < STRIP.densest(charge) < 1.0
    assert STRIP.densest(charge) >= 4e-7 * np.pi * left / (np.pi * 0.0024**2) * 0.999


def test_finer_rectangles_change_little():
    finer = replace(STRIP, step=2e-3, layers=4)
    coarse, fine = (bar_on(steel) for steel in (STRIP, finer))
    expected = fine[0].field(ABOVE, fine[1])
    assert coarse[0].field(ABOVE, coarse[1]) == pytest.approx(expected, rel=0.02, abs=1e-5)


def test_plates_alike_share_what_they_do_to_themselves():
    poles = replace(POLES, places=((-0.005, 0.25), (0.005, 0.25)))
    other = replace(STRIP, centre=(0.0, 0.25, STRIP.centre[2]), poles=poles)
    assert other.own() is STRIP.own()


def test_steel_without_permeability_is_air():
    air = replace(PLATE, permeability=1 + 1e-9)
    alone, with_air = bar_on(), bar_on(air)
    assert with_air[0].field(ABOVE, with_air[1]) == pytest.approx(alone[0].field(ABOVE, alone[1]), rel=1e-6)
