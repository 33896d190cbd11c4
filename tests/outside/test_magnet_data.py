"""Magnet materials and demagnetisation against what is published."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.constants import mu_0

from pickupcalc.parts.magnet_material import magnet_material
from pickupcalc.physics.magnetism.assembly import Assembly
from pickupcalc.physics.magnetism.attraction import _wire_coupling
from pickupcalc.physics.magnetism.magnets import demagnetising_factor
from pickupcalc.physics.magnetism.pieces import rods
from pickupcalc.physics.magnetism.steel_rods import SteelRods, charge_susceptibility
from pickupcalc.tables import table

NAMES = tuple(table("magnets"))

# One minus Nagaoka's coefficient (H. Nagaoka, J. Coll. Sci. Imp. Univ. Tokyo 27 (1909) art. 6, as corrected
# by E. B. Rosa and F. W. Grover, Bull. Bureau Stand. 8 (1912), table XXI), which by R. Moskowitz and
# E. Della Torre, IEEE Trans. Magn. 2 (1966) 739, is the magnetometric factor of a cylinder.
MAGNETOMETRIC = {0.5: 0.474490, 1: 0.311577, 2: 0.181864, 4: 0.098351, 5: 0.079907, 10: 0.041193}


@pytest.mark.parametrize(("ratio", "printed"), MAGNETOMETRIC.items())
def test_demagnetising_factor(ratio, printed):
    assert demagnetising_factor(np.array(float(ratio)), 1.0) == pytest.approx(printed, abs=3e-6)


def test_slices_share_the_rods_factor():
    """However a rod is cut, its mean demagnetising field is the whole rod's."""
    rod = rods([(0.0, 0.0)], bottom=-0.01, top=0.02, radius=0.004, slices=7)
    coupling = Assembly((rod,)).coupling
    mean = rod.volumes @ coupling.sum(axis=1) / rod.volumes.sum()
    assert -mean == pytest.approx(demagnetising_factor(np.array(0.03), 0.008), rel=1e-12)


def test_load_line_within_the_published_fit():
    """M. Sato and Y. Ishii, J. Appl. Phys. 66 (1989) 983: within 2 % for ratios 1 to 5."""
    for ratio in (1.0, 2.0, 3.5, 5.0):
        fit = 1 / (4 * ratio / np.sqrt(np.pi) + 1)
        assert demagnetising_factor(np.array(ratio), 1.0) == pytest.approx(fit, rel=0.025)


# Ballistic factors of rods of very high permeability: R. M. Bozorth, Ferromagnetism (1951), a table of
# measurements; from memory, good to some 10 %.
@pytest.mark.parametrize(("ratio", "printed"), [(5, 0.040), (10, 0.0172)])
def test_soft_rod_in_a_uniform_field(ratio, printed):
    rod = SteelRods(((0.0, 0.0),), -ratio / 2, ratio / 2, 0.5, 24, 6)
    drive = rod.balanced(rod.directions[..., 2].mean(axis=1))
    chi = charge_susceptibility(1e6)
    charge = np.linalg.solve(np.eye(rod.count) - chi * rod.own(), chi * drive)
    middle = rod.inside(np.zeros((1, 3)), charge)[0, 2]
    assert 1 / middle == pytest.approx(printed, rel=0.1)


def test_long_wire_in_a_uniform_field():
    """Bozorth's rod of length 50 diameters, 0.00129 (from memory): the thin wire that stands for a string."""
    edges = np.linspace(-50.0, 50.0, 202)
    coupling = _wire_coupling(edges, 1.0)
    m = np.linalg.solve(np.eye(201) / 1e6 - coupling, np.ones(201))
    assert 1 / m[100] == pytest.approx(0.00129, rel=0.1)


@pytest.mark.parametrize("name", NAMES)
def test_model_gives_the_printed_energy_product(name):
    """The knee is fitted to it only for alnico; all must stay within a data sheet's spread."""
    material = magnet_material(name)
    assert material.strength().energy_product() == pytest.approx(material.energy_product[1], rel=0.09)


@pytest.mark.parametrize("name", NAMES)
def test_model_gives_the_printed_coercivity(name):
    """HcB is not put into the model: it is where the model's B crosses zero."""
    material = magnet_material(name)
    strength = material.strength()
    field = -np.linspace(0, strength.coercivity, 4001)
    b = strength.polarisation(field) + mu_0 * field
    assert -field[np.argmax(b < 0)] == pytest.approx(material.coercivity[1], rel=0.09)


@pytest.mark.parametrize("name", NAMES)
def test_ranges_are_in_order_and_possible(name):
    m = magnet_material(name)
    for low, usual, high in (
        m.remanence,
        m.coercivity,
        m.intrinsic_coercivity,
        m.energy_product,
        m.saturating,
    ):
        assert low <= usual <= high
    # No magnet stores more than Br^2/(4 mu_0), and HcB cannot exceed HcJ or Br/mu_0.
    assert m.energy_product[2] <= m.remanence[2] ** 2 / (4 * mu_0)
    assert m.coercivity[1] <= m.intrinsic_coercivity[1]
    assert m.coercivity[2] <= m.remanence[2] / mu_0
    assert m.saturating[0] > m.intrinsic_coercivity[0]
    assert m.highest < m.curie
    assert m.source


def test_alnico_lies_in_the_standards_range():
    """ASTM A1070-16, scope: alnico has Br 0.52 to 1.35 T and HcB 38 to 175 kA/m."""
    for name in NAMES:
        m = magnet_material(name)
        if m.family == "alnico":
            assert m.remanence[0] >= 0.52 and m.remanence[2] <= 1.35
            assert m.coercivity[0] >= 38e3 and m.coercivity[2] <= 175e3


def test_straight_line_grades():
    """Ferrite and rare earths: HcB is close to Br/(mu_0 mu_rec); alnico's is far below, its curve bends."""
    for name in NAMES:
        m = magnet_material(name)
        ratio = m.coercivity[1] * mu_0 * m.recoil / m.remanence[1]
        assert ratio < 0.5 if m.family == "alnico" else 0.6 < ratio < 1.1


@pytest.mark.parametrize("name", ["alnico 2", "alnico 3", "alnico 5", "alnico 8", "hard ferrite"])
def test_reversing_takes_some_three_to_five_times_the_coercivity(name):
    """A rule of the magnetising trade, from memory; for hard ferrite "triple HcJ" (magnete.de)."""
    strength = magnet_material(name).strength()
    fields = np.linspace(1, 8, 7001) * strength.coercivity
    enough = fields[np.argmax(strength.turned(fields) > 0.975)]
    assert 2.3 < enough / strength.coercivity < 5
