"""The apprentice's model of rod, string and turn against magpylib."""

from __future__ import annotations

import magpylib
import numpy as np

from pickupcalc.physics.sound.string_flux import flux_through_turn, rod_field, string_moment

SUBJECT = "signs"
MAGPYLIB = {"source": "magpylib", "status": "another program"}


def test_field_over_a_rod(outside):
    rod = magpylib.magnet.Cylinder(
        polarization=(0, 0, 1.2), dimension=(4.8e-3, 17e-3), position=(0, 0, -8.5e-3)
    )
    height = np.array([0.5e-3, 2e-3, 5e-3, 20e-3])
    theirs = rod.getB(np.stack([0 * height, 0 * height, height], axis=-1))[:, 2]
    ours = rod_field(height, 1.2, 2.4e-3, 17e-3)
    outside("field over a rod", ours=ours, theirs=theirs, rtol=1e-12, unit="T", **MAGPYLIB)


def test_flux_by_reciprocity(outside):
    """A current of 1 A in the turn gives at the dipole the field B; the flux is m B / I."""
    turn = magpylib.current.Circle(current=1.0, diameter=12e-3)
    height = np.array([1e-3, 5e-3, 15e-3])
    theirs = 0.3 * turn.getB(np.stack([0 * height, 0 * height, height], axis=-1))[:, 2]
    ours = flux_through_turn(0.3, 6e-3, height)
    outside("flux of a string through one turn", ours=ours, theirs=theirs, rtol=1e-13, unit="Wb", **MAGPYLIB)


def test_moment_of_a_wire_across_a_field(outside):
    """Its own field inside, worked out from its magnetisation, must cancel the outside field.

    A long cylinder magnetised across has inside it B = J/2; with the outside
    field B0 = mu0 H0 and J = 2 mu0 H0 the field H inside is nothing, as in a
    material of very high permeability.
    """
    field = 0.05
    volume = np.pi * 0.2e-3**2 * 0.4
    polarization = string_moment(field, volume) * 4e-7 * np.pi / volume
    wire = magpylib.magnet.Cylinder(polarization=(float(polarization), 0, 0), dimension=(0.4e-3, 0.4))
    applied = field / (4e-7 * np.pi)
    inside = wire.getH((0, 0, 0))[0] + applied
    outside(
        "field left inside a steel string",
        ours=inside,
        theirs=0.0,
        rtol=5e-6,
        of=applied,
        unit="A/m",
        **MAGPYLIB,
    )
