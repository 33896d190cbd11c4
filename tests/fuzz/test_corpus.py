"""What was found by fuzzing stays mended: each kept case ends with a result or one message, and soon."""

from __future__ import annotations

import time
import tracemalloc
from pathlib import Path

import pytest

from tests.fuzz.targets import TARGETS, drive

CORPUS = Path(__file__).parent / "corpus"
CASES = sorted(CORPUS.glob("*/*"))
LONGEST = 20.0  # seconds of the processor; the slowest takes two
LARGEST = 300_000_000  # bytes


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.parent.name}: {case.name}")
def test_kept_cases(case, tmp_path):
    started = time.process_time()
    tracemalloc.start()
    try:
        accepted = drive(case.parent.name, case.read_bytes(), tmp_path)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert accepted == (not case.name.startswith("bad_"))
    assert peak < LARGEST
    assert time.process_time() - started < LONGEST


def test_the_corpus_is_small_and_has_every_format():
    assert {case.parent.name for case in CASES} == set(TARGETS)
    assert len(CASES) <= 40
    assert max(case.stat().st_size for case in CASES) <= 8_000
