"""The notebook pages on polarity, without a notebook."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from scipy.io import wavfile

from pickupcalc import read_job
from pickupcalc.answers.polarity.apprentice import SIGN_TABLE
from pickupcalc.show.explorers.polarity import eight_rows, plan_explorer, string_explorer
from tests.conftest import DEMOS
from tests.show.explorers.turning import computed, take

SIGN = {1: "+", -1: "\N{MINUS SIGN}"}


def test_string_explorer_is_seen_and_heard():
    page = string_explorer()
    hum, signal = page.hum.value, page.signal.value
    page.dials["magnet"].menu.value = "reversed"
    assert "Out of phase" in page.meaning.value
    assert page.hum.value == hum
    assert page.signal.value != signal
    page.dials["leads"].menu.value = "swapped"
    assert "In phase: the signals add, and the hum cancels" in page.meaning.value
    assert not np.any(wavfile.read(BytesIO(page.hum.value))[1])
    page.dials["moment"].slider.value = 0.7
    page.dials["winding"].menu.value = "wound the other way"
    assert "Out of phase" in page.meaning.value
    page.dials["over"].menu.value = "the second alone"
    assert "the hot lead goes" in page.meaning.value
    assert "<svg" in page.picture.value


def test_eight_rows_filled_in():
    page = eight_rows()
    for filled, row in zip(page.rows, SIGN_TABLE, strict=True):
        filled.signal.value = SIGN[row.signal]
        assert filled.message.value == ""
        filled.hum.value = SIGN[-row.hum]
        assert "hum:" in filled.message.value
        filled.hum.value = SIGN[row.hum]
        assert "right" in filled.message.value
    assert "8 of 8 right" in page.score.value
    page.rows[0].hum.value = "?"
    assert "7 of 8 right" in page.score.value


@pytest.mark.parametrize("path", [p for p in DEMOS if p.stem != "lap_7"], ids=lambda p: p.name)
def test_plan_explorer_knows_every_state(path):
    page = plan_explorer()
    take(page, read_job(path))
    for _, when in page.dials["when"].menu.options:
        page.dials["when"].put(when)
        assert "Signal" in computed(page).words()


def test_plan_explorer_on_the_baritone():
    page = plan_explorer()
    assert "all shares point the same way and add" in page.meaning.value
    page.dials["when"].menu.value = page.dials["when"].menu.options[1][1]
    assert "alike pickups are quiet" in page.meaning.value
    assert "hum at least 20 dB below" in page.meaning.value
    words, picture = page.meaning.value, page.picture.value
    page.dials["mismatch"].slider.value = 15.0
    assert page.meaning.value != words
    assert page.picture.value != picture
