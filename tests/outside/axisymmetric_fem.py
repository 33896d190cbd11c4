"""Axisymmetric finite elements with scikit-fem: the independent reference for rods, discs and round coils.

Time-harmonic A-phi formulation for psi = rho A on a tensor mesh of quadratic quadrilaterals, graded toward
every material edge, the outer boundary a metre away. Nothing of the package's own field code is used.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from scipy.constants import mu_0
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementQuad2, LinearForm, MeshQuad


def graded_line(marks, finest, growth, far, start):
    """Breakpoints through all `marks`, `finest` wide next to each, growing away from them, out to `far`."""
    marks = sorted(set(marks))
    steps = []
    for low, high in pairwise(marks):
        half, size, pieces = (high - low) / 2, min(finest, (high - low) / 4), [0.0]
        while pieces[-1] < half:
            pieces.append(pieces[-1] + size)
            size *= growth
        left = np.array(pieces) * half / pieces[-1]
        steps.append(np.concatenate((low + left, high - left[-2:0:-1])))
    line = np.concatenate([*steps, [marks[-1]]])
    tail, size = [], finest
    while not tail or tail[-1] < far:
        tail.append((tail[-1] if tail else marks[-1]) + size)
        size *= growth
    line = np.concatenate((line, tail))
    if start is None:  # two-sided
        head = marks[0] - (np.array(tail) - marks[-1])
        line = np.concatenate((head[::-1], line))
    return np.unique(np.round(line, 12))


def inductance(coil, bodies, frequencies, finest=4e-5, growth=1.35, far=0.6):
    """Complex inductance (psi per ampere) of a round winding with cylinders on its axis.

    coil: (inner radius, build, height, turns); bodies: list of (radius, z_bottom, z_top, mu_r, sigma).
    """
    inner, build, height, turns = coil
    rho_marks = [0.0, inner, inner + build, *(b[0] for b in bodies)]
    z_marks = [-height / 2, height / 2, *(z for b in bodies for z in b[1:3])]
    mesh = MeshQuad.init_tensor(
        graded_line(rho_marks, finest, growth, far, 0.0), graded_line(z_marks, finest, growth, far, None)
    )
    basis = Basis(mesh, ElementQuad2(), intorder=6)
    rho, z = basis.default_parameters()["x"]

    nu, sigma = np.full(rho.shape, 1 / mu_0), np.zeros(rho.shape)
    for radius, low, high, mu_r, conductivity in bodies:
        inside = (rho < radius) & (z > low) & (z < high)
        nu[inside], sigma[inside] = 1 / (mu_0 * mu_r), conductivity
    winding = ((rho > inner) & (rho < inner + build) & (abs(z) < height / 2)) * turns / (build * height)

    stiff = BilinearForm(lambda u, v, w: w["nu"] / w.x[0] * (u.grad[0] * v.grad[0] + u.grad[1] * v.grad[1]))
    mass = BilinearForm(lambda u, v, w: w["sigma"] / w.x[0] * u * v)
    load = LinearForm(lambda v, w: w["j"] * v)
    k, m = stiff.assemble(basis, nu=nu), mass.assemble(basis, sigma=sigma)
    f = load.assemble(basis, j=winding)
    edge = basis.get_dofs(
        lambda x: (x[0] < 1e-9) | (x[0] > mesh.p[0].max() - 1e-9) | (abs(x[1]) > mesh.p[1].max() - 1e-9)
    )
    free = np.setdiff1d(np.arange(basis.N), edge.all())
    out = []
    for frequency in frequencies:
        system = (k + 2j * np.pi * frequency * m)[free][:, free].tocsc()
        psi = splu(system).solve(f[free].astype(complex))
        out.append(2 * np.pi * (f[free] @ psi))
    return np.array(out)
