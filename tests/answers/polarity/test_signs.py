"""Signs from observations."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pickupcalc.answers import polarity
from pickupcalc.answers.polarity.signs import examine, signs
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import About, Instrument, Position
from pickupcalc.instrument.observation import Observation
from pickupcalc.parts.pickup import Pickup


def pickup(name: str, **readings: object) -> Pickup:
    return Pickup(name=name, resistance="6 kohm", inductance="2.5 H", **readings)


def instrument(*pickups: Pickup, heard: tuple[Observation, ...] = ()) -> Instrument:
    both = Position(name="both", wiring={"parallel": [p.name for p in pickups]})
    return Instrument(About(name="bench"), pickups, positions=(both,), observations=heard)


def test_compass_and_tap_give_everything():
    found = signs(
        instrument(pickup("a", magnet="north", tap="negative"), pickup("b", magnet="south", tap="positive"))
    )
    assert (found.signal("a"), found.hum("a")) == (-1, -1)
    assert (found.signal("b"), found.hum("b")) == (1, -1)
    assert found.hum_between("a", "b") == 1
    assert found.signal_between("a", "b") == -1
    assert found.unknown() == [] and found.next_measurement() is None


def test_winding_and_lead_do_what_the_tap_does():
    wound = pickup("a", magnet="south", winding="clockwise", hot="finish")
    tapped = pickup("b", magnet="south", tap="positive")
    found = signs(instrument(wound, tapped))
    assert found.signal("a") == found.signal("b") == 1
    assert found.hum_between("a", "b") == 1


def test_the_ear_alone_is_enough_for_phase_and_hum():
    heard = (Observation(pickups=["a", "b"], sound="thin", hum="hums"),)
    made = instrument(pickup("a"), pickup("b"), heard=heard)
    found = signs(made)
    assert found.signal("a") is None
    assert found.signal_between("a", "b") == -1
    assert polarity.phase(made, made.position("both")) == "out of phase"
    assert polarity.hum(made, made.position("both")) == "not cancelling"


def test_a_position_heard_counts_with_its_turned_leads():
    turned = Position(name="half turned", wiring={"series": ["a", {"reversed": "b"}]})
    heard = (Observation(position="half turned", sound="full", hum="hums"),)
    made = replace(instrument(pickup("a"), pickup("b")), positions=(turned,), observations=heard)
    assert signs(made).signal_between("a", "b") == -1
    assert signs(made).hum_between("a", "b") == -1
    assert polarity.phase(made, turned) == "in phase"
    assert polarity.hum(made, turned) == "not cancelling"


def test_signs_pass_along_a_chain_of_pairs():
    heard = (
        Observation(pickups=["a", "b"], sound="thin"),
        Observation(pickups=["b", "c"], sound="thin"),
    )
    found = signs(instrument(pickup("a"), pickup("b"), pickup("c"), heard=heard))
    assert found.signal_between("a", "c") == 1


def test_a_contradiction_names_what_clashes_and_nothing_else():
    heard = (
        Observation(pickups=["a", "b"], sound="thin"),
        Observation(pickups=["b", "c"], sound="thin"),
        Observation(pickups=["a", "c"], sound="thin", hum="quiet"),
    )
    made = instrument(pickup("a", magnet="north"), pickup("b"), pickup("c"), heard=heard)
    (clash,) = examine(made).clashes
    assert set(clash) == {f"{x} together sound thin" for x in ("a and b", "b and c", "a and c")}
    with pytest.raises(InputError, match="cannot all be true: a and b together sound thin"):
        polarity.phase(made, made.position("both"))


def test_taps_against_the_ear():
    heard = (Observation(pickups=["a", "b"], sound="thin"),)
    made = instrument(pickup("a", tap="positive"), pickup("b", tap="positive"), heard=heard)
    (clash,) = examine(made).clashes
    assert clash == ("a's tap test (positive)", "b's tap test (positive)", "a and b together sound thin")


def test_the_measurement_that_settles_most():
    """With all but one pickup known, one look at that one settles its relation to each other."""
    known = [pickup(n, magnet="north", tap="positive") for n in ("a", "b", "c")]
    following = signs(instrument(*known, pickup("d", tap="positive"))).next_measurement()
    assert following.words == "hold a compass over d's poles"
    assert following.settles == 3
    following = signs(instrument(*known, pickup("d"))).next_measurement()
    assert following.words == "tap d's poles with steel and see which way the meter swings"
    assert following.settles == 3


def test_what_is_open_is_told():
    made = instrument(pickup("a"), pickup("b", magnet="north"))
    following = signs(made).next_measurement()
    assert following.words == "join a and b and hear whether they sound thin"
    assert following.settles == 1
    assert "unknown" in (
        polarity.phase(made, made.position("both")),
        polarity.hum(made, made.position("both")),
    )
    assert signs(made).as_json()["unknown"] == ["whether a and b are in phase", "whether a and b hum alike"]


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"sound": "thin"}, "give either pickups"),
        ({"pickups": ["a", "a"], "sound": "thin"}, "two different ones"),
        ({"pickups": ["a", "b"]}, "is missing, and so is hum"),
        ({"pickups": ["a", "b"], "sound": "hollow"}, '"full", "thin"'),
    ],
)
def test_an_observation_that_says_nothing_is_refused(given, told):
    with pytest.raises(InputError, match=told):
        Observation(**given)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"pickups": ["a", "x"], "sound": "thin"}, '"x" is not a pickup here'),
        ({"position": "all", "sound": "thin"}, '"all" is not a position here'),
        ({"position": "one", "sound": "thin"}, '"one" joins 1 pickups, not two'),
    ],
)
def test_an_observation_of_what_is_not_there_is_refused(given, told):
    one = Position(name="one", wiring="a")
    with pytest.raises(InputError, match=told):
        Instrument(
            About(name="bench"),
            (pickup("a"), pickup("b")),
            positions=(one,),
            observations=(Observation(**given),),
        )
