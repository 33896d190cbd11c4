"""Wire against the standards' own figures."""

from __future__ import annotations

import pytest

from pickupcalc.parts.wire import Wire
from pickupcalc.physics.winding.wire import awg_diameter, resistance_per_metre

# ASTM B258, rounded to a tenth of a mil as it is printed, from NBS Handbook 100: mils.
MILS = {38: 4.0, 39: 3.5, 40: 3.1, 41: 2.8, 42: 2.5, 43: 2.2, 44: 2.0, 45: 1.76, 46: 1.57}


@pytest.mark.parametrize("gauge", MILS)
def test_astm_b258_diameters(gauge):
    assert awg_diameter(gauge) / 25.4e-6 == pytest.approx(MILS[gauge], rel=0.016)


@pytest.mark.parametrize("gauge", MILS)
def test_ohms_per_length_of_the_annealed_copper_standard(gauge):
    """IEC 60028: 10.371 ohm for a foot of one mil (circular mil foot) at 20 degC."""
    per_foot = 10.371 / (awg_diameter(gauge) / 25.4e-6) ** 2
    assert resistance_per_metre(awg_diameter(gauge)) * 0.3048 == pytest.approx(per_foot, rel=5e-4)


# NEMA MW 1000 C, single build, nominal overall diameter in micrometres.
@pytest.mark.parametrize(("gauge", "micrometres"), [(40, 88), (41, 79), (42, 71), (43, 62), (44, 57)])
def test_nema_single_build(gauge, micrometres):
    assert Wire(awg=gauge).over_film * 1e6 == pytest.approx(micrometres)


# IEC 60317-0-1, grades 1 and 2: the middle of the limits, micrometres.
@pytest.mark.parametrize(
    ("diameter", "single", "heavy"), [("0.050 mm", 57.5, 63.5), ("0.063 mm", 72.5, 80), ("0.071 mm", 81, 88)]
)
def test_iec_metric_sizes(diameter, single, heavy):
    assert Wire(diameter=diameter).over_film * 1e6 == pytest.approx(single, abs=2.6)
    assert Wire(diameter=diameter, coating="heavy").over_film * 1e6 == pytest.approx(heavy, abs=2.6)


def test_copper_warms_as_in_the_standard():
    """IEC 60028: 0.00393 per kelvin at 20 degC."""
    assert resistance_per_metre(1e-4, 30) / resistance_per_metre(1e-4) == pytest.approx(1.0393)
