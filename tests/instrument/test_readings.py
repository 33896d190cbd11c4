import datetime
from pathlib import Path

import pytest

from pickupcalc.errors import InputError
from pickupcalc.instrument.jobfile import parse_job, read_job
from pickupcalc.instrument.readings import Reading, recorded, written

JOB = """# a card
format = 1
[instrument]
name = "Stock no. 3"   # kept

[[pickup]]
name = "neck"
resistance = "6.10 kohm"   # as on the card
resistance_temperature = "21 degC"
inductance = "2.45 H"
# at the end
"""


def _reading(**more):
    return Reading(
        **{
            "quantity": "resistance", "pickup": "neck", "value": "6.2 kohm", "date": "2026-03-14",
            "temperature": "18 degC", "meter": "bench meter",
        } | more
    )  # fmt: skip


def test_a_reading_sets_the_pickup_and_keeps_the_comments(tmp_path):
    job = recorded(parse_job(JOB, tmp_path / "job.toml"), [_reading()])
    job.save()
    text = (tmp_path / "job.toml").read_text(encoding="utf-8")
    for comment in ("# a card", "# kept", "# as on the card", "# at the end"):
        assert comment in text
    again = read_job(tmp_path / "job.toml")
    assert not again.notes
    neck = again.instrument.pickup("neck")
    assert neck.resistance.m_as("kohm") == pytest.approx(6.2)
    assert neck.resistance_temperature.m == pytest.approx(291.15)


def test_what_was_there_before_becomes_history_once():
    job = parse_job(JOB, Path("job.toml"))
    job = recorded(job, [_reading()])
    job = recorded(job, [_reading(value="6.3 kohm", date=datetime.date(2026, 3, 15))])
    assert [f"{r.value.m:.0f}" for r in job.readings] == ["6100", "6200", "6300"]
    assert job.readings[0].date is None
    assert job.readings[2].date == datetime.date(2026, 3, 15)
    assert job.readings[0].temperature.m == pytest.approx(294.15)


def test_the_temperature_of_the_value_before_is_not_that_of_the_new_one():
    job = recorded(parse_job(JOB, Path("job.toml")), [_reading(temperature=None)])
    assert job.instrument.pickup("neck").resistance_temperature.m == pytest.approx(293.15)
    assert job.readings[0].temperature.m == pytest.approx(294.15)


def test_a_hum_change_belongs_to_a_position():
    job = recorded(
        parse_job(JOB, Path("job.toml")),
        [Reading(quantity="hum_change", position="neck", value="-21.5 dB", date="2026-03-14")],
    )
    assert job.readings[0].value.m == pytest.approx(-21.5)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"value": "6.2"}, "no unit"),
        ({"date": "14.3.2026"}, "is not a date"),
        ({"quantity": "weight"}, "is not one of"),
    ],
)
def test_a_reading_that_is_none_is_refused(change, told):
    with pytest.raises(InputError, match=told):
        _reading(**change)


def test_a_pickup_that_is_not_there_is_refused():
    with pytest.raises(InputError, match='"bridge" is not one of: "neck"'):
        recorded(parse_job(JOB, Path("job.toml")), [_reading(pickup="bridge")])


def test_a_faulty_reading_in_the_file_is_named():
    with pytest.raises(InputError, match="reading 1, value"):
        parse_job(JOB + '[[reading]]\nquantity = "resistance"\nvalue = "5 H"\n', Path("job.toml"))


@pytest.mark.parametrize(
    ("value", "symbol", "text"),
    [
        (6123.4, "ohm", "6.123 kohm"),
        (2.45, "H", "2.45 H"),
        (1.1e-10, "F", "110 pF"),
        (1.2e6, "ohm", "1.2 Mohm"),
    ],
)
def test_values_are_written_as_a_person_would(value, symbol, text):
    assert written(value, symbol) == text
