"""The job in the frame: it is chosen, sets the dials, and takes what is worth saving."""

from __future__ import annotations

import shutil

import pytest

from pickupcalc.errors import InputError
from pickupcalc.instrument.jobfile import read_job
from pickupcalc.show.explorers.bench import bench_explorer
from pickupcalc.show.explorers.circuit import pair_explorer, peak_explorer
from pickupcalc.show.explorers.coil import henries_explorer
from pickupcalc.show.explorers.handover import handover
from pickupcalc.show.explorers.harness_dials import controls_as_dialled
from pickupcalc.show.explorers.jobs import JobDial
from pickupcalc.show.explorers.magnet import reversal_explorer
from pickupcalc.show.explorers.measurement import hum_explorer, meter_explorer, sweep_explorer
from pickupcalc.show.explorers.polarity import plan_explorer, string_explorer
from pickupcalc.show.explorers.pots import pots_explorer
from pickupcalc.show.explorers.sound import sound_explorer
from pickupcalc.show.explorers.widgets import PathDial
from pickupcalc.show.suite import copy_suite, is_demonstration
from tests.conftest import DEMOS, ROOT
from tests.show.explorers.turning import computed, take

BASS, BARITONE = (ROOT / "data" / f"{name}.toml" for name in ("bass_12", "baritone_5"))
MAKERS = [
    bench_explorer,
    handover,
    henries_explorer,
    hum_explorer,
    meter_explorer,
    pair_explorer,
    peak_explorer,
    plan_explorer,
    pots_explorer,
    reversal_explorer,
    sound_explorer,
    string_explorer,
    sweep_explorer,
]


OF_TWO = {hum_explorer, pair_explorer, plan_explorer, sound_explorer, string_explorer}


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """Where a user works."""
    own = tmp_path / "own"
    own.mkdir()
    monkeypatch.chdir(own)
    return own


@pytest.mark.parametrize("make", MAKERS, ids=lambda f: f.__name__)
def test_every_explorer_starts_from_every_demonstration(make):
    explorer = make()
    assert explorer.children[0].children[0] is explorer.dials["job"]
    for path in DEMOS:
        job = read_job(path)
        if len(job.instrument.pickups) == 1 and make in OF_TWO:
            with pytest.raises(InputError, match="has not got"):
                take(explorer, job)
            continue
        take(explorer, job)
        for _, part in explorer.subject.part.menu.options[:3]:
            explorer.subject.part.put(part)
            explorer._put_dials()
            computed(explorer)


def test_a_job_and_its_part_set_the_dials():
    explorer = peak_explorer()
    explorer.dials["job"].menu.value = BARITONE
    assert explorer.dials["pickup"].menu.value == "neck"
    explorer.dials["pickup"].menu.value = "bridge"
    assert explorer.dials["inductance"].field.value == "3.60 H"
    assert explorer.dials["length"].value.m == 5
    assert explorer.dials["tone"].layout.display == "none"  # no tone control serves this pickup
    assert explorer.result.reports[0].name == "bridge"
    assert "alert" not in explorer.meaning.value
    explorer.dials["pickup"].menu.value = "middle"
    assert explorer.dials["tone"].layout.display == ""


@pytest.fixture
def dial():
    made = JobDial("bass_12")
    made.turned = []
    made.on_turn(lambda: made.turned.append(made.value))
    return made


def test_the_menu_has_the_demonstrations_and_a_file_of_ones_own(dial):
    names = [name for name, _ in dial.menu.options]
    assert len(names) == len(DEMOS) + 1
    assert names[-1] == "own file"
    assert all("(demonstration)" in name for name in names[:-1])
    assert dial.own.layout.display == "none"
    dial.menu.value = ""
    assert dial.own.layout.display == ""
    assert "Stock no. 12" in dial._message.value
    assert dial.turned == []


@pytest.mark.parametrize(
    ("content", "said"),
    [(None, "no_such.toml"), ("format = 1\n[instrument", "TOML"), ("format = 1", "pickup")],
)
def test_a_job_that_cannot_be_read_is_explained_beside_the_field(dial, content, said, job_file):
    path = "no_such.toml" if content is None else job_file(text=content)
    dial.menu.value = ""
    dial.path.value = str(path)
    assert "alert" in dial._message.value and said in dial._message.value
    assert dial.value.path == BASS and dial.turned == []
    dial.path.value = str(job_file())
    dial.again.click()
    assert dial._message.value == ""
    assert dial.value.instrument.about.name == "a small one"


def test_a_path_that_no_system_takes_is_explained(dial):
    dial.menu.value = ""
    dial.path.value = "a" * 300
    assert "too long" in dial._message.value
    path = PathDial("a recording", "")
    path.field.value = "a" * 300
    assert "no such file" in path._message.value and path.value == ""


def test_a_file_mended_meanwhile_is_read_anew(dial, job_file):
    dial.menu.value = ""
    dial.path.value = str(job_file())
    job_file(("a small one", "the same, mended"))
    dial.again.click()
    assert dial.value.instrument.about.name == "the same, mended"


def test_a_job_that_a_page_cannot_use_is_explained_and_the_page_stays(job_file):
    explorer = pair_explorer()
    before = explorer.picture.value
    text = BASS.read_text(encoding="utf-8")
    text = text[: text.index('[[pickup]]\nname = "bridge"')]
    explorer.dials["job"].menu.value = ""
    explorer.dials["job"].path.value = str(job_file(text=text))
    assert "two pickups" in explorer.dials["job"]._message.value
    assert explorer.picture.value == before
    explorer.save.click()
    assert "nothing was written" in explorer.told.value


def test_a_demonstration_is_saved_as_a_copy_and_never_written_over(folder):
    before = BASS.read_text(encoding="utf-8")
    explorer = pair_explorer()
    explorer.save.click()
    assert "nothing to save" in explorer.told.value
    explorer.dials["leads"].menu.value = "swapped"
    explorer.save.click()
    assert "bass_12.toml is written" in explorer.told.value
    assert "copy of the demonstration" in explorer.told.value
    assert explorer.dials["job"].path.value == "bass_12.toml"
    assert explorer.dials["leads"].value == "as it is" and "hum cancels" in explorer.meaning.value
    explorer.dials["magnet"].menu.value = "reversed"
    explorer.save.click()
    assert "earlier" in explorer.told.value
    saved = read_job(folder / "bass_12.toml").instrument.pickup("bridge")
    assert (saved.tap, saved.magnet) == ("negative", "north")
    assert (folder / "earlier" / "bass_12.1.toml").is_file()
    explorer.dials["job"].menu.value = BASS
    explorer.dials["magnet"].menu.value = "reversed"
    explorer.save.click()
    assert "bass_12_2.toml is written" in explorer.told.value
    assert BASS.read_text(encoding="utf-8") == before


def test_an_own_file_keeps_its_comments_and_its_history(job_file):
    path = job_file()
    explorer = meter_explorer()
    explorer.dials["job"].menu.value = ""
    explorer.dials["job"].path.value = str(path)
    explorer.dials["inductance"].field.value = "2.6 H"
    explorer.save.click()
    assert "inductance 2.6 H" in explorer.told.value
    text = path.read_text(encoding="utf-8")
    assert "# the one near the neck" in text
    job = read_job(path)
    assert job.instrument.pickup("neck").inductance.m == pytest.approx(2.6)
    assert [r.value.m for r in job.readings] == pytest.approx([2.45, 2.6])
    assert "dials" in job.readings[1].note
    path.write_text(text + "# changed elsewhere\n", encoding="utf-8")
    explorer.dials["inductance"].field.value = "2.7 H"
    explorer.save.click()
    assert "alert" in explorer.told.value and "changed by another program" in explorer.told.value


def test_controls_that_differ_keep_their_values_until_a_dial_is_moved(job_file):
    text = BASS.read_text(encoding="utf-8")
    middle = text.index('pickups = ["bridge"]')
    text = text[: middle - 70] + text[middle - 70 :].replace('"250 kohm"', '"500 kohm"', 1)
    job = read_job(job_file(text=text))
    tracks = [c.track.m for c in job.instrument.controls]
    assert tracks == [250e3, 500e3, 250e3]
    both = job.instrument.positions[1:2]
    explorer = pots_explorer()
    take(explorer, job)
    values = explorer.values()
    assert [c.track.m for c in controls_as_dialled(job.instrument, both, values)] == tracks
    explorer.dials["volume"].put("300 kohm")
    dialled = controls_as_dialled(job.instrument, both, explorer.values())
    assert [c.track.m for c in dialled] == [300e3, 300e3, 250e3]


def test_what_was_refused_is_not_saved(folder):
    explorer = sound_explorer()
    explorer.dials["leads"].menu.value = "swapped"
    explorer.dials["pluck"].field.value = "158 mm"
    explorer.save.click()
    assert "not accepted" in explorer.told.value
    assert list(folder.iterdir()) == []


def test_readings_from_the_bench_are_saved_with_their_temperature(folder):
    explorer = bench_explorer()
    explorer.dials["temperature"].put(24)
    explorer.dials["frequency"].put("1 kHz")
    explorer.dials["resistance"].put("6.3 kohm")
    explorer.dials["inductance"].put("2.60 H")
    explorer.redraw()
    explorer.save.click()
    job = read_job(folder / "bass_12.toml")
    neck = job.instrument.pickup("neck")
    assert neck.resistance.m == 6300 and neck.resistance_temperature.m == pytest.approx(297.15)
    assert neck.inductance.m == pytest.approx(2.6, rel=0.01)
    assert neck.inductance.m != 2.6  # what a meter shows at 1 kHz is not quite what the coil has
    assert "1 kHz" in job.readings[-1].note


def test_a_geometry_is_saved_below_its_pickup_and_starts_the_dials_again(folder):
    explorer = henries_explorer()
    explorer.dials["turns"].put(7500)
    explorer.dials["cover"].put("brass, slotted")
    explorer.redraw()
    explorer.save.click()
    job = read_job(folder / "bass_12.toml")
    coil = job.instrument.pickup("neck").coil
    assert coil.turns == 7500 and coil.wire.awg == 42 and coil.poles.material.name == "alnico 5"
    assert coil.plates[0].material.name == "brass" and len(coil.plates[0].slots) == 1
    assert coil.wire_length == pytest.approx(explorer.result.report.wire_length.m)
    take(explorer, job)
    assert explorer.dials["turns"].value == 7500 and explorer.dials["cover"].value == "as in the job"
    assert computed(explorer).report.inductance.m == pytest.approx(explorer.result.report.inductance.m)
    explorer.redraw()
    explorer.save.click()
    assert "nothing to save" in explorer.told.value
    assert "The demonstration bobbin" not in bench_words_of(job)


def bench_words_of(job):
    explorer = bench_explorer()
    take(explorer, job)
    return computed(explorer).words()


def test_a_plan_is_saved_as_the_readings_that_turn_over(folder):
    explorer = plan_explorer()
    explorer.dials["when"].menu.value = explorer.dials["when"].menu.options[1][1]
    explorer.save.click()
    assert "baritone_5.toml is written: reverse middle&#x27;s magnet" in explorer.told.value
    middle = read_job(folder / "baritone_5.toml").instrument.pickup("middle")
    assert (middle.magnet, middle.tap) == ("north", "positive")
    assert [name for name, _ in explorer.dials["when"].menu.options] == ["as it is"]


def test_what_was_invented_is_never_saved_as_measured(folder):
    for explorer in (sweep_explorer(), hum_explorer()):
        explorer.save.click()
        assert "invented" in explorer.told.value
    assert list(folder.iterdir()) == []


def test_a_sweep_and_a_proof_of_ones_own_are_saved(folder):
    explorer = sweep_explorer()
    explorer.dials["recording"].field.value = str(ROOT / "data" / "recordings" / "sweep_12_neck.csv")
    assert "alert" not in explorer.meaning.value
    explorer.save.click()
    assert "loss resistance 1.2" in explorer.told.value
    assert "sweep_12_neck.csv" in read_job(folder / "bass_12.toml").readings[-1].note
    proof = hum_explorer()
    recording = str(ROOT / "data" / "recordings" / "hum_12_both_before.wav")
    proof.dials["earlier"].field.value = recording
    assert "name both" in proof.meaning.value
    proof.dials["later"].field.value = recording.replace("before", "after")
    assert "alert" not in proof.meaning.value
    proof.save.click()
    (reading,) = read_job(folder / "bass_12_2.toml").readings
    assert (reading.quantity, reading.position) == ("hum_change", "both")
    assert reading.value.m == pytest.approx(-28, abs=0.2)


def test_a_copied_suite_keeps_its_demonstrations(tmp_path, monkeypatch):
    copy_suite(tmp_path / "mine")
    monkeypatch.chdir(tmp_path / "mine" / "notebooks")
    copied = tmp_path / "mine" / "data" / "bass_12.toml"
    assert is_demonstration(copied) and is_demonstration(BASS)
    own = shutil.copy(copied, tmp_path / "bass_12.toml")
    assert not is_demonstration(own)
