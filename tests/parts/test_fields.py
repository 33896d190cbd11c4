"""What every part refuses alike: arrays where one value is meant, fractions, words for yes."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

import pickupcalc as pc
from pickupcalc.errors import InputError
from pickupcalc.parts.fields import SinglePart
from pickupcalc.parts.hum_source import SmallTransformer, UniformField, WirePair
from pickupcalc.parts.metal import Material, Plate, Poles, tolerances
from pickupcalc.parts.preferred import nearest, preferred_values
from pickupcalc.parts.wire import Wire
from pickupcalc.units import quantity

TWO = np.array([1.0, 2.0])
MM = quantity(TWO * 1e-3, "meter")
COIL = {
    "straight": "40 mm", "inner_radius": "3 mm", "height": "10 mm", "build": "3 mm", "turns": 5000,
    "wire": {"awg": 42},
}  # fmt: skip


@pytest.mark.parametrize(
    ("make", "key"),
    [
        (lambda: pc.Coil(**COIL | {"height": MM}), "height"),
        (lambda: pc.Coil(**COIL | {"turns": 1000 * TWO}), "turns"),
        (lambda: Wire(awg=40 + TWO), "awg"),
        (lambda: Material(permeability=TWO), "permeability"),
        (lambda: Poles(count=1, diameter=MM, length="17 mm", material="air"), "diameter"),
        (lambda: Plate(material="brass", thickness=MM, height_above_centre="9 mm"), "thickness"),
        (lambda: pc.Rods(diameter=MM), "diameter"),
        (lambda: pc.Rods(count=np.array([3, 4])), "count"),
        (lambda: pc.Keeper(width=MM), "width"),
        (lambda: pc.Blocks(gap=MM), "gap"),
        (lambda: pc.String(note="E2", gauge=MM), "gauge"),
        (lambda: pc.String(note=quantity(TWO, "hertz")), "note"),
        (lambda: pc.Sensing(distance=MM), "distance"),
        (lambda: pc.Performance(seconds=quantity(TWO, "second")), "seconds"),
        (lambda: pc.Drawer(tracks=[quantity(TWO, "ohm")]), "tracks, piece 1, reads"),
        (lambda: WirePair(place=("1 m", "0 m", "0 m"), current=quantity(TWO, "ampere")), "current"),
        (lambda: WirePair(place=(MM, "0 m", "0 m")), "place"),
        (lambda: tolerances({"build": MM}), "build"),
        (lambda: preferred_values("E12", quantity(TWO, "ohm"), "1 kohm", "ohm"), "lowest"),
        (lambda: nearest("E12", quantity(TWO, "ohm"), "ohm"), "value"),
    ],
)
def test_an_array_where_one_value_is_meant(make, key):
    with pytest.raises(InputError) as refused:
        make()
    assert [f.key for f in refused.value.faults] == [key]


def test_what_a_sweep_varies_takes_arrays():
    assert not any(issubclass(kind, SinglePart) for kind in (pc.Pickup, pc.Volume, pc.Taper, pc.Load))
    assert pc.Volume(track=quantity(1e5 * TWO, "ohm")).below.shape == (2,)


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: pc.Rods(count=2.5), "count: 2.5 is not a whole number from 1 to 12"),
        (lambda: pc.Rods(opposite=3), "opposite: 3 must be a list of rod numbers"),
        (lambda: pc.Rods(opposite=[0]), "opposite: 0 is not a whole number"),
        (lambda: pc.Rods(opposite=[7]), "opposite: there is no rod 7; there are 6"),
        (lambda: pc.BarUnderPoles(loose="false"), 'loose: "false" must be true or false'),
        (lambda: pc.Performance(string=1.5), "string: 1.5 is not a whole number from 1 to 100"),
        (lambda: Plate.of({"slots": [{"along": "up"}]}), "slots, 1, along"),
        (lambda: UniformField(direction=(np.nan, 0, 1)), "direction: nan is not finite"),
        (lambda: UniformField(direction=(0, 0, 0)), "direction: .* not all zero"),
        (
            lambda: pc.Pickup(name="a", resistance="6k", inductance="2 H", resistance_temperature="30 K"),
            "resistance_temperature: .* above 200",
        ),
    ],
)
def test_refused_in_words(make, told):
    with pytest.raises(InputError, match=told):
        make()


def test_a_direction_has_the_length_one_however_long_it_is_written():
    for length in (1e-200, 1.0, 1e29):
        assert UniformField(direction=(3 * length, 0, 4 * length)).direction == pytest.approx((0.6, 0, 0.8))


@pytest.mark.parametrize(
    "source",
    [
        SmallTransformer(place=("0.1 m", "0 m", "0 m")),
        WirePair(place=("0.097 m", "0 m", "0 m"), spacing="6 mm", apart=(1, 0, 0)),
    ],
    ids=["transformer", "wire"],
)
def test_a_source_in_the_pickup_is_refused_and_not_counted_as_nothing(source):
    with pytest.raises(InputError, match="place: is right where"):
        source.field_at(np.array([[0.1, 0.0, 0.0], [0.2, 0.0, 0.0]]))
    assert np.all(np.isfinite(source.field_at(np.array([0.2, 0.0, 0.0]))))


def test_every_field_of_a_part_has_a_check():
    kinds = [k for k in SinglePart.__subclasses__() if hasattr(k, "__dataclass_fields__")]
    assert len(kinds) > 10
    assert all("check" in f.metadata for kind in kinds for f in fields(kind))
