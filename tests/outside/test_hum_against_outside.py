"""Weighting A against the standard's table; fields of hum sources against magpylib."""

from __future__ import annotations

import magpylib
import numpy as np
import pytest

from pickupcalc.physics.measuring.hum_fields import dipole, wire_pair
from pickupcalc.physics.measuring.weighting import a_weighting_db

SUBJECT = "hum"
# IEC 61672-1:2013, table 3: nominal frequency in Hz, weighting A in dB, printed to 0.1 dB.
TABLE_3 = [
    (31.5, -39.4), (50, -30.2), (63, -26.2), (100, -19.1), (125, -16.1), (250, -8.6), (500, -3.2),
    (1000, 0.0), (2000, 1.2), (4000, 1.0), (8000, -1.1), (10_000, -2.5), (16_000, -6.6), (20_000, -9.3),
]  # fmt: skip


@pytest.mark.parametrize(("nominal", "printed"), TABLE_3)
def test_weighting_a_is_the_table_of_iec_61672(nominal, printed, outside):
    exact = 1000 * 10 ** (0.1 * round(10 * np.log10(nominal / 1000)))
    outside(
        "weighting A, printed to 0.1 dB",
        source="IEC 61672-1:2013, table 3",
        status="published",
        ours=a_weighting_db(exact),
        theirs=printed,
        db=0.051,
        unit="dB",
    )


def test_dipole_against_magpylib(outside):
    rng = np.random.default_rng(3)
    points = rng.uniform(-1, 1, (20, 3))
    moment = np.array([0.2, -0.1, 0.4])
    theirs = magpylib.misc.Dipole(moment=moment, position=(2, 2, 2)).getB(points)
    outside(
        "field of a hum source far off, as a dipole",
        source="magpylib",
        status="another program",
        ours=dipole(points, [2, 2, 2], moment),
        theirs=theirs,
        rtol=1e-12,
        unit="T",
    )


def test_wire_pair_against_long_wires_of_magpylib(outside):
    """A hundred metres each way stands for infinity; what is missing is below 1e-4 at a metre."""
    points = np.random.default_rng(4).uniform((-0.5, -0.5, 0.5), (0.5, 0.5, 1.5), (20, 3))
    pair = magpylib.Collection(
        magpylib.current.Polyline(current=2.0, vertices=[(0.01, -100, 0), (0.01, 100, 0)]),
        magpylib.current.Polyline(current=-2.0, vertices=[(-0.01, -100, 0), (-0.01, 100, 0)]),
    )
    ours = wire_pair(points, [0, 0, 0], [0, 1, 0], [0.02, 0, 0], 2.0)
    theirs = pair.getB(points)
    outside(
        "field of a pair of mains wires",
        source="magpylib, wires of 200 m",
        status="another program",
        ours=ours,
        theirs=theirs,
        rtol=3e-4,
        of=np.linalg.norm(theirs, axis=-1, keepdims=True),
        unit="T",
    )
