"""Every row of the sign table against Faraday's law worked out by brute force with magpylib.

A rod magnet stands in a winding drawn as a path of points from start to finish.
A steel ball over it is magnetised by the rod's field (a ball of high permeability
takes M = 3 H, any field theory text) and is pulled away. The flux of the ball
through the winding is summed over small patches, in the direction that the
path's own sense of turning gives by the right-hand rule; the finish stands above
the start by minus its rate of change.
"""

from __future__ import annotations

from itertools import product

import magpylib
import numpy as np
import pytest
from scipy.constants import mu_0

from pickupcalc.answers.polarity.apprentice import SIGN_TABLE
from pickupcalc.parts.pickup import Pickup

SUBJECT = "signs"
FARADAY = {"source": "Faraday's law by patches, fields of magpylib", "status": "another method"}
ROWS = list(product(("north", "south"), ("counter-clockwise", "clockwise"), ("finish", "start")))
COIL_RADIUS = 6e-3  # m
PATCHES = 24  # rings, and twice as many sectors


def path(winding):
    """One turn from start to finish, seen from the strings (from +z): x to the right, y up."""
    angle = np.linspace(0, 2 * np.pi, 73)
    turn = 1 if winding == "counter-clockwise" else -1
    return COIL_RADIUS * np.stack([np.cos(angle), turn * np.sin(angle), 0 * angle], axis=-1)


def area_vector(points):
    """Half the sum of the cross products: the right-hand rule without a convention of ours."""
    return 0.5 * np.cross(points[:-1], points[1:]).sum(axis=0)


def flux(field, winding):
    """Through the winding, by patches of its disc."""
    r = (np.arange(PATCHES) + 0.5) / PATCHES * COIL_RADIUS
    a = (np.arange(2 * PATCHES) + 0.5) * np.pi / PATCHES
    rr, aa = (g.ravel() for g in np.meshgrid(r, a))
    spots = np.stack([rr * np.cos(aa), rr * np.sin(aa), 0 * rr], axis=-1)
    patch = rr * (COIL_RADIUS / PATCHES) * (np.pi / PATCHES)
    normal = area_vector(path(winding))
    normal = normal / np.linalg.norm(normal)
    return float(np.sum((field(spots) @ normal) * patch))


def hot_lead(before, after, hot):
    """Voltage of the hot lead, in an arbitrary unit, while the flux goes from one value to the other."""
    finish_above_start = -(after - before)
    return finish_above_start if hot == "finish" else -finish_above_start


def ball_over(rod, height):
    place = (0, 0, height)
    polarization = 3 * rod.getB(place)  # mu0 M, M = 3 H and B = mu0 H outside the rod
    return magpylib.magnet.Sphere(diameter=4e-3, polarization=polarization, position=place)


@pytest.mark.parametrize(("magnet", "winding", "hot"), ROWS)
def test_every_row(magnet, winding, hot, outside):
    up = 1.0 if magnet == "north" else -1.0
    rod = magpylib.magnet.Cylinder(polarization=(0, 0, up), dimension=(4.8e-3, 17e-3), position=(0, 0, -3e-3))
    near, far = (flux(ball_over(rod, z).getB, winding) for z in (9e-3, 10e-3))
    pickup = Pickup(name="a", resistance="6 kohm", inductance="2 H", magnet=magnet, winding=winding, hot=hot)
    outside(
        "hot lead when steel is pulled off, every row of the table of signs",
        theirs=f"{np.sign(hot_lead(near, far, hot)):+g}",
        ours=f"{pickup.signal_sign:+g}",
        **FARADAY,
    )

    def even(strength):
        return lambda spots: np.broadcast_to([0, 0, strength], spots.shape)

    falling = hot_lead(flux(even(1e-6), winding), flux(even(0.5e-6), winding), hot)
    outside(
        "hot lead in a falling field, every row of the table of signs",
        theirs=f"{np.sign(falling):+g}",
        ours=f"{pickup.hum_sign:+g}",
        **FARADAY,
    )
    (row,) = (r for r in SIGN_TABLE if (r.magnet, r.winding, r.hot) == (magnet, winding, hot))
    assert (row.signal, row.hum) == (pickup.signal_sign, pickup.hum_sign)


def test_a_moving_magnet_instead_of_steel(outside):
    """A magnet that falls away from an empty coil: as if its own pole had been the pickup's."""
    for up in (1, -1):
        near, far = (
            flux(magpylib.misc.Dipole(moment=(0, 0, up), position=(0, 0, z)).getB, "counter-clockwise")
            for z in (9e-3, 10e-3)
        )
        outside(
            "a falling magnet over an empty coil, as steel over a pole",
            theirs=f"{np.sign(hot_lead(near, far, 'finish')):+g}",
            ours=f"{up:+g}",
            **FARADAY,
        )


def test_the_patches_are_fine_enough(outside):
    """Flux of a dipole on the axis through a ring: mu0 m a^2 / (2 (a^2 + z^2)^1.5)."""
    found = flux(magpylib.misc.Dipole(moment=(0, 0, 1), position=(0, 0, 8e-3)).getB, "counter-clockwise")
    exact = mu_0 * COIL_RADIUS**2 / (2 * (COIL_RADIUS**2 + 8e-3**2) ** 1.5)
    outside(
        "flux of a dipole through a ring, by the same patches",
        source="closed form, any field theory text",
        status="published",
        ours=found,
        theirs=exact,
        rtol=2e-3,
        unit="Wb",
    )
