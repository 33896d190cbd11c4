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

SUBJECT = "magnets"
NAMES = tuple(table("magnets"))
SHEET = {"source": "data books, each named in the table magnets", "status": "published"}

# One minus Nagaoka's coefficient (H. Nagaoka, J. Coll. Sci. Imp. Univ. Tokyo 27 (1909) art. 6, as corrected
# by E. B. Rosa and F. W. Grover, Bull. Bureau Stand. 8 (1912), table XXI), which by R. Moskowitz and
# E. Della Torre, IEEE Trans. Magn. 2 (1966) 739, is the magnetometric factor of a cylinder.
MAGNETOMETRIC = {0.5: 0.474490, 1: 0.311577, 2: 0.181864, 4: 0.098351, 5: 0.079907, 10: 0.041193}


@pytest.mark.parametrize(("ratio", "printed"), MAGNETOMETRIC.items())
def test_demagnetising_factor(ratio, printed, outside):
    outside(
        "demagnetising factor of a rod",
        source="Nagaoka (1909) by Rosa and Grover (1912), table XXI; Moskowitz and Della Torre (1966)",
        status="published",
        ours=demagnetising_factor(np.array(float(ratio)), 1.0),
        theirs=printed,
        rtol=3e-6,
        of=1.0,
    )


def test_slices_share_the_rods_factor(outside):
    """However a rod is cut, its mean demagnetising field is the whole rod's."""
    rod = rods([(0.0, 0.0)], bottom=-0.01, top=0.02, radius=0.004, slices=7)
    coupling = Assembly((rod,)).coupling
    mean = rod.volumes @ coupling.sum(axis=1) / rod.volumes.sum()
    outside(
        "demagnetising factor of a rod, from that of its slices",
        source="the whole rod's",
        status="another method",
        ours=-mean,
        theirs=demagnetising_factor(np.array(0.03), 0.008),
        rtol=1e-13,
    )


def test_load_line_within_the_published_fit(outside):
    """Their fit is within 2 % for ratios 1 to 5."""
    for ratio in (1.0, 2.0, 3.5, 5.0):
        fit = 1 / (4 * ratio / np.sqrt(np.pi) + 1)
        outside(
            "demagnetising factor of a rod, by a fit good to 2 %",
            source="M. Sato and Y. Ishii, J. Appl. Phys. 66, 983 (1989)",
            status="published",
            ours=demagnetising_factor(np.array(ratio), 1.0),
            theirs=fit,
            rtol=0.025,
        )


# Ballistic factors of rods of very high permeability, measured; good to some 10 %.
BOZORTH = {"source": "R. M. Bozorth, Ferromagnetism (1951)", "status": "from memory"}


@pytest.mark.parametrize(("ratio", "printed"), [(5, 0.040), (10, 0.0172)])
def test_soft_rod_in_a_uniform_field(ratio, printed, outside):
    rod = SteelRods(((0.0, 0.0),), -ratio / 2, ratio / 2, 0.5, 24, 6)
    drive = rod.balanced(rod.directions[..., 2].mean(axis=1))
    chi = charge_susceptibility(1e6)
    charge = np.linalg.solve(np.eye(rod.count) - chi * rod.own(), chi * drive)
    middle = rod.inside(np.zeros((1, 3)), charge)[0, 2]
    outside("demagnetising factor of a steel pole", ours=1 / middle, theirs=printed, rtol=0.1, **BOZORTH)


def test_long_wire_in_a_uniform_field(outside):
    """A rod of length 50 diameters: the thin wire that stands for a string."""
    edges = np.linspace(-50.0, 50.0, 202)
    coupling = _wire_coupling(edges, 1.0)
    m = np.linalg.solve(np.eye(201) / 1e6 - coupling, np.ones(201))
    outside("demagnetising factor of a string", ours=1 / m[100], theirs=0.00129, rtol=0.1, **BOZORTH)


@pytest.mark.parametrize("name", NAMES)
def test_model_gives_the_printed_energy_product(name, outside):
    """The knee is fitted to it only for alnico; all must stay within a data sheet's spread."""
    material = magnet_material(name)
    ours, theirs = material.strength().energy_product() / 1e3, material.energy_product[1] / 1e3
    outside(
        "energy product of a magnet material, fitted for alnico",
        ours=ours,
        theirs=theirs,
        rtol=0.06,
        unit="kJ/m3",
        **SHEET,
    )


@pytest.mark.parametrize("name", NAMES)
def test_model_gives_the_printed_coercivity(name, outside):
    """HcB is not put into the model: it is where the model's B crosses zero."""
    material = magnet_material(name)
    strength = material.strength()
    field = -np.linspace(0, strength.coercivity, 4001)
    b = strength.polarisation(field) + mu_0 * field
    ours, theirs = -field[np.argmax(b < 0)] / 1e3, material.coercivity[1] / 1e3
    outside("coercivity HcB of a magnet material", ours=ours, theirs=theirs, rtol=0.09, unit="kA/m", **SHEET)


@pytest.mark.parametrize("name", NAMES)
def test_ranges_are_in_order_and_possible(name, outside):
    m = magnet_material(name)
    for low, usual, high in (
        m.remanence,
        m.coercivity,
        m.intrinsic_coercivity,
        m.energy_product,
        m.saturating,
    ):
        assert low <= usual <= high
    bound = {"source": "any text on permanent magnets", "status": "published", "between": (None, 1)}
    outside(
        "energy product over Br^2/(4 mu_0)",
        ours=m.energy_product[2] * 4 * mu_0 / m.remanence[2] ** 2,
        **bound,
    )
    outside("HcB over HcJ", ours=m.coercivity[1] / m.intrinsic_coercivity[1], **bound)
    outside("HcB over Br/mu_0", ours=m.coercivity[2] * mu_0 / m.remanence[2], **bound)
    assert m.saturating[0] > m.intrinsic_coercivity[0]
    assert m.highest < m.curie
    assert m.source


def test_alnico_lies_in_the_standards_range(outside):
    alnico = [m for m in map(magnet_material, NAMES) if m.family == "alnico"]
    scope = {"source": "ASTM A1070-16, scope", "status": "published"}
    remanence = [[m.remanence[0], m.remanence[2]] for m in alnico]
    outside("remanence of alnico", ours=remanence, between=(0.52, 1.35), unit="T", **scope)
    coercivity = [[m.coercivity[0] / 1e3, m.coercivity[2] / 1e3] for m in alnico]
    outside("coercivity of alnico", ours=coercivity, between=(38, 175), unit="kA/m", **scope)


def test_straight_line_grades(outside):
    """Ferrite and rare earths: HcB is close to Br/(mu_0 mu_rec); alnico's is far below, its curve bends."""
    for name in NAMES:
        m = magnet_material(name)
        bent = {"source": "any text on permanent magnets", "status": "published"}
        bent["ours"] = m.coercivity[1] * mu_0 * m.recoil / m.remanence[1]
        if m.family == "alnico":
            outside("HcB of alnico over that of a straight curve", between=(None, 0.5), **bent)
        else:
            outside(
                "HcB of ferrite and rare earths over that of a straight curve", between=(0.6, 1.1), **bent
            )


@pytest.mark.parametrize("name", ["alnico 2", "alnico 3", "alnico 5", "alnico 8", "hard ferrite"])
def test_reversing_takes_some_three_to_five_times_the_coercivity(name, outside):
    """For hard ferrite "triple HcJ" (magnete.de)."""
    strength = magnet_material(name).strength()
    fields = np.linspace(1, 8, 7001) * strength.coercivity
    enough = fields[np.argmax(strength.turned(fields) > 0.975)]
    outside(
        "field that reverses, in coercivities",
        source="a rule of the magnetising trade",
        status="from memory",
        ours=enough / strength.coercivity,
        between=(2.3, 5),
    )
