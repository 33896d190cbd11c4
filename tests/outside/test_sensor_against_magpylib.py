"""The pole, the coil and the string above them against magpylib, and against published findings."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

import magpylib
import numpy as np
import pytest

from pickupcalc.physics.constants import MU_0
from pickupcalc.physics.sound import sensor
from tests.physics.test_sensor import POLE

SUBJECT = "strings and sound"
MAGPYLIB = {"source": "magpylib", "status": "another program", "unit": "T"}


@pytest.mark.parametrize("above", [0.3e-3, 2.5e-3, 12e-3])
def test_field_of_the_pole(above, outside):
    rho = np.array([0.0, 1e-4, 1.7e-3, 2.4e-3, 3e-3, 9e-3, 30e-3])
    magnet = magpylib.magnet.Cylinder(polarization=(0, 0, 0.25), dimension=(2 * POLE.radius, POLE.length))
    points = np.stack([rho, 0 * rho, np.full(rho.size, above + POLE.length / 2)], axis=-1)
    theirs = magnet.getB(points)[:, [0, 2]]
    outward, up = sensor.cylinder_field(POLE.radius, POLE.length, 0.25, rho, above)
    ours, whole = np.stack([outward, up], axis=1), abs(theirs).max()
    outside("field of a pole", ours=ours, theirs=theirs, rtol=3e-9, of=whole, **MAGPYLIB)


def test_field_of_the_coil(outside):
    """A thin solenoid as 400 current loops in magpylib."""
    coil = replace(POLE, permeability=1.0)
    rho, above = np.array([0.0, 2e-3, 5e-3]), 3e-3
    top = -coil.coil_depth
    heights = top - coil.coil_height * (np.arange(400) + 0.5) / 400
    loops = magpylib.Collection(
        [
            magpylib.current.Circle(
                current=coil.turns / 400, diameter=2 * coil.coil_radius, position=(0, 0, z)
            )
            for z in heights
        ]
    )
    theirs = loops.getB(np.stack([rho, 0 * rho, np.full(3, above)], axis=-1))[:, [0, 2]]
    ours, whole = np.stack(sensor.coil_field(coil, rho, above), axis=1), abs(theirs).max()
    outside("field of a thin coil of 400 loops", ours=ours, theirs=theirs, rtol=7e-6, of=whole, **MAGPYLIB)


def test_reciprocity(outside):
    """The flux of the string's dipoles summed over the coil's turns, without the shortcut by reciprocity.

    An air-cored coil; the dipoles' field from magpylib, integrated over the discs of 24 turns.
    """
    pole = replace(POLE, permeability=1.0, offset=0.8e-3)
    x = np.linspace(-sensor.ALONG, sensor.ALONG, sensor.POINTS) * pole.radius
    rho = np.hypot(x, pole.offset)
    outward, up = sensor.cylinder_field(
        pole.radius, pole.length, sensor.face_remanence(pole), rho, pole.distance
    )
    share = pole.offset / rho
    step = x[1] - x[0]
    moments = 2 / MU_0 * step * np.stack([0 * x, outward * share, up], axis=-1)  # of 1 m^2 of steel
    string = magpylib.Collection(
        [
            magpylib.misc.Dipole(moment=m, position=(at, pole.offset, pole.distance))
            for at, m in zip(x, moments, strict=True)
        ]
    )
    r, weight = np.polynomial.legendre.leggauss(12)
    r, weight = pole.coil_radius * (r + 1) / 2, weight * pole.coil_radius / 2
    angle = np.arange(16) * np.pi / 8
    disc = np.concatenate([np.stack([q * np.cos(angle), q * np.sin(angle), 0 * angle], axis=-1) for q in r])
    area = np.repeat(weight * r * 2 * np.pi / 16, 16)
    depths, part = np.polynomial.legendre.leggauss(6)
    flux = 0.0
    for depth, w in zip(depths, part, strict=True):
        z = -pole.coil_depth - pole.coil_height * (depth + 1) / 2
        flux += w / 2 * pole.turns * np.sum(area * string.getB(disc + np.array([0, 0, z]))[:, 2])
    outside(
        "flux of a string through the turns of a coil, without reciprocity",
        source="magpylib, the string as dipoles",
        status="another program",
        ours=sensor.linkage(pole, 0.0, 0.0),
        theirs=flux,
        rtol=6e-5,
        unit="Wb/m2",
    )


class TestPublished:
    """Findings of "Analytical Modeling and Experimental Characterization of a Magnetic Pickup for Electric
    Guitar", as its abstract tells them.
    """

    PAPER: ClassVar = {"source": "J. Audio Eng. Soc. 65(9), 711 (2017), abstract", "status": "published"}

    def test_most_sensitive_to_motion_towards_the_pole(self, outside):
        sideways, upward = sensor.slopes(replace(POLE, offset=0.5e-3))
        ratio = abs(upward / sideways)
        outside("motion toward the pole over motion sideways", ours=ratio, between=(5, None), **self.PAPER)

    def test_distortion_goes_with_the_motion_and_hardly_with_the_distance(self, outside):
        """Second harmonic against the first, of a motion of 0.5 and 1 mm, at 2.5 and 3.5 mm."""

        def second(distance, amplitude):
            pole = replace(POLE, distance=distance)
            c = dict(zip(sensor.POWERS, sensor.polynomial(pole, amplitude), strict=True))
            return abs(c[0, 2] * amplitude / 2 / (c[0, 1] + 0.75 * c[0, 3] * amplitude**2))

        twice = second(2.5e-3, 1e-3) / second(2.5e-3, 0.5e-3)
        outside("second harmonic with twice the motion", ours=twice, between=(1.8, 2.2), **self.PAPER)
        further = second(3.5e-3, 1e-3) / second(2.5e-3, 1e-3)
        outside("second harmonic a millimetre further off", ours=further, between=(0.7, 1.3), **self.PAPER)
