"""Three-dimensional finite elements with scikit-fem: magnet blocks, steel strips, one round steel pole.

Magnetic scalar potential on a quarter of space, x >= 0 and y >= 0: H = -grad phi and
integral mu_r grad phi . grad v = integral over the magnet of M . grad v. The field is even in x; across
y = 0 the potential is even or, for a twin coil, odd. Squares of a tensor mesh are bent into circles about the
pole's axis. Quadratic elements, conjugate gradients. `python -m tests.outside.keeper_fem` prints what
data/checks/keepers_fem.toml stores.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.constants import mu_0
from scipy.sparse import diags
from scipy.sparse.linalg import cg
from skfem import Basis, BilinearForm, ElementHex2, LinearForm, MeshHex

FAR = 0.12
HALF = 5e-4  # m above and below the heights at which the mean field is taken


@dataclass(frozen=True)
class Box:
    """Lowest and highest corner in m, relative permeability, magnetisation in A/m."""

    low: tuple[float, float, float]
    high: tuple[float, float, float]
    mu: float
    m: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Pole:
    """Upright and round on (0, y); `square` is half the side of the square of mesh bent around it."""

    y: float
    radius: float
    bottom: float
    top: float
    mu: float
    square: float


def line(stops, finest, growth, coarsest):
    """Nodes at every stop, fine beside each and coarser between."""
    nodes = [stops[0]]
    for low, high in pairwise(stops):
        left, step = [low], min(finest, (high - low) / 2)
        while left[-1] + 1.5 * step < (low + high) / 2:
            left.append(left[-1] + step)
            step = min(step * growth, coarsest)
        nodes += [*left[1:], *[low + high - x for x in left[::-1]]]
    return np.unique(np.round(nodes, 8))


def mean_field_above(boxes, pole, spots, *, odd, finest, growth=1.5):
    """Mean Bz in T over 1 mm about spots (x, y, z) on lines of the mesh."""
    edges = [sorted({v for b in boxes for v in (b.low[i], b.high[i])}) for i in range(3)]
    stops = [{0.0, FAR, *(v for v in e if v > 0)} for e in edges[:2]] + [{-FAR, FAR, *edges[2]}]
    stops[2] |= {z + s for _, _, z in spots for s in (-HALF, HALF)}
    if pole:
        stops[0] |= {pole.radius, pole.square}
        stops[1] |= {pole.y + s * d for s in (1, -1) for d in (pole.radius, pole.square)} | {pole.y}
        stops[2] |= {pole.bottom, pole.top}
    mesh = MeshHex.init_tensor(*[line(sorted(s), finest, growth, 0.02) for s in stops])
    inside = np.zeros(mesh.t.shape[1], bool)
    if pole:
        x, y, z = mesh.p
        y = y - pole.y
        size, reach = np.maximum(abs(x), abs(y)), np.hypot(x, y)
        out = (pole.square - size) / (pole.square - pole.radius)
        bend = np.where(size <= pole.radius, (size / pole.radius) ** 2, np.clip(out, 0, 1))
        scale = 1 + bend * (size / np.where(reach > 0, reach, 1.0) - 1)
        middle = mesh.p[:, mesh.t].mean(1)
        inside = np.maximum(abs(middle[0]), abs(middle[1] - pole.y)) < pole.radius
        inside &= (middle[2] > pole.bottom) & (middle[2] < pole.top)
        mesh = MeshHex(np.array([x * scale, pole.y + y * scale, z]), mesh.t)
    middle = mesh.p[:, mesh.t].mean(1)
    mu, m = np.ones(middle.shape[1]), np.zeros(middle.shape)
    for box in boxes:
        within = np.all((box.low < middle.T) & (box.high > middle.T), axis=1)
        mu[within] = box.mu
        m[:, within] = np.array(box.m)[:, None]
    if pole:
        mu[inside] = pole.mu
    basis = Basis(mesh, ElementHex2(), intorder=4)

    def spread(v):
        return np.broadcast_to(v[:, None], basis.dx.shape)

    stiff = BilinearForm(lambda u, v, w: w["mu"] * sum(a * b for a, b in zip(u.grad, v.grad, strict=True)))
    load = LinearForm(lambda v, w: sum(w[f"m{i}"] * v.grad[i] for i in range(3)))
    k = stiff.assemble(basis, mu=spread(mu))
    f = load.assemble(basis, **{f"m{i}": spread(m[i]) for i in range(3)})
    outer = FAR * (1 - 1e-6)
    fixed = basis.get_dofs(
        lambda x: (x[0] > outer) | (x[1] > outer) | (abs(x[2]) > outer) | (odd & (x[1] < 1e-9))
    )
    free = np.setdiff1d(np.arange(basis.N), fixed.all())
    inner = k[free][:, free]
    phi = np.zeros(basis.N)
    phi[free], failed = cg(inner, f[free], rtol=1e-9, maxiter=20000, M=diags(1 / inner.diagonal()))
    assert failed == 0
    found = []
    for x, y, z in spots:
        ends = [np.argmin(np.linalg.norm(basis.doflocs.T - (x, y, z + s), axis=1)) for s in (HALF, -HALF)]
        found.append(-mu_0 * (phi[ends[0]] - phi[ends[1]]) / (2 * HALF))
    return np.array(found), basis.N


# A short twin coil with one pole in each row, standing on a strip; the bar lies between the strips.
LENGTH, RADIUS, SIDE, THICK, GAP, REMANENT = 17e-3, 2.4e-3, 9e-3, 3.2e-3, 5e-5, 1e6
HEIGHTS = (2e-3, 4e-3, 8e-3)


def short_twin(mu, finest):
    foot = -LENGTH
    bar = Box((-1, -1, foot - THICK), (6e-3, SIDE - 3e-3 - GAP, foot), 3.6, (0.0, REMANENT, 0.0))
    strip = Box((-1, SIDE - 3e-3, foot - THICK), (6e-3, SIDE + 3e-3, foot), mu)
    pole = Pole(SIDE, RADIUS, foot, 0.0, mu, 3e-3)
    spots = [(0.0, SIDE, h) for h in HEIGHTS]
    return mean_field_above([bar, strip], pole, spots, odd=True, finest=finest)


def bar_on_plate(mu, finest):
    """A ferrite block, 24 x 12 x 5 mm, on a steel plate of 30 x 20 x 3 mm; heights above the block."""
    bar = Box((-1, -1, -5e-3), (12e-3, 6e-3, 0.0), 1.08, (0.0, 0.0, 3e5))
    plate = Box((-1, -1, -8e-3 - GAP), (15e-3, 10e-3, -5e-3 - GAP), mu)
    return mean_field_above([bar, plate], None, [(0.0, 0.0, h) for h in HEIGHTS], odd=False, finest=finest)


CASES = {"short twin coil, one pole on each strip": short_twin, "block on a plate": bar_on_plate}

if __name__ == "__main__":
    for name, make in CASES.items():
        for mu in (150.0, 1000.0):
            for finest in (1.2e-3, 8e-4):
                field, size = make(mu, finest)
                print(name, mu, finest, size, [round(float(b), 8) for b in field], flush=True)
