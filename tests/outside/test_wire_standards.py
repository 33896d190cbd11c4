"""Wire against the standards' own figures."""

from __future__ import annotations

import pytest

from pickupcalc.parts.wire import Wire
from pickupcalc.physics.winding.wire import awg_diameter, resistance_per_metre

SUBJECT = "coils"
# Rounded to a tenth of a mil as it is printed.
MILS = {38: 4.0, 39: 3.5, 40: 3.1, 41: 2.8, 42: 2.5, 43: 2.2, 44: 2.0, 45: 1.76, 46: 1.57}


@pytest.mark.parametrize("gauge", MILS)
def test_astm_b258_diameters(gauge, outside):
    outside(
        "diameter of a gauge, printed to a tenth of a mil",
        source="ASTM B258, from NBS Handbook 100",
        status="published",
        ours=awg_diameter(gauge) / 25.4e-6,
        theirs=MILS[gauge],
        rtol=0.016,
        unit="mil",
    )


COPPER = {"source": "IEC 60028", "status": "published"}


@pytest.mark.parametrize("gauge", MILS)
def test_ohms_per_length_of_the_annealed_copper_standard(gauge, outside):
    """10.371 ohm for a foot of one mil (circular mil foot) at 20 degC."""
    per_foot = 10.371 / (awg_diameter(gauge) / 25.4e-6) ** 2
    ours = resistance_per_metre(awg_diameter(gauge)) * 0.3048
    outside("resistance of copper wire", ours=ours, theirs=per_foot, rtol=1e-4, unit="ohm/ft", **COPPER)


@pytest.mark.parametrize(("gauge", "micrometres"), [(40, 88), (41, 79), (42, 71), (43, 62), (44, 57)])
def test_nema_single_build(gauge, micrometres, outside):
    outside(
        "nominal diameter over the film, single build",
        source="NEMA MW 1000 C",
        status="published",
        ours=Wire(awg=gauge).over_film * 1e6,
        theirs=micrometres,
        rtol=1e-12,
        unit="um",
    )


# The middle of the limits, micrometres.
@pytest.mark.parametrize(
    ("diameter", "single", "heavy"), [("0.050 mm", 57.5, 63.5), ("0.063 mm", 72.5, 80), ("0.071 mm", 81, 88)]
)
def test_iec_metric_sizes(diameter, single, heavy, outside):
    outside(
        "diameter over the film of metric wire, grades 1 and 2",
        source="IEC 60317-0-1, middle of the limits",
        status="published",
        ours=[Wire(diameter=diameter, coating=film).over_film * 1e6 for film in ("single", "heavy")],
        theirs=[single, heavy],
        rtol=1e-12,
        unit="um",
    )


def test_copper_warms_as_in_the_standard(outside):
    """0.00393 per kelvin at 20 degC."""
    ratio = resistance_per_metre(1e-4, 30) / resistance_per_metre(1e-4)
    outside("copper 10 K warmer, over cold", ours=ratio, theirs=1.0393, rtol=1e-12, **COPPER)
