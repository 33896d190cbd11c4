"""Eddy currents in flat plates of any outline that fits a rectangular grid, slots included. SI units.

The plate is a net of flat strips, dx by dy, between the centres of its cells; the unknowns are the
currents around the net's meshes (a stream function T on the inner corners of the grid, zero at the edge).
Strips have resistance and exact partial inductances (uniform current over the strip). A slot ties the
corners along it together, or to the edge: no current crosses it. Where the plate is thick or permeable the
current crowds toward its faces: the resistance is multiplied by x coth x with
x = (thickness/2) sqrt(j omega mu sigma).
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.winding.coil_field import vector_potential
from pickupcalc.physics.winding.geometry import Sheet, Slot, Winding
from pickupcalc.physics.winding.potentials import rectangle_angle, rectangle_potential, tape_mutual
from pickupcalc.physics.winding.quadrature import Array, gauss
from pickupcalc.physics.winding.rings import coaxial_mutual


class Net:
    """The mesh currents of one sheet and everything they couple to."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        (self.nx, self.ny), (self.dx, self.dy) = sheet.cells, sheet.pitch
        self.ties = self._tie_corners()
        self.size = self.ties.shape[1]
        # strips along x join cells (i, j) and (i + 1, j); their current is T below minus T above
        self._x_strips, self._x_flow = self._strips(along_x=True)
        self._y_strips, self._y_flow = self._strips(along_x=False)

    def _corner(self, i: int | Array, j: int | Array) -> int | Array:
        return i * (self.ny + 1) + j

    def _tie_corners(self) -> Array:
        """Matrix (corners, unknowns): corners on the edge carry no unknown, tied ones share one."""
        nx, ny, sheet = self.nx, self.ny, self.sheet
        i, j = (v.ravel() for v in np.meshgrid(np.arange(nx + 1), np.arange(ny + 1), indexing="ij"))
        label = np.asarray(self._corner(i, j)).copy()
        if not sheet.slots:  # the source is symmetric, so are the currents
            label = np.asarray(self._corner(np.minimum(i, nx - i), np.minimum(j, ny - j))).copy()
        padded = np.zeros((nx + 2, ny + 2))
        padded[1:-1, 1:-1] = sheet.filled
        whole = padded[:-1, :-1] * padded[1:, :-1] * padded[:-1, 1:] * padded[1:, 1:]
        label[whole.ravel() == 0] = -1
        for slot in sheet.slots:
            label = self._tie_slot(slot, i, j, label)
        names = np.unique(label[label >= 0])
        return (label[:, None] == names).astype(float)

    def _tie_slot(self, slot: Slot, i: Array, j: Array, label: Array) -> Array:
        x, y = i * self.dx - self.sheet.length / 2, j * self.dy - self.sheet.width / 2
        along, across = (x, y) if slot.along == "length" else (y, x)
        step, pitch = (self.dx, self.dy) if slot.along == "length" else (self.dy, self.dx)
        line = across.flat[np.argmin(abs(across - slot.at))]
        on = (
            (abs(across - line) < 1e-3 * pitch)
            & (along > slot.start - step / 2)
            & (along < slot.end + step / 2)
        )
        merged = np.unique(label[on])
        return np.where(np.isin(label, merged), merged.min(), label) if merged.size else label

    def _strips(self, along_x: bool) -> tuple[Array, Array]:
        """Cell indices (strips, 2) and the matrix (strips, unknowns) of their currents."""
        filled = self.sheet.filled
        joined = filled[:-1] * filled[1:] if along_x else filled[:, :-1] * filled[:, 1:]
        i, j = np.nonzero(joined)
        low = self._corner(i + 1, j) if along_x else self._corner(i, j + 1)
        high = self._corner(i + 1, j + 1)
        sign = 1.0 if along_x else -1.0
        # counter-clockwise T: J_x = dT/dy, J_y = -dT/dx
        return np.stack((i, j), 1), sign * (self.ties[high] - self.ties[low])

    @cached_property
    def inductance(self) -> Array:
        """Inductance matrix of the mesh currents (size, size), H."""
        return self.mutual(self)

    def mutual(self, other: Net) -> Array:
        """Mutual inductance matrix (size, other.size) to another net, or to itself."""
        if other.sheet.cells != self.sheet.cells or other.sheet.pitch != self.sheet.pitch:
            return self._mutual_by_potential(other)
        z = self.sheet.z - other.sheet.z
        out = np.zeros((self.size, other.size))
        for mine, flow, theirs, their_flow, flip in (
            (self._x_strips, self._x_flow, other._x_strips, other._x_flow, False),
            (self._y_strips, self._y_flow, other._y_strips, other._y_flow, True),
        ):
            d = mine[:, None, :] - theirs[None, :, :]
            near = np.abs(d).reshape(-1, 2)
            span = near.max(0) + 1
            gx, gy = np.arange(span[0])[:, None] * self.dx, np.arange(span[1])[None, :] * self.dy
            table = (
                tape_mutual(self.dy, self.dx, gy, gx, z) if flip else tape_mutual(self.dx, self.dy, gx, gy, z)
            )
            out += flow.T @ table[np.abs(d[..., 0]), np.abs(d[..., 1])] @ their_flow
        return out

    def _mutual_by_potential(self, other: Net) -> Array:
        """The same for another grid: the potential of my strips at the middle of the other's."""
        z = other.sheet.z - self.sheet.z
        out = np.zeros((self.size, other.size))
        for along_x, (mine, flow), (theirs, their_flow) in (
            (True, (self._x_strips, self._x_flow), (other._x_strips, other._x_flow)),
            (False, (self._y_strips, self._y_flow), (other._y_strips, other._y_flow)),
        ):
            (x, y), (u, v) = self._centres(mine, along_x), other._centres(theirs, along_x)
            potential = rectangle_potential(x[:, None] - u, y[:, None] - v, z, self.dx, self.dy)
            width, length = (self.dy, other.dx) if along_x else (self.dx, other.dy)
            out += flow.T @ (MU_0 / (4 * np.pi) * potential / width * length) @ their_flow
        return out

    @cached_property
    def resistance(self) -> Array:
        """Resistance matrix at direct current (size, size), ohm."""
        sheet = 1 / (self.sheet.conductivity * self.sheet.thickness)
        across = self._x_flow.T @ self._x_flow * (self.dx / self.dy)
        return sheet * (across + self._y_flow.T @ self._y_flow * (self.dy / self.dx))

    def crowding(self, omega: float) -> complex:
        """Factor x coth x on the resistance at omega (1 when the skin is deeper than the plate)."""
        s = self.sheet
        x = s.thickness / 2 * np.sqrt(1j * omega * MU_0 * s.permeability * s.conductivity)
        return complex(x / np.tanh(x)) if abs(x) > 1e-6 else 1.0

    def _centres(self, strips: Array, along_x: bool) -> tuple[Array, Array]:
        x = (strips[:, 0] + 0.5 + 0.5 * along_x) * self.dx - self.sheet.length / 2
        y = (strips[:, 1] + 1.0 - 0.5 * along_x) * self.dy - self.sheet.width / 2
        return x, y

    def flux_of_coil(self, coil: Winding) -> Array:
        """Mutual inductance of each mesh current with the coil (size,), H."""
        total = np.zeros(self.size)
        for strips, flow, along_x in (
            (self._x_strips, self._x_flow, True),
            (self._y_strips, self._y_flow, False),
        ):
            x, y = self._centres(strips, along_x)
            for point in gauss(2)[0] - 0.5:
                px, py = (x + point * self.dx, y) if along_x else (x, y + point * self.dy)
                a = vector_potential(coil, px, py, np.full_like(x, self.sheet.z))[0 if along_x else 1]
                total += flow.T @ a * (self.dx if along_x else self.dy) / 2
        return total

    def flux_of_rings(self, axis: float, rho: Array, height: Array) -> Array:
        """Mutual inductance of each mesh current with rings about the axis x = `axis` (size, rings), H."""
        total = np.zeros((self.size, rho.size))
        for strips, flow, along_x in (
            (self._x_strips, self._x_flow, True),
            (self._y_strips, self._y_flow, False),
        ):
            x, y = self._centres(strips, along_x)
            d = np.maximum(np.hypot(x - axis, y), 1e-9)[:, None]
            a = coaxial_mutual(d, rho, self.sheet.z - height) / (2 * np.pi * d)
            direction = -y / d[:, 0] if along_x else (x - axis) / d[:, 0]
            total += flow.T @ (a * direction[:, None]) * (self.dx if along_x else self.dy)
        return total

    def scalar_potential(self, x: Array, y: Array, z: Array) -> Array:
        """Magnetic potential (A per A) of each mesh current at points (n,) off the plate: (n, size)."""
        i, j = np.nonzero(np.abs(self.ties).sum(1).reshape(self.nx + 1, self.ny + 1))
        cx, cy = i * self.dx - self.sheet.length / 2, j * self.dy - self.sheet.width / 2
        u, v, h = x[:, None] - cx, y[:, None] - cy, (z - self.sheet.z)[:, None]
        angle = rectangle_angle(u, v, h, self.dx, self.dy)
        return angle / (4 * np.pi) @ self.ties[self._corner(i, j)]
