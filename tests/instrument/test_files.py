"""Saving: whole or not at all, the old file kept, and never over somebody else's change."""

from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest

from pickupcalc.errors import InputError
from pickupcalc.instrument import files
from pickupcalc.instrument.files import earlier, replace_unchanged, write_whole
from pickupcalc.instrument.jobfile import read_job
from pickupcalc.limits import read_text
from tests.conftest import SMALL_JOB

NEW_JOB = SMALL_JOB.replace('"250k"', '"500 kohm"')

# Saves a changed job, and dies at the n-th time that the system is asked for something.
DYING = """
import os, sys
from pickupcalc.instrument.jobfile import read_job
from pickupcalc.limits import read_text
import filelock, tempfile
path, last = sys.argv[1], int(sys.argv[2])
def change(document):
    document["control"][0]["track"] = "500 kohm"
changed = read_job(path).changed(change)
count = 0
def die(event, arguments):
    global count
    if event.split(".")[0] in ("open", "os", "tempfile", "fcntl", "shutil"):
        count += 1
        if count == last:
            os._exit(9)
sys.addaudithook(die)
fsync = os.fsync
def flush(handle):
    die("os.fsync", ())
    fsync(handle)
os.fsync = flush
changed.save()
print(count)
"""


def retrack(document):
    document["control"][0]["track"] = "500 kohm"


def test_a_save_keeps_the_old_file(job_file):
    path = job_file()
    job = read_job(path).changed(retrack).save()
    assert path.read_text() == NEW_JOB
    job.changed(lambda d: d["control"][0].update({"track": "1 Mohm"})).save()
    assert [p.name for p in earlier(path)] == ["job.1.toml", "job.2.toml"]
    assert [p.read_text() for p in earlier(path)] == [SMALL_JOB, NEW_JOB]


def test_saving_what_is_there_writes_nothing(job_file):
    path = job_file()
    read_job(path).save()
    assert earlier(path) == []


def die_at(path, step):
    return subprocess.run(
        [sys.executable, "-c", DYING, str(path), str(step)], capture_output=True, text=True, check=False
    )


def test_power_cut_at_any_step_leaves_the_old_file_or_the_new(tmp_path):
    whole = tmp_path / "whole"
    whole.mkdir()
    (whole / "job.toml").write_text(SMALL_JOB)
    steps = int(die_at(whole / "job.toml", 0).stdout)
    assert steps > 6
    seen = set()
    for step in range(1, steps + 1):
        folder = tmp_path / str(step)
        folder.mkdir()
        path = folder / "job.toml"
        path.write_text(SMALL_JOB)
        assert die_at(path, step).returncode == 9
        seen.add(path.read_text())
        read_job(path).changed(lambda d: d["control"][0].update({"track": "1 Mohm"})).save()
        assert read_job(path).instrument.controls[0].track.m == 1e6  # nothing left over stands in the way
    assert seen == {SMALL_JOB, NEW_JOB}


def test_a_change_by_another_program_is_not_overwritten(job_file):
    path = job_file()
    mine = read_job(path).changed(retrack)
    path.write_text(SMALL_JOB + "# somebody's note\n")
    with pytest.raises(InputError, match="changed by another program"):
        mine.save()
    assert "somebody's note" in path.read_text()


def test_of_many_saving_at_once_one_wins_and_all_others_hear_of_it(job_file):
    path = job_file()
    jobs = [
        read_job(path).changed(lambda d, i=i: d["control"][0].update({"track": f"{i} kohm"}))
        for i in range(10, 18)
    ]

    def save(job):
        try:
            job.save()
            return True
        except InputError:
            return False

    with ThreadPoolExecutor(8) as pool:
        saved = list(pool.map(save, jobs))
    assert sum(saved) == 1
    assert read_job(path).instrument.controls[0].track == jobs[saved.index(True)].instrument.controls[0].track
    assert len(earlier(path)) == 1


def test_waiting_for_a_lock_ends(job_file, monkeypatch):
    from filelock import FileLock

    path = job_file()
    monkeypatch.setattr(files, "PATIENCE", 0.05)
    with FileLock(path.parent / ".job.toml.lock"), pytest.raises(InputError, match="held by another program"):
        read_job(path).changed(retrack).save()
    assert path.read_text() == SMALL_JOB


def test_saving_keeps_the_rights_of_the_file(job_file):
    path = job_file()
    path.chmod(0o640)
    read_job(path).changed(retrack).save()
    assert path.stat().st_mode & 0o777 == 0o640


def test_what_cannot_be_written_is_said(tmp_path):
    with pytest.raises(InputError, match="cannot be written"):
        write_whole(tmp_path / "no" / "such" / "file", "x")
    with pytest.raises(InputError, match="cannot be written"):
        replace_unchanged(tmp_path / "no" / "file", None, "x")
    with pytest.raises(InputError, match="cannot be written"):
        write_whole(tmp_path, "a folder stands where the file should")
    assert list(tmp_path.iterdir()) == []


def test_size_is_looked_at_first(tmp_path):
    large = tmp_path / "large"
    with large.open("wb") as out:
        out.truncate(10**9)
    with pytest.raises(InputError, match="1000000000 bytes"):
        read_text(large)


def test_a_job_folder_stands_for_its_job_file(job_file):
    path = job_file()
    assert read_job(path.parent).path == path
