"""The rows of the sheet: worked examples, words, and the JSON of the contract."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

import pickupcalc as pc
from pickupcalc.answers.polarity import hum, phase
from pickupcalc.answers.response import FLOOR_DB
from pickupcalc.answers.tolerance import uncertain_inputs, varied
from pickupcalc.errors import InputError
from tests.conftest import DEMOS, ROOT

OPEN = pc.Load(cable_length="0 m", amplifier_resistance="1000 Mohm")


def pickup(name, tap="positive", magnet="north", **values):
    given = {"resistance": "6 kohm", "inductance": "2.4 H", "capacitance": "100 pF"} | values
    return pc.Pickup(name=name, tap=tap, magnet=magnet, **given)


def report(wiring, *pickups, controls=(), load=OPEN, mains="50 Hz"):
    position = pc.Position(name="p", wiring=wiring)
    about = pc.About(name="x", mains=mains)
    return pc.report(pc.Instrument(about, pickups, controls, (position,), load), position)


class TestResistanceAtTheJack:
    """Worked by hand; nothing else connected."""

    def test_a_volume_lies_beside_the_coil(self):
        volume = pc.Volume(track="250 kohm")
        assert report("a", pickup("a"), controls=(volume,)).dc_resistance.m == pytest.approx(
            1 / (1 / 6e3 + 1 / 250e3)
        )

    def test_at_half_rotation(self):
        """Linear: the upper half in series with the coil, the lower half across."""
        volume = pc.Volume(track="250 kohm", setting=0.5)
        expected = 1 / (1 / (6e3 + 125e3) + 1 / 125e3)
        assert report("a", pickup("a"), controls=(volume,)).dc_resistance.m == pytest.approx(expected)

    def test_fed_at_the_wiper(self):
        volume = pc.Volume(track="250 kohm", setting=0.5, fed_at="wiper")
        expected = 1 / (1 / 6e3 + 1 / 125e3) + 125e3
        assert report("a", pickup("a"), controls=(volume,)).dc_resistance.m == pytest.approx(expected)

    def test_a_tone_control_does_not_show(self):
        tone = pc.Tone(track="250 kohm", capacitor="22 nF")
        assert report("a", pickup("a"), controls=(tone,)).dc_resistance.m == pytest.approx(6e3)

    def test_a_capacitor_in_series_blocks(self):
        found = report({"item": "a", "series_capacitor": "4.7 nF"}, pickup("a"))
        assert found.dc_resistance is None
        assert found.as_json()["dc_resistance_ohm"] is None

    def test_series_and_parallel(self):
        two = pickup("a"), pickup("b", resistance="8 kohm")
        assert report({"series": ["a", "b"]}, *two).dc_resistance.m == pytest.approx(14e3)
        assert report({"parallel": ["a", "b"]}, *two).dc_resistance.m == pytest.approx(48e6 / 14e3)

    def test_losses_are_no_path_at_rest(self):
        """An eddy-current loss is a resistor of the model at signal frequencies, not one a meter finds."""
        assert report("a", pickup("a", loss_resistance="100 kohm")).dc_resistance.m == pytest.approx(6e3)


class TestInductance:
    def test_series(self):
        assert report(
            {"series": ["a", "b"]}, pickup("a"), pickup("b", inductance="3 H")
        ).inductance.m == pytest.approx(5.4)

    def test_parallel_at_low_frequency(self):
        """(L1 R2^2 + L2 R1^2) / (R1 + R2)^2, the slope of the reactance at zero."""
        two = pickup("a"), pickup("b", resistance="9 kohm", inductance="4 H")
        expected = (2.4 * 9**2 + 4 * 6**2) / 15**2
        assert report({"parallel": ["a", "b"]}, *two).inductance.m == pytest.approx(expected, rel=1e-9)

    def test_series_capacitors_are_left_out(self):
        found = report({"item": "a", "series_capacitor": "4.7 nF"}, pickup("a"))
        assert found.inductance.m == pytest.approx(2.4)


class TestPhaseAndHum:
    @pytest.mark.parametrize(
        ("tap", "magnet", "expected"),
        [
            ("positive", "north", ("in phase", "not cancelling")),
            ("positive", "south", ("in phase", "cancelling")),
            ("negative", "north", ("out of phase", "cancelling")),
            ("negative", "south", ("out of phase", "not cancelling")),
        ],
    )
    @pytest.mark.parametrize("way", ["parallel", "series"])
    def test_all_pairs(self, way, tap, magnet, expected):
        found = report({way: ["a", "b"]}, pickup("a"), pickup("b", tap, magnet))
        assert (found.phase, found.hum) == expected
        turned = report({way: ["a", {"reversed": "b"}]}, pickup("a"), pickup("b", tap, magnet))
        opposite = {"in phase": "out of phase", "cancelling": "not cancelling"}
        opposite |= {v: k for k, v in opposite.items()}
        assert (turned.phase, turned.hum) == tuple(opposite[e] for e in expected)

    def test_equal_pickups_that_cancel_leave_nothing(self):
        assert (
            report({"parallel": ["a", "b"]}, pickup("a"), pickup("b", magnet="south")).hum_relative_db
            == FLOOR_DB
        )

    def test_equal_pickups_in_series_that_do_not_cancel_hum_6_db_louder(self):
        assert report({"series": ["a", "b"]}, pickup("a"), pickup("b")).hum_relative_db == pytest.approx(
            6.02, abs=0.01
        )

    def test_a_mismatch_leaves_its_share(self):
        """Two in series, one with 10 % more turns x area: 0.1 / 1.1 is left of the louder one."""
        found = report({"series": ["a", "b"]}, pickup("a"), pickup("b", magnet="south", hum_sensitivity=1.1))
        assert found.hum == "cancelling"
        assert found.hum_relative_db == pytest.approx(20 * np.log10(0.1 / 1.1), abs=0.01)

    def test_three(self):
        a, b, c = pickup("a"), pickup("b", magnet="south"), pickup("c")
        found = report({"parallel": ["a", "b", "c"]}, a, b, c)
        assert (found.phase, found.hum) == ("in phase", "partly")
        assert found.hum_relative_db == pytest.approx(20 * np.log10(1 / 3), abs=0.05)
        assert report({"series": ["a", "b", "c"]}, a, b, replace(c, tap="negative")).phase == "mixed"
        pair_beside = {"parallel": [{"series": ["a", "c"]}, "b"]}
        assert (
            report(pair_beside, a, b, c).hum == "cancelling"
        )  # two in series meet one of half the impedance

    def test_single_and_unknown(self):
        single = report("a", pickup("a"))
        assert (single.phase, single.hum, single.hum_relative_db) == ("single", "single", 0.0)
        blind = report({"series": ["a", "b"]}, pickup("a"), pickup("b", tap=None, magnet=None))
        assert (blind.phase, blind.hum) == ("unknown", "unknown")

    def test_common_practice_three_alike_pickups_hum_alike_in_every_position(self):
        """Common practice, no source: no position of three alike pickups in parallel is quieter."""
        three = tuple(pickup(n) for n in "abc")
        for wiring in ({"parallel": ["a", "b"]}, {"parallel": ["b", "c"]}, {"parallel": ["a", "b", "c"]}):
            found = report(wiring, *three, load=pc.Load())
            assert found.hum == "not cancelling"
            assert 0 < found.hum_relative_db < 0.2  # a little louder: half the impedance meets the same load


class TestLevelsAndPeaks:
    def test_out_of_phase_loses_its_bass(self):
        found = report({"parallel": ["a", "b"]}, pickup("a"), pickup("b", "negative", inductance="2.6 H"))
        assert found.level_db < -30

    def test_sensitivity_counts(self):
        found = report({"series": ["a", "b"]}, pickup("a"), pickup("b", sensitivity=0.5))
        assert found.level_db == pytest.approx(20 * np.log10(1.5), abs=0.01)

    def test_no_peak_is_none(self):
        heavy = pc.Load(amplifier_resistance="10 kohm")
        found = report("a", pickup("a"), load=heavy)
        assert found.peak_frequency is None
        assert found.as_json()["peak_frequency_hz"] is None
        assert found.q is None

    def test_silence(self):
        found = report("a", pickup("a"), controls=(pc.Volume(track="250k", setting=0.0),))
        assert found.level_db == FLOOR_DB
        assert found.peak_frequency is None

    def test_mains_frequency_counts(self):
        pair = pickup("a"), pickup("b", magnet="south", inductance="4 H")
        at_50, at_60 = (
            report({"series": ["a", "b"]}, *pair, mains=m, load=pc.Load()) for m in ("50 Hz", "60 Hz")
        )
        assert at_60.hum_relative_db > at_50.hum_relative_db


class TestSpread:
    def test_the_peaks_spread_by_hand(self):
        """Without controls the peak goes with 1/sqrt(LC): half of L's and C's share each, nearly."""
        pair = pickup("a")
        found = report("a", pair, load=pc.Load(cable_length="3 m", cable_capacitance="100 pF/m"))
        relative = found.spread["peak_frequency"].amount / found.peak_frequency.m
        by_hand = np.hypot(np.hypot(0.5 * 0.03, 0.5 * 0.10 * 300 / 400), 0.5 * 0.10 * 100 / 400)
        assert relative == pytest.approx(by_hand, rel=0.1)
        assert found.spread["peak_frequency"].dominated_by == "the cable's capacitance"

    def test_what_nobody_measured_is_less_sure(self):
        guessed = pc.Pickup(name="a", resistance="6 kohm", inductance="2.4 H")
        sure, unsure = (report("a", p, load=pc.Load(cable_length="0.5 m")) for p in (pickup("a"), guessed))
        assert unsure.spread["peak_frequency"].amount > 2 * sure.spread["peak_frequency"].amount
        assert unsure.spread["peak_frequency"].dominated_by == "a's capacitance"

    def test_every_input_can_be_varied(self):
        instrument = pc.read_job(DEMOS[0]).instrument
        for position in instrument.positions:
            for which in uncertain_inputs(instrument, position):
                changed = varied(instrument, {which: 2.0})
                assert changed != instrument


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.name)
def test_json_of_the_contract(path):
    instrument = pc.read_job(path).instrument
    for found in pc.positions(instrument):
        document = json.loads(json.dumps(found.as_json(), allow_nan=False))
        assert {
            "name", "pickups", "dc_resistance_ohm", "inductance_h", "phase", "hum", "hum_relative_db",
            "peak_frequency_hz", "peak_height_db", "cutoff_frequency_hz", "level_db",
        } <= document.keys()  # fmt: skip
        assert document["phase"] in ("single", "in phase", "out of phase", "mixed")
        assert document["hum"] in ("single", "cancelling", "partly", "not cancelling")


class TestDemos:
    """What the cards of the scenario say must come out of the files."""

    def test_stock_12_hums_and_sounds_hollow(self):
        instrument = pc.read_job(next(p for p in DEMOS if p.name == "bass_12.toml")).instrument
        both = pc.report(instrument, instrument.position("both"))
        assert (both.phase, both.hum) == ("out of phase", "not cancelling")
        assert both.hum_relative_db == pytest.approx(0, abs=1)

    def test_stock_5_hums_everywhere(self):
        instrument = pc.read_job(next(p for p in DEMOS if p.name == "baritone_5.toml")).instrument
        assert {hum(instrument, p) for p in instrument.positions} == {"single", "not cancelling"}
        assert {phase(instrument, p) for p in instrument.positions} == {"single", "in phase"}

    def test_stock_31_is_dull(self):
        instrument = pc.read_job(next(p for p in DEMOS if p.name == "twin_coil_31.toml")).instrument
        series = pc.report(instrument, instrument.position("bridge, coils in series"))
        assert series.peak_frequency is None
        assert series.hum == "cancelling"


class TestResponse:
    def test_json_of_the_contract(self):
        instrument = pc.read_job(DEMOS[0]).instrument
        document = pc.response(instrument, "3 middle", ["50 Hz", "1 kHz"]).as_json()
        assert document["frequencies_hz"] == [50.0, 1000.0]
        assert len(document["magnitude_db"]) == len(document["phase_deg"]) == 2

    def test_the_first_pickup_has_sign_plus(self):
        """Turning every sign over changes nothing, so a lone pickup starts at 0 degrees."""
        instrument = pc.Instrument(pc.About(name="x"), (pickup("a", "negative"),), load=OPEN)
        assert pc.response(instrument, "a", ["20 Hz"]).phase_deg[0] == pytest.approx(0, abs=0.1)

    @pytest.mark.parametrize("bad", [[], ["0 Hz"], ["-5 Hz"], ["50"], [50], "50 Hz, 60 Hz", ["1 rad/s"]])
    def test_frequencies_that_are_none(self, bad):
        instrument = pc.Instrument(pc.About(name="x"), (pickup("a"),))
        with pytest.raises(InputError, match="frequencies"):
            pc.response(instrument, "a", bad)

    def test_a_position_that_is_not_there(self):
        instrument = pc.Instrument(pc.About(name="x"), (pickup("a"),))
        with pytest.raises(InputError, match='position: "z" is not one of: "a"'):
            pc.response(instrument, "z")


def test_a_peak_about_to_vanish_is_unsure():
    """Tracks of 125 kohm just leave a peak; more inductance takes it away, less moves it far up."""
    bass = pc.read_job(ROOT / "data" / "bass_12.toml").instrument
    flat = replace(bass, controls=tuple(replace(c, track="125 kohm") for c in bass.controls))
    neck, bridge = flat.pickups
    gone = replace(flat, pickups=(replace(neck, inductance=1.1 * neck.inductance), bridge))
    assert pc.report(gone, gone.position("neck")).peak_frequency is None
    told = pc.report(flat, flat.position("neck"))
    assert told.spread["peak_frequency"].amount > told.peak_frequency.m
