"""Soft steel plates and strips by their surface charge, with the steel poles that stand on them. SI.

As with poles alone (module steel_rods) charge is 2 (mu - 1)/(mu + 1) times the mean normal field on every
element, without the element's own jump. The faces are cut into rectangles (module box_faces). Where
a round foot stands on the plate, a disc is cut out of its rectangle. Under a magnet the disc is made of
rings, so that it can mirror the magnet's end. Under a steel pole, which is one body with the plate, it
carries no charge but is looked at: it tells the flux that passes into the pole.

What counts is flux, and in good steel a small leak in the sums is a large error. So Gauss's law is kept
exactly for the plate and for every pole: half of an element's flux leaves through the closed surface that it
lies on, and nothing from outside brings net flux in.

Linear: B in the steel must stay below saturation (`SteelPlate.densest` tells it). At the strings within 4 %
of three-dimensional finite elements for poles on strips, 2 % for a plate beneath a block.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.magnetism.box_faces import BoxFaces, cuts_around, graded, mean_normal
from pickupcalc.physics.magnetism.magnets import Array
from pickupcalc.physics.magnetism.steel_rods import SteelRods, charge_susceptibility, disc_h, ring_probes

STEP = 8e-3  # m
LAYERS = 2  # of rectangles over a plate's thickness
ROOM = 1.3  # half the side of the rectangle around a foot, over the foot's radius
RINGS = 2  # on the disc under a magnet
COARSE, FINE = 4, 6  # points along each side of an element: for what lies outside, and for the plate itself


@dataclass(frozen=True)
class SteelPlate:
    """One upright plate; pieces are numbered rectangles, then discs' rings, then the poles' elements.

    Attributes
    ----------
    centre, size : tuple of float
        In m, along x, y and z.
    permeability : float
        Relative, of plate and poles.
    feet : tuple of (x, y)
        Axes of round magnets that stand on the upper face, if no poles do.
    radius : float
        Of the magnets, m.
    poles : SteelRods or None
        `standing` ones, in one with the plate, their bottom on its upper face.
    lines : tuple of tuple of float
        Where cuts must lie along x and along y, m: edges of what lies against the plate.
    step : float
        Longest side of a rectangle, m.
    layers : int
        Of rectangles over the thickness.
    """

    centre: tuple[float, float, float]
    size: tuple[float, float, float]
    permeability: float
    feet: tuple[tuple[float, float], ...] = ()
    radius: float = 0.0
    poles: SteelRods | None = None
    lines: tuple[tuple[float, ...], tuple[float, ...]] = ((), ())
    step: float = STEP
    layers: int = LAYERS

    @property
    def _feet(self) -> tuple[tuple[float, float], ...]:
        return self.poles.places if self.poles else self.feet

    @property
    def _radius(self) -> float:
        return self.poles.radius if self.poles else self.radius

    @property
    def _top(self) -> float:
        return self.centre[2] + self.size[2] / 2

    @property
    def lowest(self) -> float:
        return self.centre[2] - self.size[2] / 2

    @cached_property
    def _faces(self) -> BoxFaces:
        spans = [(c - s / 2, c + s / 2) for c, s in zip(self.centre, self.size, strict=True)]
        flat = []
        for axis in (0, 1):
            low, high = spans[axis]
            middles = np.array(sorted({foot[axis] for foot in self._feet}))
            walls = [ROOM * self._radius, *np.diff(middles) / 2, *(middles - low), *(high - middles)]
            whole = [(m - min(walls), m + min(walls)) for m in middles]
            flat.append(cuts_around(low, high, whole, self.lines[axis], self.step))
        return BoxFaces((flat[0], flat[1], graded(*spans[2], self.layers, True, True)))

    @cached_property
    def _under(self) -> Array:
        """The rectangle that each foot stands in the middle of, shape (feet,)."""
        centres, _, normals = self._faces.rectangles
        elsewhere = np.where(normals[:, 2] > 0, 0.0, np.inf)
        away = [np.hypot(centres[:, 0] - x, centres[:, 1] - y) + elsewhere for x, y in self._feet]
        return np.array([np.argmin(d) for d in away], dtype=int)

    @cached_property
    def _radii(self) -> Array:
        """Edges of the rings on a disc."""
        return self._radius * np.sin(np.linspace(0, np.pi / 2, (1 if self.poles else RINGS) + 1))

    @property
    def _whole(self) -> int:
        """Elements of the plate: rectangles and rings."""
        return self._faces.count + len(self._feet) * (self._radii.size - 1)

    @property
    def count(self) -> int:
        return self._whole + (self.poles.count if self.poles else 0)

    @cached_property
    def susceptibility(self) -> Array:
        """Charge over mean normal field, shape (pieces,)."""
        found = np.full(self.count, charge_susceptibility(self.permeability))
        if self.poles:
            found[self._faces.count : self._whole] = 0.0
        return found

    @cached_property
    def areas(self) -> Array:
        """Of every element, m^2."""
        flat = self._faces.areas.copy()
        flat[self._under] -= np.pi * self._radius**2
        rings = np.tile(np.pi * np.diff(self._radii**2), len(self._feet))
        poles = np.tile(self.poles.areas, len(self._feet)) if self.poles else np.zeros(0)
        return np.concatenate([flat, rings, poles])

    @property
    def centres(self) -> Array:
        """Weighted mean of each element's samples, shape (pieces, 3)."""
        points, _, weights = self._coarse
        return np.einsum("pqi,pq->pi", points, weights)

    def _probes(self, n: int) -> tuple[Array, Array, Array]:
        """n^2 points on each of the plate's elements, normals (elements, n^2, 3), weights (elements, n^2)."""
        points, even = self._faces.probes(n)
        _, sides, normals = self._faces.rectangles
        weights = np.tile(even, (points.shape[0], 1))
        turn = 2 * np.pi * (np.arange(2 * n) + 0.5) / (2 * n)
        rings = []
        for rectangle, (x, y) in zip(self._under, self._feet, strict=True):
            half = sides[rectangle] / 2
            edge = 1 / np.maximum(abs(np.cos(turn)) / half[0], abs(np.sin(turn)) / half[1])
            axis = (x, y, self._top)
            points[rectangle], weights[rectangle] = ring_probes(axis, turn, self._radius, edge)
            rims = zip(self._radii[:-1], self._radii[1:], strict=True)
            rings += [ring_probes(axis, turn, low, np.full(turn.size, high)) for low, high in rims]
        normals = np.concatenate([normals, np.tile([0.0, 0.0, 1.0], (len(rings), 1))])
        if rings:
            points = np.concatenate([points, np.stack([spots for spots, _ in rings])])
            weights = np.concatenate([weights, np.stack([shares for _, shares in rings])])
        return points, np.repeat(normals[:, None, :], n * n, axis=1), weights

    @cached_property
    def _coarse(self) -> tuple[Array, Array, Array]:
        """The probes of all pieces, poles too."""
        plate = self._probes(COARSE)
        if self.poles is None:
            return plate
        even = np.full((self.poles.count, COARSE**2), 1 / COARSE**2)
        poles = (self.poles.samples, self.poles.directions, even)
        points, normals, weights = (np.concatenate(both) for both in zip(plate, poles, strict=True))
        return points, normals, weights

    @property
    def samples(self) -> Array:
        """Points whose mean, weighted by `directions`, stands for the mean over the element."""
        return self._coarse[0]

    @property
    def directions(self) -> Array:
        """Outward normals at the samples, times the weights (which have the mean 1)."""
        _, normals, weights = self._coarse
        return normals * weights[..., None] * weights.shape[1]

    def per_piece(self, points: Array) -> Array:
        """H of each element at unit charge, shape (n, pieces, 3)."""
        plate = self._of_plate(points)
        return np.concatenate([plate, self.poles.per_piece(points)], axis=1) if self.poles else plate

    def _of_plate(self, points: Array) -> Array:
        """H of each of the plate's own elements at unit charge, shape (n, elements, 3)."""
        out = self._faces.per_rectangle(points)
        rings = []
        for rectangle, (x, y) in zip(self._under, self._feet, strict=True):
            out[:, rectangle] -= disc_h(points, (x, y, self._top), self._radius)
            discs = np.stack([disc_h(points, (x, y, self._top), r) for r in self._radii], axis=1)
            rings.append(np.diff(discs, axis=1))
        return np.concatenate([out, *rings], axis=1)

    def own(self) -> Array:
        """Mean normal H over each element per unit charge of each; plates alike share it."""
        x, y, z = self.centre
        feet = tuple((a - x, b - y) for a, b in self._feet)
        return _own_field(
            replace(
                self,
                centre=(0.0, 0.0, z),
                feet=() if self.poles else feet,
                poles=replace(self.poles, places=feet) if self.poles else None,
                lines=(tuple(a - x for a in self.lines[0]), tuple(b - y for b in self.lines[1])),
            )
        )

    def own_field(self) -> Array:
        """`own`, reckoned out: the plate by itself by many points, every pole by itself exactly."""
        whole = self._whole
        mean = mean_normal(self.per_piece, *self._coarse)
        fine = self._probes(FINE)
        mean[:whole, :whole] = mean_normal(self._of_plate, *fine)
        if self.poles:
            feet = slice(self._faces.count, whole)
            mean[feet] = mean_normal(self.per_piece, *(part[feet] for part in fine))
            exact = self.poles.own()
            mean[whole:, whole:] = np.where(np.isnan(exact), mean[whole:, whole:], exact)
        normals = fine[1][:, 0]
        level = np.round(1e9 * np.einsum("pi,pi->p", fine[0][:, 0], normals))
        alike = np.all(normals[:, None] == normals, axis=-1) & (level[:, None] == level)
        mean[:whole, :whole][alike] = 0.0  # charge sends no flux through the plane that it lies in
        np.fill_diagonal(mean, 0.0)
        for charged, closed, areas in self._closed:
            missing = self.areas[charged] / 2 - areas @ mean[np.ix_(closed, charged)]
            mean[charged, charged] = missing / self.areas[charged]
        return self.balanced(mean, 0.5)

    @cached_property
    def _closed(self) -> list[tuple[Array, Array, Array]]:
        """Of every closed surface, plate and poles: its charged pieces, all its pieces, their signed areas.

        The foot closes a pole too, with its normal the other way.
        """
        each = np.arange(self.count)
        plate = each[: self._whole]
        found = [(plate[self.susceptibility[plate] > 0], plate, self.areas[plate])]
        if self.poles:
            poles = each[self._whole :].reshape(len(self._feet), -1)
            for own, foot in zip(poles, plate[self._faces.count :], strict=True):
                found.append((own, np.append(own, foot), np.append(self.areas[own], -self.areas[foot])))
        return found

    def balanced(self, mean: Array, own: float = 0.0) -> Array:
        """Mean normal fields (pieces, ...), corrected so that no net flux enters the plate or a pole.

        `own` is the part of its flux that a piece's charge sends out through the closed surface it lies on.
        """
        out = mean.copy()
        for charged, closed, areas in self._closed:
            flux = np.tensordot(areas, mean[closed], 1)
            if own:
                flux[charged] -= own * self.areas[charged]
            out[charged] -= flux / self.areas[charged].sum()
        return out

    def b_over_mu0(self, points: Array, charge: Array) -> Array:
        """B/mu_0 in A/m at points (n, 3) for charges (pieces,) in A/m; of the plate's own inside, H only."""
        flat, rings, poles = np.split(charge, [self._faces.count, self._whole])
        out = self._faces.field(points, flat)
        each = rings.reshape(-1, self._radii.size - 1)
        for inner, rectangle, (x, y) in zip(each, self._under, self._feet, strict=True):
            for radius, step in zip(self._radii[1:], -np.diff([*inner, flat[rectangle]]), strict=True):
                out += step * disc_h(points, (x, y, self._top), radius)
        return out + (self.poles.b_over_mu0(points, poles) if self.poles else 0.0)

    def densest(self, charge: Array) -> float:
        """The largest mean B in T through a section of the steel, for charges (pieces,) in A/m.

        Sections across the plate, around every foot, and through every pole's foot: what charge lies
        on one side of a section has come through it.
        """
        amounts = charge * self.areas
        thick = self.size[2]
        found = [0.0]
        for axis, side in ((0, self.size[1]), (1, self.size[0])):
            beyond = self.centres[:, axis, None] < self._faces.cuts[axis][1:-1]
            found += list(abs(amounts @ beyond) / (side * thick))
        feet = len(self._feet)
        passing = amounts[self._whole :] if self.poles else amounts[self._faces.count :]
        for flux in abs(passing.reshape(feet, -1).sum(axis=1)) if feet else ():
            found.append(flux / (2 * np.pi * self._radius * thick))
            found.append(flux / (np.pi * self._radius**2) if self.poles else 0.0)
        return MU_0 * float(max(found))


@lru_cache(maxsize=16)
def _own_field(plate: SteelPlate) -> Array:
    return plate.own_field()
