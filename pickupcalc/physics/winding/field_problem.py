"""A winding with its poles, bar and plates: one complex inductance per frequency. SI units.

Everything near the winding is either a ring of current on a pole, a mesh current in a plate, or a magnetic
charge on a permeable plate. The winding, the meshes and the charges are ports; the poles are eliminated
first, then the ports other than the winding. What is left is the flux linkage per ampere, lambda(omega):
series inductance Re lambda, added series resistance -omega Im lambda.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

import numpy as np

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.winding.blocks import Block
from pickupcalc.physics.winding.coil import self_inductance
from pickupcalc.physics.winding.coil_field import mutual_inductance
from pickupcalc.physics.winding.geometry import Rods, Sheet, Winding
from pickupcalc.physics.winding.poles import Answer, Cylinder, Poles
from pickupcalc.physics.winding.quadrature import Array
from pickupcalc.physics.winding.rods import make_body
from pickupcalc.physics.winding.sheets import Net


def _layers(sheet: Sheet) -> list[Sheet]:
    """Sheets that carry the eddy currents of one plate.

    A plain metal plate thicker than 0.6 mm is split. In a permeable one the currents run near the face
    toward the coil; how near was set by comparison with exact discs (tests/physics/test_plates.py).
    """
    if sheet.permeability < 1.5:
        n = min(3, int(np.ceil(sheet.thickness / 0.6e-3)))
        part = sheet.thickness / n
        return [replace(sheet, thickness=part, z=sheet.z + part * (k - (n - 1) / 2)) for k in range(n)]
    lift = min(sheet.thickness / 2 * (0.15 + 0.85 * (1 - 1 / sheet.permeability)), 1.2e-3)
    return [replace(sheet, z=sheet.z - np.sign(sheet.z) * lift)]


def _cylinders(rods: Rods, *accuracy: int, y: float = 0.0) -> list[Cylinder]:
    """One of each mirrored pair of rods; `accuracy` is order and layers of their bodies."""
    body = make_body(rods.diameter / 2, rods.length, rods.offset, *accuracy)
    half = (round(float(x), 12) for x in rods.places if x > -1e-9)
    return [Cylinder(body, x, rods.permeability, rods.conductivity, y) for x in half]


def _pierced(sheet: Sheet, rods: Rods | None) -> bool:
    """Whether the rods reach into the plate or through it; ending at its face they do not."""
    if rods is None:
        return False
    low, high = rods.offset - rods.length / 2, rods.offset + rods.length / 2
    return sheet.z + sheet.thickness / 2 > low and sheet.z - sheet.thickness / 2 < high


class FieldProblem:
    """The field problem of one pickup. Geometry-only work is done once; `linkage` is called per frequency.

    Parameters
    ----------
    winding : Winding
    rods : Rods, optional
    plates : tuple of Sheet
        Covers, baseplates and bars, outside of the winding. A permeable one must not be pierced by the rods.
    exact_discs : bool
        Whether discs on the axis of a round coil are bodies like rods, or plates on a grid as all others.
    """

    def __init__(
        self,
        winding: Winding,
        rods: Rods | None = None,
        plates: tuple[Sheet, ...] = (),
        exact_discs: bool = True,
    ) -> None:
        self.winding = winding
        places = rods.places if rods else np.zeros(0)
        axial = winding.straight == 0 and not np.any(places)
        cylinders: list[Cylinder] = []
        if rods:
            cylinders = _cylinders(rods, *((6, 4) if axial else ()))
        exact = [
            p for p in plates if axial and exact_discs and p.disc and not p.slots and not _pierced(p, rods)
        ]
        for p in exact:
            disc = make_body(p.length / 2, p.thickness, p.z)
            cylinders.append(Cylinder(disc, 0.0, p.permeability, p.conductivity))
        rest = [p for p in plates if p not in exact]
        self.poles = Poles(cylinders)
        self.cross_field = bool(rods) and not axial
        self._net_owner = [p for p in rest if p.conductivity > 0 for _ in _layers(p)]
        self.nets = [Net(s) for p in rest if p.conductivity > 0 for s in _layers(p)]
        self._block_owner = [p for p in rest if p.permeability > 1]
        self.blocks = [Block(p, 3 if p.thickness > 2.5e-3 else 2) for p in self._block_owner]
        sizes = [1, *(n.size for n in self.nets), *(b.size for b in self.blocks)]
        ends = np.cumsum(sizes)
        spans = [slice(e - n, e) for e, n in zip(ends, sizes, strict=True)]
        self._net_spans, self._block_spans = spans[1 : 1 + len(self.nets)], spans[1 + len(self.nets) :]
        self._ports = int(ends[-1])

    @cached_property
    def air_inductance(self) -> float:
        """Inductance of the winding alone, H."""
        return self_inductance(self.winding)

    @cached_property
    def _applied(self) -> Array:
        """A at the poles' surface nodes per unit of every port (nodes, ports)."""
        out = np.zeros((self.poles.size, self._ports))
        if self.poles.size:
            out[:, 0] = self.poles.applied(self.winding)
        for rows, c in zip(self.poles.spans, self.poles.cylinders, strict=True):
            around = 2 * np.pi * c.body.rho
            for span, net in zip(self._net_spans, self.nets, strict=True):
                flux = sum(net.flux_of_rings(x, c.body.rho, c.body.height) for x in c.places)
                out[rows, span] = (flux / around / len(c.places)).T
            for span, block in zip(self._block_spans, self.blocks, strict=True):
                phi = block.potential_of_rings(c.places, c.body.rho, c.body.height)
                out[rows, span] = (-MU_0 * block.copies[:, None] * phi / around / len(c.places)).T
        return out

    @cached_property
    def _direct(self) -> Array:
        """Symmetric linkage matrix of the ports without the poles (ports, ports)."""
        out = np.zeros((self._ports, self._ports))
        out[0, 0] = self.air_inductance

        def put(a: slice | int, b: slice | int, value: Array) -> None:
            out[a, b] = value
            out[b, a] = value.T

        for k, (span, net) in enumerate(zip(self._net_spans, self.nets, strict=True)):
            put(0, span, net.flux_of_coil(self.winding))
            for other_span, other in zip(self._net_spans[k:], self.nets[k:], strict=True):
                put(span, other_span, net.mutual(other))
        for k, (span, block) in enumerate(zip(self._block_spans, self.blocks, strict=True)):
            put(0, span, -MU_0 * block.copies * block.potential_of_coil(self.winding))
            first = (block.x[block.first], block.y[block.first], block.z[block.first])
            for source_span, source in zip(self._block_spans, self.blocks, strict=True):
                phi = block.own_potential if source is block else source.potential_at(*first)
                out[span, source_span] = -MU_0 * block.copies[:, None] * phi
            for n, (net_span, net) in enumerate(zip(self._net_spans, self.nets, strict=True)):
                # inside one plate the two see nothing of each other: odd and even about its middle
                if self._net_owner[n] is not self._block_owner[k]:
                    phi = block.mean_over_images(net.scalar_potential(block.x, block.y, block.z))
                    put(net_span, span, (-MU_0 * block.copies[:, None] * phi).T)
        return out

    @cached_property
    def _answer(self) -> Answer | None:
        return Answer(self.poles, self._applied) if self.poles.size else None

    @cached_property
    def lossless(self) -> bool:
        """Whether nothing near the winding conducts."""
        return not self.nets and all(c.conductivity == 0 for c in self.poles.cylinders)

    def linkage(self, frequency: float) -> complex:
        """Flux linkage per ampere at one frequency (Hz, 0 allowed), H, complex."""
        omega = 2 * np.pi * frequency
        answer = self._answer
        linked, projected, pole_links, charged = self._without_charges(omega)
        few, meshes = (answer.size if answer else 0), len(linked) - 1
        system = np.zeros((few + meshes, few + meshes), dtype=complex)
        drive = np.zeros(few + meshes, dtype=complex)
        currents = np.zeros((0, 0))
        weigh = np.zeros((0, 0))
        if answer:
            currents = answer.currents(omega)
            exchange, weigh = answer.exchange(currents)
            system[:few, :few] = np.eye(few) - exchange - charged @ weigh
            system[:few, few:] = -projected[:, 1:]
            drive[:few] = projected[:, 0]
        if meshes:
            # scaled by omega, so that the limit of direct current is just "no current"
            system[few:, :few] = 1j * omega * pole_links[1:] @ weigh
            system[few:, few:] = 1j * omega * linked[1:, 1:] + self._mesh_resistance(omega)
            drive[few:] = -1j * omega * linked[1:, 0]
        unknowns = np.linalg.solve(system, drive) if few + meshes else drive
        total = linked[0, 0] + linked[0, 1:] @ unknowns[few:]
        if answer:
            total = total + pole_links[0] @ (weigh @ unknowns[:few])
            if self.cross_field:
                total += self.poles.transverse_inductance(self.winding, omega, currents @ unknowns[:few])
        return complex(total)

    def _mesh_resistance(self, omega: float) -> Array:
        size = sum(net.size for net in self.nets)
        out = np.zeros((size, size), dtype=complex)
        for span, net in zip(self._net_spans, self.nets, strict=True):
            inner = slice(span.start - 1, span.stop - 1)
            out[inner, inner] = net.crowding(omega) * net.resistance
        return out

    def _without_charges(self, omega: float) -> tuple[Array, Array, Array, Array]:
        """Winding and meshes with the permeable plates' charges eliminated.

        Returns their linkage matrix, the poles' coefficients P they cause, the linkages P^T they receive from
        the poles, and what the charges return from pole to pole. Kept for all frequencies where nothing
        permeable conducts.
        """
        if not any(b.sheet.conductivity for b in self.blocks):
            if self._kept is None:
                self._kept = self._eliminate_charges(omega)
            return self._kept
        return self._eliminate_charges(omega)

    _kept: tuple[Array, Array, Array, Array] | None = None

    def _eliminate_charges(self, omega: float) -> tuple[Array, Array, Array, Array]:
        n = self._ports - sum(b.size for b in self.blocks)
        direct = self._direct
        linked = direct[:n, :n]
        projected = self._answer.projected if self._answer else np.zeros((0, self._ports))
        if not self.blocks:
            return linked, projected[:, :n], projected[:, :n].T, np.zeros((projected.shape[0],) * 2)
        gain = np.zeros((self._ports - n, self._ports - n), dtype=complex)
        for span, block in zip(self._block_spans, self.blocks, strict=True):
            inner = slice(span.start - n, span.stop - n)
            gain[inner, inner] = block.susceptibility(omega) / MU_0 * block.conductance / block.copies
        charges = np.linalg.solve(np.eye(len(gain)) - gain @ direct[n:, n:], gain)
        received, sent = direct[n:, :n], direct[:n, n:]
        p_ports, p_charges = projected[:, :n], projected[:, n:]
        return (
            linked + sent @ charges @ received,
            p_ports + p_charges @ charges @ received,
            p_ports.T + sent @ charges @ p_charges.T,
            p_charges @ charges @ p_charges.T,
        )

    def linkages(self, frequencies: Array, samples: int = 14) -> Array:
        """Linkage at many frequencies (n,), Hz: solved at a few of them and interpolated.

        The samples are Chebyshev points in the logarithm of the frequency over the range asked for. What is
        interpolated are the logarithms of the inductance lost since direct current and of resistance over
        frequency squared: both run smoothly over decades and stay positive.
        """
        frequencies = np.asarray(frequencies, dtype=float)
        rest = self.linkage(0.0)
        positive = frequencies[frequencies > 0]
        if self.lossless or not positive.size:
            return np.full(frequencies.size, rest)
        if np.unique(positive).size <= samples:
            found = {f: self.linkage(float(f)) for f in np.unique(positive)} | {0.0: rest}
            return np.array([found[f] for f in frequencies])
        low, high = np.log(positive.min()), np.log(positive.max())
        angle = np.pi * (np.arange(samples) + 0.5) / samples
        nodes = (low + high) / 2 + (high - low) / 2 * np.cos(angle)
        values = np.array([self.linkage(float(f)) for f in np.exp(nodes)])
        smooth = np.log(
            np.maximum((rest.real - values.real, -values.imag / np.exp(nodes)), 1e-14 * rest.real)
        )
        weights = (-1.0) ** np.arange(samples) * np.sin(angle)
        gap = np.log(positive)[:, None] - nodes
        share = weights / np.where(gap == 0, 1e-300, gap)
        lost, loss = np.exp(smooth @ share.T / share.sum(1))
        out = np.full(frequencies.size, rest)
        out[frequencies > 0] = rest.real - lost - 1j * positive * loss
        return out


def twin_mutual(
    first: Winding, second: Winding, rods: tuple[Rods | None, Rods | None], spacing: float
) -> float:
    """Low-frequency mutual inductance of two windings `spacing` apart across their long sides, H.

    The poles of both answer to both windings through the fields symmetric about each pole; plates and bars
    are left out. Negative for windings of one sense: the flux of one returns through the other.
    """
    other = replace(second, y=spacing)
    value = mutual_inductance(other, first)
    cylinders: list[Cylinder] = []
    for group, y in zip(rods, (0.0, spacing), strict=True):
        if group is not None:
            cylinders += _cylinders(group, y=y)
    if cylinders:
        poles = Poles(cylinders)
        applied = np.stack((poles.applied(first), poles.applied(other)), 1)
        value += float((applied.T @ poles.weight @ poles.react(0.0, applied))[0, 1])
    return value
