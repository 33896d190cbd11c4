"""The pull on a string by Maxwell's stress through a plane below it, fields by magpylib."""

from __future__ import annotations

import magpylib
import numpy as np
from scipy.constants import mu_0
from scipy.spatial.transform import Rotation

from pickupcalc.parts.magnets import Rods
from pickupcalc.physics.magnetism.attraction import STRING_PERMEABILITY, string_pull

SUBJECT = "magnets"
HEIGHT, DIAMETER = 4e-3, 0.43e-3


def test_kelvin_force_is_the_stress_through_a_plane(outside):
    magnets = Rods(count=1)
    work = magnets.work()
    m = work.as_it_lies().magnetisation

    def h(points):
        return work.assembly.b_over_mu0(points, m)

    pull = string_pull(h, x=0.0, y=0.0, height=HEIGHT, diameter=DIAMETER)
    step = pull.along[1] - pull.along[0]
    across = 2 * (STRING_PERMEABILITY - 1) / (STRING_PERMEABILITY + 1)
    line = np.stack([0 * pull.along, pull.along, np.full(pull.along.size, HEIGHT)], axis=-1)
    driven = h(line)
    turn = Rotation.from_euler("x", -90, degrees=True)  # the cylinder's own axis z onto y
    pieces = [
        magpylib.magnet.Cylinder(
            dimension=(DIAMETER, step),
            magnetization=turn.inv().apply([across * here[0], along, across * here[2]]),
            position=place,
            orientation=turn,
        )
        for place, here, along in zip(line, driven, pull.magnetisation, strict=True)
    ]
    side = np.sinh(np.linspace(-5.2, 5.2, 161)) * 6e-4
    x, y = np.meshgrid(side, side, indexing="ij")
    plane = np.stack([x, y, np.full(x.shape, HEIGHT / 2)], axis=-1)
    b = mu_0 * h(plane.reshape(-1, 3)).reshape(plane.shape) + magpylib.Collection(*pieces).getB(plane)
    stress = (b[..., 2] ** 2 - b[..., 0] ** 2 - b[..., 1] ** 2) / (2 * mu_0)
    alone = mu_0 * h(plane.reshape(-1, 3)).reshape(plane.shape)
    stress -= (alone[..., 2] ** 2 - alone[..., 0] ** 2 - alone[..., 1] ** 2) / (2 * mu_0)
    force = np.trapezoid(np.trapezoid(stress, side, axis=1), side)
    outside(
        "pull of a magnet on a string",
        source="Maxwell's stress through a plane, fields by magpylib",
        status="another method",
        ours=pull.force,
        theirs=force,
        rtol=0.015,
        unit="N",
    )
