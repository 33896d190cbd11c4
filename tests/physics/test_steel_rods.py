"""Surface charge on steel poles: closed forms, conservation, and a second road to a twin coil's field."""

from __future__ import annotations

import numpy as np
import pytest

from pickupcalc.parts.magnets import TwinCoil
from pickupcalc.physics.magnetism.assembly import Assembly
from pickupcalc.physics.magnetism.pieces import block, rods
from pickupcalc.physics.magnetism.steel_rods import SteelRods, charge_susceptibility, shell_end
from tests.physics.straight_curves import magnetise

ROD = SteelRods(((0.0, 0.0),), -0.0085, 0.0085, 0.0024)
POINTS = np.random.default_rng(2).uniform(-0.02, 0.02, (400, 3))
OUTSIDE = POINTS[np.hypot(POINTS[:, 0], POINTS[:, 1]) > 0.003]


def test_charged_ends_are_a_magnetised_cylinder():
    charge = np.concatenate([np.zeros(ROD.bands), np.full(ROD.rings, 2e5), np.full(ROD.rings, -2e5)])
    magnet = rods([(0.0, 0.0)], bottom=-0.0085, top=0.0085, radius=0.0024, slices=1)
    expected = magnet.b_over_mu0(OUTSIDE, np.array([2e5]))
    assert ROD.b_over_mu0(OUTSIDE, charge) == pytest.approx(expected, rel=1e-9)
    assert ROD.inside(np.zeros((1, 3)), charge)[0, 2] == pytest.approx(2e5)


def test_charged_side_is_the_sum_of_its_points():
    rho, z = np.array([0.004, 0.001, 0.0]), np.array([0.001, 0.003, -0.002])
    low, high = shell_end(rho, z + 0.0085, 0.0024), shell_end(rho, z - 0.0085, 0.0024)
    turn = 2 * np.pi * (np.arange(400) + 0.5) / 400
    nodes, weights = np.polynomial.legendre.leggauss(200)
    source = np.stack(
        [
            np.broadcast_to(0.0024 * np.cos(turn)[:, None], (400, 200)),
            np.broadcast_to(0.0024 * np.sin(turn)[:, None], (400, 200)),
            np.broadcast_to(0.0085 * nodes, (400, 200)),
        ],
        axis=-1,
    )
    for i in range(3):
        away = np.array([rho[i], 0.0, z[i]]) - source
        each = away / np.linalg.norm(away, axis=-1, keepdims=True) ** 3 / (4 * np.pi)
        summed = np.einsum("abi,b->i", each, weights * 0.0085 * 0.0024 * 2 * np.pi / 400)
        assert low[0][i] - high[0][i] == pytest.approx(summed[0], rel=1e-6, abs=1e-9)
        assert low[1][i] - high[1][i] == pytest.approx(summed[2], rel=1e-6, abs=1e-9)


def test_two_ways_of_summing_agree():
    charge = np.random.default_rng(4).normal(size=ROD.count)
    one_by_one = np.einsum("npi,p->ni", ROD.per_piece(POINTS), charge) + ROD.inside(POINTS, charge)
    assert ROD.b_over_mu0(POINTS, charge) == pytest.approx(one_by_one, abs=1e-12)


def test_a_rod_in_a_row_is_like_any_other():
    """Moved together, nothing changes."""
    near = SteelRods(((0.0, 0.0), (0.01, 0.0)), -0.01, 0.0, 0.0024, 6, 2)
    far = SteelRods(((0.05, 0.02), (0.06, 0.02)), -0.01, 0.0, 0.0024, 6, 2)
    assert Assembly((near,)).coupling == pytest.approx(Assembly((far,)).coupling, abs=1e-9)


def test_twin_coil_by_cells_magnetised_in_every_direction():
    """Square poles of equal area in cells, with the magnetisation across them that the charges leave out."""
    twin = TwinCoil(count=2)
    length, side = twin.length.m, twin.diameter.m / 2 * np.sqrt(np.pi)
    bar = block((0, 0, -length + 0.0016), (0.024, twin.bar_width, 0.0032), cut=(4, 4, 1), axes=(1,))
    square = [
        block((x, y, -length / 2), (side, side, length), cut=(2, 2, 8), axes=(0, 1, 2))
        for x, y in twin.places
    ]
    round_poles = SteelRods(twin.places, -length, 0.0, twin.diameter.m / 2, 12, 3)
    above = np.array([(x, y, 0.004) for x, y in twin.places])
    fields = []
    for groups, chi in (((bar, *square), 149.0), ((bar, round_poles), charge_susceptibility(150.0))):
        assembly = Assembly(groups)
        hard = np.arange(assembly.count) < bar.count
        m = magnetise(
            assembly,
            permanent=np.where(hard, 3.5e5, 0.0),
            susceptibility=np.where(hard, 0.0, chi),
            applied=np.zeros(assembly.count),
        )
        fields.append(assembly.field(above, m)[:, 2])
    assert fields[1] == pytest.approx(fields[0], rel=0.1)
    assert np.sign(fields[1]).tolist() == [1, 1, -1, -1]
