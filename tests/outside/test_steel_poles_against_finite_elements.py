"""A magnet under a steel pole against axisymmetric finite elements (scikit-fem)."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.constants import mu_0
from skfem import Basis, BilinearForm, ElementQuad2, LinearForm, MeshQuad, condense, solve
from skfem.helpers import dot, grad

from pickupcalc.physics.magnetism.assembly import Assembly
from pickupcalc.physics.magnetism.pieces import rods
from pickupcalc.physics.magnetism.steel_rods import SteelRods, charge_susceptibility
from tests.physics.straight_curves import magnetise

SUBJECT = "magnets"
RADIUS, LENGTH, WIDE, THICK, GAP = 2.4e-3, 17e-3, 6e-3, 5e-3, 5e-5
PERMEABILITY, MAGNETISATION, RECOIL = 150.0, 3e5, 1.08
FAR = 0.3
HEIGHTS = np.array([2e-3, 4e-3, 8e-3])


def graded(stops, finest, ratio):
    """A line of nodes, fine at every stop and coarser between."""
    nodes = [stops[0]]
    for low, high in pairwise(stops):
        left, step = [low], finest
        while left[-1] + step < (low + high) / 2:
            left.append(left[-1] + step)
            step = min(step * ratio, 0.02)
        nodes += left[1:] + [low + high - x for x in left[::-1]]
    return np.unique(np.round(nodes, 9))


@pytest.fixture(scope="module")
def finite_elements():
    """B on the axis above the pole, in T."""
    foot = -LENGTH - GAP
    r = graded([0, RADIUS, WIDE, 0.02, FAR], 1e-4, 1.25)
    z = graded([-FAR, foot - THICK, foot, -LENGTH, 0, FAR], GAP / 2, 1.25)
    basis = Basis(MeshQuad.init_tensor(r, z), ElementQuad2(), intorder=5)

    def magnet(x):
        return (x[0] < WIDE) & (x[1] > foot - THICK) & (x[1] < foot)

    def mu(x):
        pole = (x[0] < RADIUS) & (x[1] > -LENGTH) & (x[1] < 0)
        return np.where(pole, PERMEABILITY, np.where(magnet(x), RECOIL, 1.0))

    stiffness = BilinearForm(lambda u, v, w: w.x[0] * mu(w.x) * dot(grad(u), grad(v))).assemble(basis)
    load = LinearForm(lambda v, w: w.x[0] * MAGNETISATION * magnet(w.x) * grad(v)[1]).assemble(basis)
    outside = basis.get_dofs(lambda x: (x[0] > FAR - 1e-9) | (np.abs(x[1]) > FAR - 1e-9))
    potential = solve(*condense(stiffness, load, D=outside))
    step = 2e-5
    ends = [basis.probes(np.stack([np.full(3, 1e-6), HEIGHTS + s])) @ potential for s in (step, -step)]
    return -mu_0 * (ends[0] - ends[1]) / (2 * step)


def field_above_the_pole(bands, rings):
    magnet = rods([(0, 0)], bottom=-LENGTH - GAP - THICK, top=-LENGTH - GAP, radius=WIDE, slices=4)
    pole = SteelRods(((0.0, 0.0),), -LENGTH, 0.0, RADIUS, bands, rings)
    assembly = Assembly((magnet, pole))
    hard = np.arange(assembly.count) < magnet.count
    m = magnetise(
        assembly,
        permanent=np.where(hard, MAGNETISATION, 0.0),
        susceptibility=np.where(hard, RECOIL - 1, charge_susceptibility(PERMEABILITY)),
        applied=np.zeros(assembly.count),
    )
    return assembly.field(np.stack([0 * HEIGHTS, 0 * HEIGHTS, HEIGHTS], axis=-1), m)[:, 2]


def test_field_above_the_pole(finite_elements, outside):
    """With the usual cells (12 bands, 3 rings), with coarse and with fine ones."""
    against = {"theirs": finite_elements, "source": "scikit-fem", "status": "another program", "unit": "T"}
    outside("field above a steel pole, coarse cells", ours=field_above_the_pole(8, 2), rtol=0.06, **against)
    outside("field above a steel pole", ours=field_above_the_pole(12, 3), rtol=0.035, **against)
    outside("field above a steel pole, fine cells", ours=field_above_the_pole(24, 6), rtol=0.02, **against)


def test_net_charge_of_every_pole_is_zero(outside):
    poles = SteelRods(((0.0, 0.0), (0.01, 0.0)), -LENGTH, 0.0, RADIUS)
    magnet = rods([(0.004, 0.003)], bottom=-0.03, top=-0.02, radius=WIDE, slices=2)
    assembly = Assembly((magnet, poles))
    hard = np.arange(assembly.count) < magnet.count
    m = magnetise(
        assembly,
        permanent=np.where(hard, MAGNETISATION, 0.0),
        susceptibility=np.where(hard, 0.0, charge_susceptibility(PERMEABILITY)),
        applied=np.zeros(assembly.count),
    )
    charge = m[~hard].reshape(2, -1)
    outside(
        "net magnetic charge of a steel pole",
        source="Gauss's law: there is none",
        status="published",
        ours=charge @ poles.areas,
        theirs=0.0,
        rtol=1e-12,
        of=np.abs(charge) @ poles.areas,
        unit="A m",
    )
