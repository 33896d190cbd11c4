from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pickupcalc.answers.measurement.fault_finder import find_fault
from pickupcalc.answers.measurement.faults import Fault, possible_faults
from pickupcalc.answers.measurement.jack import JackReading, from_jack, jack_resistance, jack_table
from pickupcalc.answers.measurement.symptoms import SOUND, Symptom, observed
from pickupcalc.answers.polarity.planner import plan
from pickupcalc.errors import InputError
from pickupcalc.instrument.instrument import About, Instrument, Position
from pickupcalc.instrument.jobfile import parse_job, read_job
from pickupcalc.instrument.observation import Observation
from pickupcalc.parts.controls import Blend, Tone, Volume
from pickupcalc.parts.pickup import Pickup

DATA = Path(__file__).parents[3] / "data"
BASS = read_job(DATA / "bass_12.toml").instrument


def _pair(*controls):
    """Two pickups alike side by side."""
    pickups = (
        Pickup(name=n, resistance="6 kohm", inductance="2 H", magnet="north", tap="positive") for n in "ab"
    )
    both = Position(name="both", wiring={"parallel": ["a", "b"]})
    return Instrument(About(name="a pair"), tuple(pickups), controls, (both,))


def _fault(instrument: Instrument, cause: str) -> Fault:
    return next(f for f in possible_faults(instrument) if f.cause == cause)


def test_a_pickup_beside_its_volume_is_worked_out_by_hand():
    neck = 6100 / (1 + 0.00393)
    assert jack_resistance(BASS, "neck", {}).m == pytest.approx(1 / (1 / neck + 1 / 250e3))
    assert jack_resistance(BASS, "neck", {"neck volume": 0.0}).m == pytest.approx(250e3)


def test_ten_kelvin_are_four_percent_at_the_jack():
    cold, warm = (jack_resistance(BASS, "neck", {}, t).m for t in ("20 degC", "30 degC"))
    assert warm / cold == pytest.approx(1.0393, rel=2e-3)  # the pot beside it does not warm


def test_the_table_names_every_control_that_matters():
    rows = [(r.position, [k for k, v in r.settings.items() if v == 0]) for r in jack_table(BASS)]
    assert ("neck", ["bridge volume"]) not in rows
    assert ("both", ["bridge volume"]) in rows


def test_a_blend_is_up_in_the_middle_and_is_turned_to_both_ends():
    one = 1 / (1 / 6000 + 1 / 250e3)
    rows = jack_table(_pair(Blend(track="250 kohm", pickups=["a", "b"])))
    assert [list(r.settings.values()) for r in rows] == [[0.5], [0.0], [1.0]]
    assert [r.resistance.m for r in rows] == pytest.approx([one / 2, *[1 / (1 / one + 1 / 250e3)] * 2])


@settings(max_examples=20)
@given(st.floats(3e3, 12e3), st.floats(3e3, 12e3))
def test_readings_at_the_jack_give_the_pickups_back(neck, bridge):
    def beside(*ohm):
        return 1 / sum(1 / r for r in ohm)

    readings = [
        JackReading(position="neck", resistance=f"{beside(neck, 250e3)} ohm"),
        JackReading(position="bridge", resistance=f"{beside(bridge, 250e3)} ohm"),
    ]
    found = from_jack(BASS, readings).figures
    for key, true in (("neck's resistance", neck), ("bridge's resistance", bridge)):
        assert found[key].measured
        assert abs(np.log(found[key].value.m / true)) < found[key].fraction


def test_two_pickups_read_only_together_are_not_told_apart():
    found = from_jack(BASS, [JackReading(position="both", resistance="3.15 kohm")])
    assert found.not_told_apart == (("neck's resistance", "bridge's resistance"),)


def test_a_track_is_told_where_its_volume_is_down():
    reading = JackReading(position="neck", settings={"neck volume": 0}, resistance="231 kohm")
    found = from_jack(BASS, [reading]).figures["neck volume's track"]
    assert found.measured
    assert found.value.m == pytest.approx(231e3, rel=0.01)


def test_a_track_at_part_rotation_is_refused():
    with pytest.raises(InputError, match="turn it to an end"):
        JackReading(position="neck", resistance="60 kohm", settings={"neck volume": 0.5})


def test_a_position_that_is_shorted_by_its_control_is_refused():
    job = parse_job(
        'format = 1\n[instrument]\nname = "x"\n[[pickup]]\nname = "p"\nresistance = "6 kohm"\n'
        'inductance = "2 H"\n[[control]]\nkind = "volume"\ntrack = "250 kohm"\n',
        Path("x.toml"),
    )
    reading = JackReading(position="p", resistance="1 ohm", settings={"volume": 0})
    with pytest.raises(InputError, match="shorted there whatever"):
        from_jack(job.instrument, [reading])


READ_OK = (
    Symptom(position="neck", resistance="5.93 kohm"),
    Symptom(position="bridge", resistance="6.64 kohm"),
)


@pytest.mark.parametrize(
    ("symptoms", "cause"),
    [
        ([Symptom(position="neck", resistance="250 kohm")], "neck: open coil"),
        ([Symptom(position="neck", resistance="0.4 ohm")], "neck: shorted coil"),
        ([*READ_OK, Symptom(position="neck", inductance="1.6 H")], "neck: shorted turns"),
        (
            [*READ_OK, Symptom(position="neck", resistance="110 kohm", settings={"neck volume": 0})],
            "neck volume: wrong pot",
        ),
        (
            [
                Symptom(position="neck", resistance="5.7 kohm"),
                Symptom(position="neck", resistance="4.2 kohm", settings={"tone": 0}),
            ],
            "tone: leaky capacitor",
        ),
        (
            [*READ_OK, Symptom(position="neck", resistance="0.5 ohm", settings={"tone": 0})],
            "tone: capacitor shorted or left out",
        ),
        (
            [
                *READ_OK,
                Symptom(position="both", yes_no="dull"),
                Symptom(position="neck", inductance="2.2 H", settings={"tone": 0}),
            ],
            "tone: end lugs exchanged",
        ),
        (
            [*READ_OK, Symptom(yes_no="touch"), Symptom(yes_no="turn", answer=False)],
            "earth joint open",
        ),
        ([Symptom(position=p, resistance="open") for p in ("neck", "bridge")], "lead to the jack open"),
        ([Symptom(position=p, yes_no="silent") for p in ("neck", "bridge")], "lead to the jack open"),
        ([Symptom(position=p, resistance="0.4 ohm") for p in ("neck", "bridge")], "jack shorted"),
    ],
)
def test_the_fault_finder_names_the_cause(symptoms, cause):
    found = find_fault(BASS, symptoms)
    assert found.causes[0].cause == cause
    assert sum(c.probability for c in found.causes) == pytest.approx(1)


def test_exchanged_leads_are_heard_where_the_card_says_in_phase():
    text = (DATA / "bass_12.toml").read_text(encoding="utf-8").replace('"negative"', '"positive"')
    sound = parse_job(text, Path("bass.toml")).instrument
    thin = Symptom(position="both", yes_no="thin")
    found = find_fault(sound, [*READ_OK, thin])
    assert {c.cause for c in found.causes[:2]} == {"neck: leads exchanged", "bridge: leads exchanged"}


def test_the_next_reading_separates_what_is_still_likely():
    low = [("neck", "5.75 kohm"), ("bridge", "6.45 kohm")]
    found = find_fault(BASS, [Symptom(position=p, resistance=r) for p, r in low])
    assert "tone down" in found.next_reading.reading
    assert dict(found.next_reading.expected)["tone: capacitor shorted or left out"] == "shorted"


def test_where_one_cause_is_left_no_reading_is_asked_for():
    found = find_fault(BASS, [Symptom(position="neck", resistance="250 kohm")])
    assert found.next_reading is None


def test_good_readings_leave_nothing_wrong_ahead():
    assert find_fault(BASS, READ_OK).causes[0].cause == "nothing wrong"


def test_an_symptom_of_a_position_that_is_not_there_is_refused():
    with pytest.raises(InputError, match="position"):
        find_fault(BASS, [Symptom(position="middle", resistance="6 kohm")])


def test_a_dead_coil_elsewhere_leaves_a_quiet_pair_quiet():
    baritone = read_job(DATA / "baritone_5.toml").instrument
    repaired = plan(baritone).best.apply(baritone)
    quiet = Symptom(position="4 middle and bridge", yes_no="quiet")
    for cause, heard in (("neck: open coil", True), ("bridge: open coil", False)):
        fault = _fault(repaired, cause)
        assert observed(fault, fault.alter(repaired), repaired, quiet) is heard


def test_what_the_ear_told_turns_over_with_exchanged_leads():
    heard = replace(BASS, observations=(Observation(position="both", sound="thin", hum="hums"),))
    fault = _fault(heard, "neck: leads exchanged")
    for kind, yes in (("thin", False), ("quiet", True)):
        assert observed(fault, fault.alter(heard), heard, Symptom(position="both", yes_no=kind)) is yes


def test_a_tone_that_works_backwards_does_so_whatever_else_is_turned():
    one = Position(name="one", wiring="a")
    turned = replace(_pair(Volume(track="250k"), Tone(track="250k", capacitor="47n")), positions=(one,))
    fault = _fault(turned, "tone: end lugs exchanged")
    for volume in (1.0, 0.99):
        dull = Symptom(position="one", yes_no="dull", settings={"volume": volume})
        assert observed(fault, fault.alter(turned), turned, dull)


@pytest.mark.parametrize("kind", ["silent", "dull"])
def test_two_alike_and_opposed_are_silent_not_dull(kind):
    fault = _fault(_pair(), "a: leads exchanged")
    opposed = fault.alter(_pair())
    assert observed(fault, opposed, _pair(), Symptom(position="both", yes_no=kind)) is (kind == "silent")
    assert observed(SOUND, opposed, opposed, Symptom(position="both", yes_no="dull")) is False


@pytest.mark.parametrize("cause", ["lead to the jack open", "jack shorted"])
def test_a_dead_jack_is_silent_in_every_position_and_nothing_else(cause):
    fault = _fault(BASS, cause)
    for position in BASS.positions:
        for kind in ("silent", "dull", "thin", "quiet"):
            symptom = Symptom(position=position.name, yes_no=kind)
            assert observed(fault, BASS, BASS, symptom) is (kind == "silent")
