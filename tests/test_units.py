"""The public edge: what is read, what is refused, and the traps pint would let through."""

from __future__ import annotations

import contextlib
import pickle

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pickupcalc import units
from pickupcalc.errors import InputError
from pickupcalc.units import engineering, parse, quantity, to_si, with_units

Q = pint.get_application_registry().Quantity


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("6.1 kohm", "ohm", 6100.0),
        ("6.1 kΩ", "ohm", 6100.0),
        ("4.7 k\u2126", "ohm", 4700.0),  # the Ohm sign, not the Greek capital
        ("4k7", "ohm", 4700.0),
        ("4K7", "ohm", 4700.0),
        ("250k", "ohm", 250e3),
        ("1M", "ohm", 1e6),
        ("R47", "ohm", 0.47),
        ("4R7", "ohm", 4.7),
        ("22n", "farad", 22e-9),
        ("4n7", "farad", 4.7e-9),
        ("470 pF", "farad", 470e-12),
        ("0.022 µF", "farad", 22e-9),
        ("0.022 uF", "farad", 22e-9),
        ("0.022 \u03bcF", "farad", 22e-9),
        ("2H45", "henry", 2.45),
        ("6.2k", "ohm", 6200.0),
        ("6,2k", "ohm", 6200.0),
        ("0.022u", "farad", 22e-9),
        ("100 pF/m", "farad/meter", 100e-12),
        ("30 pF/ft", "farad/meter", 30e-12 / 0.3048),
        ("25.5 in", "meter", 0.6477),
        ("42 thou", "meter", 42 * 25.4e-6),
        ("21 degC", "kelvin", 294.15),
        ("21 °C", "kelvin", 294.15),
        ("6 MS/m", "siemens/meter", 6e6),
        ("1e3 ohm", "ohm", 1000.0),
        ("6,1 kohm", "ohm", 6100.0),
        ("2,45 H", "henry", 2.45),
        ("0,022 µF", "farad", 22e-9),
        ("12,3456 kohm", "ohm", 12345.6),
        ("-3 dB", None, None),
    ],
)
def test_reads(text, unit, expected):
    if unit is None:
        with pytest.raises(InputError):
            parse(text, "ohm")
    else:
        assert parse(text, unit) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit", "told"),
    [
        ("250", "ohm", "write '250 kohm'"),
        ("250 k", "ohm", "'250k'"),
        ("500k", "farad", "letter"),
        ("1,234 ohm", "ohm", "'1.234 ohm' or '1234 ohm'"),
        ("1,234.5 ohm", "ohm", "two ways"),
        ("1,2,3 ohm", "ohm", "two ways"),
        ("2,5", "henry", "no unit"),
        (",5 H", "henry", "two ways"),
        ("2.5 mil", "meter", "thou"),
        ("5000 turns", "dimensionless", "plain number"),
        ("1000 gauss", "tesla", "mT"),
        ("4.7 Kohm", "ohm", "did you mean kohm"),
        ("5 mm", "ohm", "not in a unit of ohm"),
        ("6.28 rad/s", "hertz", "rad"),
        ("50 deg/s", "hertz", "2 pi"),
        ("1e99 ohm", "ohm", "beyond anything"),
        ("1e-31 F", "farad", "beyond anything"),
        ("9" * 55 + " H", "henry", "beyond anything"),
        ("1" * 100_000, "ohm", "100000 characters"),
        ("", "ohm", "not a number"),
        ("nan ohm", "ohm", "not a number"),
        ("1 ohm; 2", "ohm", "not a unit"),
        ("__import__('os')", "ohm", "not a number"),
        ("(1+1) ohm", "ohm", "not a number"),
        ("٣ ohm", "ohm", "not a number"),  # digits of other scripts
    ],
)
def test_refuses(text, unit, told):
    with pytest.raises(InputError, match=told.replace("(", r"\(")):
        parse(text, unit)


@pytest.mark.parametrize("value", [250, 250.0, np.float64(250), np.array([1.0, 2.0]), True, None, [1], {}])
def test_bare_values_are_refused_where_a_unit_matters(value):
    with pytest.raises(InputError, match="track"):
        to_si(value, "ohm", "track")


def test_the_message_shows_what_was_meant():
    with pytest.raises(InputError, match='track: 250 has no unit; write "250 kohm"'):
        to_si(250, "ohm", "track")


class TestTrapsOfPint:
    """Each of these goes wrong, or goes through wrongly, if pint alone reads it."""

    def test_turns_are_not_angles(self):
        assert Q(5000, "turn").to("").m == pytest.approx(31415.9, abs=0.1)  # what pint makes of them
        with pytest.raises(InputError, match="plain number"):
            to_si(Q(5000, "turn"), "dimensionless")
        assert to_si(5000, "dimensionless") == 5000

    @pytest.mark.parametrize("value", [Q(1, "rad/s"), Q(60, "rpm"), Q(1, "becquerel"), Q(1, "turn/s")])
    def test_a_frequency_is_in_hertz(self, value):
        with pytest.raises(InputError, match="not a frequency in Hz"):
            to_si(value, "hertz")

    def test_frequency_from_time_is_fine(self):
        assert to_si(1 / Q(2, "ms"), "hertz") == pytest.approx(500)

    def test_gauss_and_tesla(self):
        assert to_si(Q(100, "mT"), "tesla") == pytest.approx(0.1)

    def test_decibels_of_amplitudes_are_twenty_log(self):
        assert Q(2, "").to("dB").m == pytest.approx(3.01, abs=0.01)  # pint's are of powers
        assert units.amplitude_db(2) == pytest.approx(6.02, abs=0.01)
        assert units.power_db(2) == pytest.approx(3.01, abs=0.01)

    def test_temperatures(self):
        assert to_si(Q(20, "degC"), "kelvin") == pytest.approx(293.15)

    def test_boltzmann_is_no_kilo(self):
        assert parse("500k", "ohm") == 500e3

    def test_micro_prints_as_one_character(self):
        assert engineering(22e-6, "F") == "22.0 \u00b5F"


def test_a_quantity_of_anyones_pint_fits():
    assert to_si(pint.Quantity(6.1, "kiloohm"), "ohm") == pytest.approx(6100)


def test_quantities_survive_pickling():
    there_and_back = pickle.loads(pickle.dumps(quantity(2.45, "henry")))
    assert there_and_back == quantity(2.45, "henry")
    assert to_si(there_and_back, "henry") == 2.45


def test_the_registry_is_the_applications_and_stays_as_it_was():
    assert units.registry() is pint.get_application_registry()
    assert units.registry().autoconvert_offset_to_baseunit is False


@pytest.mark.parametrize("bad", [np.nan, np.inf, np.array([1.0, np.nan])])
def test_values_must_be_finite(bad):
    with pytest.raises(InputError, match="not finite"):
        to_si(Q(bad, "ohm"), "ohm")


def test_arrays_keep_their_shape():
    np.testing.assert_allclose(to_si(Q(np.ones((2, 3)), "kohm"), "ohm"), np.full((2, 3), 1000.0))


@with_units(returns="hertz", inductance="henry", capacitance="farad")
def resonance(*, inductance, capacitance=None):
    return None if capacitance is None else 1 / (2 * np.pi * np.sqrt(inductance * capacitance))


class TestEdge:
    def test_text_and_quantities(self):
        expected = 1 / (2 * np.pi * np.sqrt(2.4 * 470e-12))
        assert resonance(inductance="2.4 H", capacitance=Q(470, "pF")).m_as("Hz") == pytest.approx(expected)

    def test_si_twin(self):
        assert resonance.si(inductance=2.4, capacitance=470e-12) == pytest.approx(4739, abs=1)

    def test_none_passes(self):
        assert resonance(inductance="2.4 H") is None

    def test_all_bad_arguments_in_one_message(self):
        with pytest.raises(InputError) as caught:
            resonance(inductance=2.4, capacitance="470 pX")
        assert [f.key for f in caught.value.faults] == ["inductance", "capacitance"]

    def test_positional_arguments_and_pythons_own_errors(self):
        twice = with_units(returns="ohm", r="ohm")(lambda r: 2 * r)
        assert twice("4k7").m == 9400
        with pytest.raises(TypeError):
            twice("4k7", "4k7")
        with pytest.raises(TypeError, match="multiple values"):
            twice("4k7", r="1k")


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (4120, "4.12 kHz"),
        (999.9, "1.00 kHz"),
        (0, "0 Hz"),
        (-5, "-5.00 Hz"),
        (12.345, "12.3 Hz"),
        (1e-4, "100 µHz"),
    ],
)
def test_engineering_notation(value, shown):
    assert engineering(value, "Hz") == shown


@given(st.floats(1e-12, 1e9), st.sampled_from([("ohm", "Ω"), ("farad", "F"), ("henry", "H")]))
def test_what_is_shown_can_be_read_back(value, unit):
    name, symbol = unit
    assert parse(engineering(value, symbol, 6), name) == pytest.approx(value, rel=1e-5)


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text):
    with contextlib.suppress(InputError):
        assert np.isfinite(parse(text, "ohm"))


# Powers of ten by letter, as in IEC 60062, from memory.
CODES = {
    "ohm": {"L": -3, "R": 0, "K": 3, "k": 3, "M": 6, "G": 9},
    "farad": {"p": -12, "n": -9, "µ": -6, "u": -6, "m": -3, "F": 0},
}


@given(st.sampled_from(["ohm", "farad"]), st.integers(0, 9999), st.integers(0, 99), st.data())
def test_letter_codes_are_read_as_their_numbers(unit, whole, part, data):
    letter = data.draw(st.sampled_from(list(CODES[unit])))
    expected = float(f"{whole}.{part}e{CODES[unit][letter]}")
    assert parse(f"{whole}{letter}{part}", unit) == pytest.approx(expected, rel=1e-12)
    assert parse(f"{whole}{letter}", unit) == parse(f"{whole}{letter}0", unit)


@given(st.floats(1e-15, 1e12), st.sampled_from(["Ω", "F", "H", "Hz", "m", "s", "T"]), st.integers(2, 9))
def test_any_symbol_and_any_digits_are_read_back(value, symbol, digits):
    name = {"Ω": "ohm", "F": "farad", "H": "henry", "Hz": "hertz", "m": "meter", "s": "second", "T": "tesla"}
    for size in (value, -value):
        shown = engineering(size, symbol, digits)
        assert parse(shown, name[symbol]) == pytest.approx(size, rel=0.51 * 10.0 ** (1 - digits))
