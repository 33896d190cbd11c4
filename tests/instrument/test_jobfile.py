"""Job files: read whole, refused with every fault named, changed without losing a comment."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import pickupcalc as pc
from pickupcalc.errors import InputError
from pickupcalc.instrument.jobfile import parse_job, read_job
from pickupcalc.limits import JOB_BYTES
from tests.conftest import DEMOS, SMALL_JOB


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.name)
def test_demos_are_read_and_say_that_they_are_invented(path):
    assert "Invented" in path.read_text(encoding="utf-8").splitlines()[0]
    job = read_job(path)
    assert job.instrument.positions
    assert job.notes == ()


def test_everything_is_there(job_file):
    instrument = read_job(job_file()).instrument
    assert [p.name for p in instrument.pickups] == ["neck", "bridge"]
    assert instrument.controls[0].track.m_as("kohm") == 250
    assert instrument.positions[0].wiring.pickups() == ["neck", "bridge"]
    assert instrument.load.cable.m_as("pF") == pytest.approx(300)


def test_without_positions_each_pickup_is_one(job_file):
    path = job_file(('[[position]]\nname = "both"\nwiring = { parallel = ["neck", "bridge"] }\n', ""))
    assert [p.name for p in read_job(path).instrument.positions] == ["neck", "bridge"]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"6.10 kohm"', "6.10", "pickup 'neck', resistance: 6.1 has no unit; write \"6.1 kohm\""),
        ('"6.10 kohm"', '"6.10"', "write '6.1 kohm'"),
        ('"6.10 kohm"', '"6.10 H"', "not in a unit of ohm"),
        ('"6.10 kohm"', '"-6.10 kohm"', "pickup 'neck', resistance: \"-6.10 kohm\" must be above 0 ohm"),
        ('"6.10 kohm"', '"' + "6" * 1000 + '"', "1000 characters"),
        ('["neck", "bridge"]', '["neck", "nek"]', 'position \'both\', wiring: "nek" is not a pickup here'),
        ('"bridge"\nres', '"neck"\nres', "pickup 'neck': is there twice"),
        ("capacitance = \"100 pF\"", "capacitence = \"100 pF\"", "did you mean capacitance?"),
        ('capacitance = "100 pF"', 'apature = "18 mm"', "did you mean aperture?"),
        ('kind = "volume"', 'kind = "loudness"', "control 1, kind"),
        ('kind = "volume"', "kind = []", "control 1, kind"),
        ('taper = "audio"', 'taper = "log"', "control 1, taper"),
        ('mains = "50 Hz"', 'mains = "55 Hz"', '"50 Hz", "60 Hz"'),
        ("format = 1", "format = 2", "format: is 2; this version reads format = 1"),
        ("format = 1", "", "format: is missing"),
        ("[load]", "[[load]]", "load: "),
        ('inductance = "2.45 H"\n', "", "pickup 'neck', inductance: is missing"),
        ("[instrument]", "[instrument", "is not TOML"),
        ('name = "a small one"', 'name = "a small one"\nstrings = "E1"', "must be a list"),
        ('name = "a small one"', 'name = "a small one"\nstrings = ["E1", "X"]', "instrument, strings, 2"),
    ],
)  # fmt: skip
def test_each_fault_names_file_key_value_and_what_is_accepted(job_file, old, new, told):
    path = job_file((old, new))
    with pytest.raises(InputError) as caught:
        read_job(path)
    assert str(caught.value).startswith(str(path))
    assert told in str(caught.value)


def test_several_faults_are_reported_together(job_file):
    path = job_file(('"6.10 kohm"', "6.1"), ('"3.1 H"', '"3.1 mm"'), ('kind = "volume"', 'kind = "loud"'))
    with pytest.raises(InputError) as caught:
        read_job(path)
    assert len(caught.value.faults) == 3
    assert "3 faults" in str(caught.value)


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "is empty"),
        (b"  \n\n", "is empty"),
        (b"\x00\xff\xfe\x80binary", "not text"),
        (b"\x7fELF\x02\x01\x01\x00", "is not TOML"),
        (b'name = "' + b"x" * (1024 * 1024) + b'"', f"at most {JOB_BYTES}"),
        (b"format = 1\nx = " + b"[" * 5000 + b"]" * 5000, "nested"),
        (b"format = 1\n", "pickup: is missing"),
        (b"format = 1\npickup = 3\n", "must be a list of tables"),
        (b"format = 1\ninstrument = 3\n", "must be a table"),
    ],
)
def test_files_that_are_no_job_files(tmp_path, content, told):
    path = tmp_path / "job.toml"
    path.write_bytes(content)
    with pytest.raises(InputError, match=told):
        read_job(path)


def test_a_position_nested_a_thousand_deep(job_file):
    wiring = "{ reversed = " * 1000 + '"neck"' + " }" * 1000
    with pytest.raises(InputError, match="nested"):
        read_job(job_file(('{ parallel = ["neck", "bridge"] }', wiring)))


@pytest.mark.parametrize("place", ["missing.toml", "."])
def test_files_that_cannot_be_read(tmp_path, place):
    with pytest.raises(InputError, match="cannot be read"):
        read_job(tmp_path / place)


def test_unknown_keys_are_noted_and_kept(job_file):
    path = job_file(('magnet = "north"', 'magnet = "north"\nowner_says = "buzzes"'))
    job = read_job(path)
    assert job.notes == ("pickup 'neck', owner_says: is not known here; it is kept but not used",)
    job.save()
    assert 'owner_says = "buzzes"' in path.read_text()


def retrack(document):
    document["control"][0]["track"] = "500 kohm"


def test_a_change_keeps_everything_else(job_file):
    path = job_file()
    changed = read_job(path).changed(retrack)
    changed.save()
    assert path.read_text() == SMALL_JOB.replace('"250k"', '"500 kohm"')
    assert read_job(path).instrument.controls[0].track.m_as("kohm") == 500


def test_a_change_that_makes_a_bad_job_is_refused_and_nothing_is_written(job_file):
    path = job_file()
    job = read_job(path)
    with pytest.raises(InputError, match="control 1, track"):
        job.changed(lambda d: d["control"][0].update({"track": 500}))
    assert path.read_text() == SMALL_JOB
    assert job.document["control"][0]["track"] == "250k"


texts = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), min_size=1, max_size=60)


@settings(max_examples=50)
@given(texts.filter(str.strip), st.integers(1, 10**6), st.sampled_from(["audio", "linear", "reverse audio"]))
def test_what_is_written_is_read_back(name, ohms, taper):
    def change(document):
        document["instrument"]["name"] = name
        document["control"][0].update({"track": f"{ohms} ohm", "taper": taper})

    job = parse_job(SMALL_JOB, Path("job.toml"))
    if not name.isprintable():
        with pytest.raises(InputError):
            job.changed(change)
        return
    instrument = job.changed(change).instrument
    assert instrument.about.name == name
    assert instrument.controls[0].track.m_as("ohm") == ohms
    assert instrument.controls[0].taper == pc.Taper.of(taper)
