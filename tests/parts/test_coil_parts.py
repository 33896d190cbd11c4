"""A coil's geometry: what follows from what, and what is refused in words."""

from __future__ import annotations

import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from pickupcalc.errors import InputError
from pickupcalc.parts.coil import Coil
from pickupcalc.parts.metal import Material
from pickupcalc.parts.pickup import Pickup
from pickupcalc.parts.twin import mutual_inductance
from pickupcalc.parts.wire import Wire

GEOMETRY = {
    "shape": "racetrack", "straight": "55 mm", "inner_radius": "2.5 mm", "height": "11 mm", "build": "3.2 mm",
    "turns": 7900, "wire": {"awg": 42, "coating": "single"},
}  # fmt: skip
POLES = {
    "count": 6, "diameter": "4.8 mm", "length": "17 mm", "pitch": "10.4 mm", "offset": "0 mm",
    "material": "alnico 5",
}  # fmt: skip
PLATE = {
    "material": "brass", "thickness": "0.5 mm", "length": "70 mm", "width": "20 mm",
    "height_above_centre": "9.5 mm",
}  # fmt: skip
BAR = {"length": "60 mm", "width": "12 mm", "thickness": "5 mm", "material": "hard ferrite"}


def coil(**changes):
    return Coil.of({k: v for k, v in (GEOMETRY | changes).items() if v is not None})


@settings(max_examples=30)
@given(st.integers(500, 12000), st.floats(0.8, 8.0), st.sampled_from([40, 41, 42, 43, 44]))
def test_two_of_turns_build_resistance_give_the_third(turns, build, gauge):
    given_two = {"turns": turns, "build": f"{build} mm", "wire": {"awg": gauge}}
    try:
        first = coil(**given_two)
    except InputError:
        reject()  # does not fit
    ohm = f"{first.dc_resistance:.9f} ohm"
    by_build = coil(**given_two | {"turns": None, "resistance": ohm})
    by_turns = coil(**given_two | {"build": None, "resistance": ohm})
    assert by_build.geometry.turns == pytest.approx(turns, rel=1e-6)
    assert by_turns.geometry.build == pytest.approx(build * 1e-3, rel=1e-5)


@pytest.mark.parametrize("missing", ["turns", "build", "resistance"])
def test_packing_stands_in_for_one(missing):
    known = {"turns": 7900, "build": "3.2 mm", "resistance": f"{coil().dc_resistance} ohm"}
    keep = next(k for k in known if k != missing)
    found = coil(**{"turns": None, "build": None} | {keep: known[keep]}, packing=coil().packed)
    assert found.geometry.turns == pytest.approx(7900, rel=1e-6)
    assert found.geometry.build == pytest.approx(3.2e-3, rel=1e-6)


def test_a_warm_reading_counts_fewer_turns():
    cold, warm = (
        coil(turns=None, resistance="6 kohm", resistance_temperature=t) for t in ("20 degC", "30 degC")
    )
    assert warm.geometry.turns == pytest.approx(cold.geometry.turns / 1.0393, rel=1e-6)


@pytest.mark.parametrize(
    ("changes", "key", "words"),
    [
        ({"turns": 1_000_000}, "turns", "200000"),
        ({"turns": 20_000}, "build", "do not fit"),
        ({"height": "0 mm"}, "height", "above 0"),
        ({"height": 11}, "height", "no unit"),
        ({"build": None}, "turns", "give two"),
        ({"resistance": "6 kohm"}, "resistance", "leave one out"),
        ({"build": None, "resistance": "1 kohm"}, "resistance", "innermost"),
        ({"shape": "round"}, "straight", "contradicts"),
        ({"straight": "55 m"}, "straight", "larger than any bobbin"),
        ({"plates": [PLATE | {"length": "1 km"}]}, "plates, 1, length", "larger than any bobbin"),
        ({"wire": {"awg": 42, "diameter": "0.06 mm"}}, "wire", "one of"),
        ({"wire": {"diameter": "0.063 mm", "overall": "0.05 mm"}}, "wire, overall", "less than"),
        ({"wire": {"guage": 42}}, "wire, guage", "not known"),
        ({"poles": POLES | {"diameter": "6 mm"}}, "poles, diameter", "do not fit"),
        ({"poles": POLES | {"pitch": "12 mm"}}, "poles, pitch", "cut into the winding"),
        ({"poles": POLES | {"pitch": "4 mm"}}, "poles, pitch", "overlap"),
        ({"poles": POLES | {"offset": "40 mm"}}, "poles, offset", "outside"),
        ({"poles": POLES | {"count": 0}}, "poles, count", "whole number"),
        ({"poles": POLES | {"material": "unobtainium"}}, "poles, material", "not one of"),
        ({"poles": POLES | {"material": {"permeability": 0.5}}}, "poles, material, permeability", "0.5"),
        ({"poles": POLES | {"ofset": "1 mm"}}, "poles, ofset", "did you mean offset"),
        (
            {"plates": [PLATE | {"height_above_centre": "4 mm"}]},
            "plates, 1, height_above_centre",
            "cuts through",
        ),
        ({"plates": [PLATE | {"length": None}]}, "plates, 1", "length and width"),
        ({"plates": PLATE}, "plates", "list"),
        ({"bar": BAR}, "bar", "no poles"),
        ({"poles": POLES | {"length": "8 mm"}, "bar": BAR}, "bar, below", "cuts into"),
        ({"tolerance": {"build": 0.1}}, "tolerance, build", "no unit"),
        ({"tolerance": {"colour": "0.1 mm"}}, "tolerance, colour", "not known"),
        ({"hieght": "3 mm"}, "hieght", "did you mean height"),
    ],
)
def test_refused_in_words(changes, key, words):
    with pytest.raises(InputError) as refused:
        coil(**changes)
    told = [(f.key, f.message) for f in refused.value.faults]
    assert any(k == key and words in message for k, message in told), told


def test_steel_plate_pierced_by_the_poles_is_refused_but_brass_is_not():
    pierced = PLATE | {"height_above_centre": "7 mm"}
    assert coil(poles=POLES, plates=[pierced])
    with pytest.raises(InputError, match="pierced"):
        coil(poles=POLES, plates=[pierced | {"material": "low-carbon steel"}])


@pytest.mark.parametrize("size", [{"awg": 30}, {"awg": 50}, {"diameter": "0.02 mm"}, {"diameter": "0.9 mm"}])
def test_beyond_the_tables_a_heavier_film_is_still_thicker(size):
    single, heavy, triple = (Wire(coating=c, **size).over_film for c in ("single", "heavy", "triple"))
    assert 1.05 * Wire(**size).bare < single < 0.95 * heavy < 0.95 * triple


def test_between_two_gauges_the_film_is_between_theirs():
    thick, between, thin = (Wire(awg=gauge).over_film for gauge in (42, 42.25, 42.5))
    assert between == pytest.approx((thick * thin) ** 0.5, rel=2e-3)


def test_every_material_is_sound_and_says_its_source():
    from pickupcalc.tables import table

    for name, row in table("materials").items():
        made = Material.of(name)
        assert made.permeability >= 1
        assert made.factors[0] >= 1 <= made.factors[1]
        assert row["source"]


def test_a_pickup_computes_what_was_not_measured():
    made = Pickup.of({"name": "a", "coil": GEOMETRY | {"poles": POLES}, "inductance": "2.5 H"})
    assert made.computed == ("resistance", "capacitance")
    assert made.resistance.m == pytest.approx(made.coil.dc_resistance)
    inductance, sections = made.sections
    assert inductance + sum(x for _, x in sections) == pytest.approx(2.5)
    assert made.geometric()["inductance"] == pytest.approx(2.32, abs=0.02)


def test_a_pickup_without_readings_or_geometry_is_refused():
    with pytest.raises(InputError, match="is missing"):
        Pickup.of({"name": "a"})


def test_coupling_by_spacing_and_as_measured():
    half = {"name": "a", "coil": GEOMETRY, "coupled_to": "b", "winding": "clockwise", "hot": "finish"}
    other = Pickup.of({"name": "b", "coil": GEOMETRY, "winding": "counter-clockwise", "hot": "finish"})
    assert mutual_inductance(Pickup.of(half | {"mutual_inductance": "0.2 H"}), other) == 0.2
    near, far = (mutual_inductance(Pickup.of(half | {"spacing": s}), other) for s in ("14 mm", "30 mm"))
    assert near > 2 * far > 0
