"""Coils in air against printed values: Rosa and Grover, Nagaoka, Brooks, Lyle, Wheeler, Lundin."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.constants import mu_0
from scipy.special import ellipe, ellipk

from pickupcalc.physics.winding.coil import self_inductance
from pickupcalc.physics.winding.coil_field import mutual_inductance
from pickupcalc.physics.winding.geometry import Winding
from pickupcalc.physics.winding.rings import coaxial_mutual

SUBJECT = "coils"
# E. B. Rosa, F. W. Grover, Bulletin of the Bureau of Standards 8(1), 1912 (Scientific Paper 169)
ROSA_GROVER = "Rosa and Grover, Bull. Bureau Stand. 8 (1912)"
CM = 1e-2


def round_coil(mean_radius, axial, radial, turns):
    return Winding(0.0, mean_radius - radial / 2, radial, axial, turns)


# Examples 1, 3, 4, 5, 6 and 12: coaxial circles, centimetres; 1 cm of inductance is 1 nH.
@pytest.mark.parametrize(
    ("a", "b", "d", "printed"),
    [
        (25, 25, 20, 167.08577),
        (25, 25, 1, 1036.6652),
        (25, 20, 10, 248.7873),
        (25, 25, 4, 606.0676),
        (10, 10, 100, 0.19164966),
        (26, 25, 1, 952.8218),
    ],
)
def test_coaxial_circles_of_rosa_and_grover(a, b, d, printed, outside):
    outside(
        "mutual inductance of coaxial circles",
        source=f"{ROSA_GROVER}, examples 1 to 12",
        status="published",
        ours=coaxial_mutual(a * CM, b * CM, d * CM) * 1e9,
        theirs=printed,
        rtol=1e-6,
        unit="nH",
    )


def test_rectangular_section_of_rosa_and_grover(outside):
    """Mean radius, axial and radial depth in cm, turns; millihenry."""

    def found(a, b, c, turns):
        return self_inductance(round_coil(a * CM, b * CM, c * CM, turns)) * 1e3

    outside(
        "inductance of coils of rectangular section, printed to four digits",
        source=f"{ROSA_GROVER}, examples 64 and 65",
        status="published",
        ours=[found(4, 1, 1, 100), found(4, 2, 1, 200)],
        theirs=[1.147, 3.805],
        rtol=2e-4,
        unit="mH",
    )
    outside(
        "inductance of a coil of square section, printed to six digits",
        source=f"{ROSA_GROVER}, example 66",
        status="published",
        ours=found(10, 1, 1, 100),
        theirs=4.00779,  # Stefan's formula; Rosa's gives 4.00782
        rtol=1e-5,
        unit="mH",
    )


# Examples 20 to 31: two coils of mean radius 25 cm, 10 cm apart; per turn squared, nH.
@pytest.mark.parametrize(
    ("first", "second", "printed"),
    [
        ((2, 2), (2, 2), 337.8475),
        ((4, 1), (2, 2), 339.9078),
        ((4, 1), (4, 1), np.pi * 108.8694),
    ],
)
def test_two_coils_of_rosa_and_grover(first, second, printed, outside):
    one, other = (round_coil(25 * CM, b * CM, c * CM, 1) for b, c in (first, second))
    outside(
        "mutual inductance of two thick coils, a turn each",
        source=f"{ROSA_GROVER}, examples 20 to 31",
        status="published",
        ours=mutual_inductance(one, other, lift=10 * CM) * 1e9,
        theirs=printed,
        rtol=1e-4,
        unit="nH",
    )


# H. Nagaoka, J. Coll. Sci. Imp. Univ. Tokyo 27, art. 6 (1909), as corrected in Rosa and Grover, table XXI.
NAGAOKA = {
    0.10: 0.958807, 0.20: 0.920093, 0.50: 0.818136, 0.75: 0.747762, 1.00: 0.688423, 1.50: 0.595045,
    2.00: 0.525510, 3.00: 0.429199, 4.00: 0.365433, 5.00: 0.319825, 7.00: 0.258406, 10.00: 0.203324,
}  # fmt: skip


@pytest.mark.parametrize("ratio", NAGAOKA)
def test_nagaoka_coefficient(ratio, outside):
    """A winding a thousandth of its radius thick stands for the current sheet; K falls by as much."""
    radius, length = 0.05, 0.1 / ratio
    found = self_inductance(round_coil(radius, length, 1e-7, 1)) / (mu_0 * np.pi * radius**2 / length)
    outside(
        "Nagaoka's coefficient",
        source=f"H. Nagaoka (1909), as corrected in {ROSA_GROVER}, table XXI",
        status="published",
        ours=found,
        theirs=NAGAOKA[ratio],
        rtol=4e-6,
        of=1.0,
    )


def test_nagaoka_coefficient_from_elliptic_integrals(outside):
    """Lorenz's exact form of the current sheet."""
    for ratio in (0.3, 1.0, 3.7, 12.0):
        radius, length = 0.05, 0.1 / ratio
        m = 4 * radius**2 / (4 * radius**2 + length**2)
        k = np.sqrt(m)
        exact = 4 / (3 * np.pi * np.sqrt(1 - m)) * ((1 - m) / m * ellipk(m) - (1 - 2 * m) / m * ellipe(m) - k)
        found = self_inductance(round_coil(radius, length, 1e-8, 1)) / (mu_0 * np.pi * radius**2 / length)
        outside(
            "Nagaoka's coefficient in elliptic integrals",
            source=f"{ROSA_GROVER}, formula 69 (Lorenz)",
            status="published",
            ours=found,
            theirs=exact,
            rtol=2e-6,
        )


def test_lyle_thin_solenoids(outside):
    """Radius 1 m, per turn squared; the first is printed over mu_0."""
    outside(
        "inductance of thin solenoids",
        source="T. R. Lyle, Phil. Trans. R. Soc. A 213, 421 (1914), p. 429",
        status="published",
        ours=[self_inductance(round_coil(1, length, 1e-7, 1)) * 1e6 for length in (2, 1, 0.5)],
        theirs=[1.08137e6 * mu_0, 2.07463, 2.885335],
        rtol=1e-5,
        unit="uH",
    )


def test_brooks_coil(outside):
    """0.025491 uH per cm of side and turn squared, a maximum."""
    source = "H. B. Brooks, J. Res. NBS 7, 289 (1931)"
    side, turns = 0.02, 300
    brooks = self_inductance(round_coil(1.5 * side, side, side, turns))
    outside(
        "inductance of the best coil for its wire",
        source=source,
        status="published",
        ours=brooks * 1e3,
        theirs=0.025491e-3 * 2.0 * turns**2,
        rtol=3e-5,
        unit="mH",
    )
    length = turns * 2 * np.pi * 1.5 * side  # the same wire on other mean radii, the same section
    for factor in (0.8, 1.25):
        other_turns = length / (2 * np.pi * 1.5 * side * factor)
        edge = side * np.sqrt(other_turns / turns)
        share = self_inductance(round_coil(1.5 * side * factor, edge, edge, other_turns)) / brooks
        outside(
            "inductance of the same wire on another radius, over the best coil's",
            source=source,
            status="published",
            ours=share,
            between=(None, 1),
        )


def test_wheeler_1928_within_its_limits(outside):
    """About 1 % where 6a, 9b, 10c are alike."""
    inch = 25.4e-3
    for a, b, c in ((1.5, 1.0, 0.9), (1.0, 0.6, 0.65), (2.0, 1.5, 1.2)):
        microhenry = 0.8 * a**2 * 100**2 / (6 * a + 9 * b + 10 * c)
        found = self_inductance(round_coil(a * inch, b * inch, c * inch, 100))
        outside(
            "inductance of multilayer coils, by a formula good to about 1 %",
            source="H. A. Wheeler, Proc. IRE 16, 1398 (1928)",
            status="published",
            ours=found * 1e6,
            theirs=microhenry,
            rtol=0.013,
            unit="uH",
        )


def test_lundin_current_sheet(outside):
    """His formula is within 0.3e-5; b = 2a, from his table at x = 1."""
    f1 = 1.112836
    radius, length = 0.03, 0.06
    # b >= 2a: L = mu0 n^2 pi a^2 / b (f1(4a^2/b^2) - 4/(3 pi) 2a/b)
    exact = mu_0 * np.pi * radius**2 / length * (f1 - 4 / (3 * np.pi))
    outside(
        "inductance of a current sheet twice as long as its radius",
        source="R. Lundin, Proc. IEEE 73(9), 1428 (1985)",
        status="published",
        ours=self_inductance(round_coil(radius, length, 1e-8, 1)) * 1e9,
        theirs=exact * 1e9,
        rtol=5e-6,
        unit="nH",
    )
