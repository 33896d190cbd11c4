"""Three-dimensional finite elements with scikit-fem: one permeable rod in the middle of a racetrack coil.

Reduced scalar potential on an eighth of space: H = H_s - grad phi with the coil's field H_s, and
integral mu_r grad phi . grad v = integral over the rod of (mu_r - 1) H_s . grad v. The flux that the
magnetised rod returns is mu_0 times the integral of M . H_s. Squares of a tensor mesh are bent into circles.
Linear elements; two meshes extrapolated.
"""

from __future__ import annotations

import numpy as np
from scipy.constants import mu_0
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementHex1, LinearForm, MeshHex


def axis(edge, inside, outside, far, finest):
    """Breakpoints 0 .. edge .. far, finer toward the edge on both sides."""
    inner = edge * (1 - (1 - np.linspace(0, 1, inside + 1)) ** 1.5)
    outer = edge + np.geomspace(finest, far, outside)
    return np.concatenate((inner, outer))


def mesh_of(radius, length, n, far=80e-3):
    """An eighth: x, y, z >= 0; the rod is rho < radius, z < length / 2."""
    finest = radius / n / 2
    flat = axis(radius, n, 2 * n, far, finest)
    tall = axis(length / 2, 2 * n, 2 * n, far, finest)
    mesh = MeshHex.init_tensor(flat, flat, tall)
    x, y, z = mesh.p
    size, reach = np.maximum(x, y), np.hypot(x, y)
    with np.errstate(invalid="ignore", divide="ignore"):
        round_off = np.where(reach > 0, size / reach, 1.0)
    bend = np.clip(size / radius, 0, 1) ** 2
    scale = 1 + bend * (round_off - 1)
    return MeshHex(np.array([x * scale, y * scale, z]), mesh.t)


def added_inductance(source, radius, length, mu_r, n):
    """Inductance the rod adds (H), for `source`: points (n, 3) in metres to H (n, 3) per ampere."""
    mesh = mesh_of(radius, length, n)
    basis = Basis(mesh, ElementHex1(), intorder=4)
    middle = mesh.p[:, mesh.t].mean(1)
    rod = np.nonzero((np.hypot(*middle[:2]) < radius) & (middle[2] < length / 2))[0]
    inside = Basis(mesh, basis.elem, intorder=4, elements=rod)
    where = inside.default_parameters()["x"]
    h = source(where.reshape(3, -1).T).T.reshape(where.shape)
    mu = np.ones(mesh.t.shape[1])
    mu[rod] = mu_r
    stiff = BilinearForm(lambda u, v, w: w["mu"] * sum(a * b for a, b in zip(u.grad, v.grad, strict=True)))
    load = LinearForm(lambda v, w: sum(w[f"h{i}"] * v.grad[i] for i in range(3)))
    parts = {f"h{i}": (mu_r - 1) * h[i] for i in range(3)}
    k = stiff.assemble(basis, mu=np.broadcast_to(mu[:, None], basis.dx.shape))
    f = load.assemble(inside, **parts)
    far = mesh.p.max()
    outer = 0.999 * far
    fixed = basis.get_dofs(lambda x: (abs(x[2]) < 1e-12) | (x[2] > outer) | (np.hypot(x[0], x[1]) > outer))
    free = np.setdiff1d(np.arange(basis.N), fixed.all())
    phi = np.zeros(basis.N)
    phi[free] = splu(k[free][:, free].tocsc()).solve(f[free])
    grad = inside.interpolate(phi).grad
    return 8 * mu_0 * (mu_r - 1) * float((((h - grad) * h).sum(0) * inside.dx).sum())


def extrapolated(source, radius, length, mu_r, coarse=4, fine=6):
    """Two meshes and what their errors, falling with the square of the size, leave at size zero."""
    a, b = (added_inductance(source, radius, length, mu_r, n) for n in (coarse, fine))
    return b + (b - a) / ((fine / coarse) ** 2 - 1)
