"""Many instruments of one drawing: reproducible, bounded, and true to what was put in."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from pickupcalc.answers.positions import figures
from pickupcalc.answers.pots import blocks
from pickupcalc.answers.pots.blocks import in_blocks
from pickupcalc.answers.pots.scatter import scatter
from pickupcalc.answers.tolerance import draw, inputs_of, varied
from pickupcalc.errors import InputError
from pickupcalc.instrument.jobfile import read_job

BASS = read_job(Path(__file__).parents[2] / "data" / "bass_12.toml").instrument
NECK = BASS.position("neck")


def test_same_seed_same_parts_and_another_seed_others():
    one, again, other = (scatter(BASS, "neck", samples=60, seed=s) for s in (3, 3, 4))
    assert one.figures["q"].values.tolist() == again.figures["q"].values.tolist()
    assert one.band_db.tolist() == again.band_db.tolist()
    assert one.figures["q"].values.tolist() != other.figures["q"].values.tolist()


def test_every_cause_has_a_name_of_its_own():
    drawn = draw(BASS, inputs_of(BASS, BASS.positions), 400)
    assert len(set(drawn.causes)) == len(drawn.causes)
    amplifier = next(i for i in drawn.factors if i.key == "amplifier_resistance")
    shares = drawn.shares(drawn.factors[amplifier])
    assert next(iter(shares)) == "the amplifier's input resistance"
    assert shares["the amplifier's input resistance"] > 0.9


@pytest.mark.parametrize("share", [-0.1, 1.5, np.nan])
def test_a_batch_shares_between_nothing_and_all(share):
    with pytest.raises(InputError, match="batch_share"):
        draw(BASS, inputs_of(BASS, [NECK]), 20, batch_share=share)


def test_blocks_do_not_change_the_result(monkeypatch):
    whole = scatter(BASS, "neck", samples=50)
    monkeypatch.setattr(blocks, "SETS", 7)
    told = []
    cut = scatter(BASS, "neck", samples=50, progress=told.append)
    assert told == [7] * 7 + [1]
    np.testing.assert_allclose(cut.band_db, whole.band_db, rtol=0, atol=1e-12)


def test_blocks_keep_their_order_and_size():
    largest = []

    def measure(rows):
        largest.append(rows.stop - rows.start)
        return np.arange(rows.start, rows.stop)

    assert in_blocks(measure, 1000).tolist() == list(range(1000))
    assert max(largest) <= blocks.SETS


def test_drawn_parts_have_the_spread_that_was_asked_for():
    inputs = inputs_of(BASS, [NECK])
    drawn = draw(BASS, inputs, 4000, seed=2)
    for which, factor in drawn.factors.items():
        inside = np.abs(np.log(factor)) <= np.log1p(which.fraction)
        assert inside.mean() == pytest.approx(0.954, abs=0.015), which.label
        assert np.median(factor) == pytest.approx(1, abs=0.01)


@pytest.mark.parametrize(("share", "correlation"), [(0.0, 0.0), (0.5, 0.5), (1.0, 1.0)])
def test_tracks_of_one_marking_are_off_together(share, correlation):
    inputs = inputs_of(BASS, [NECK])
    volume, tone = (i for i in inputs if i.key == "track")
    factors = draw(BASS, inputs, 4000, batch_share=share).factors
    found = np.corrcoef(np.log(factors[volume]), np.log(factors[tone]))[0, 1]
    assert found == pytest.approx(correlation, abs=0.03)


def test_tracks_of_different_markings_are_no_batch():
    volume, *rest = BASS.controls
    mixed = replace(BASS, controls=(replace(volume, track="500 kohm"), *rest))
    causes = draw(mixed, inputs_of(mixed, [NECK]), 10).causes
    assert not any("batch" in cause for cause in causes)
    assert "the batch of 250 kΩ tracks" in draw(BASS, inputs_of(BASS, [NECK]), 10).causes


def test_shares_of_a_sum_are_the_squares_of_its_terms():
    drawn = draw(BASS, inputs_of(BASS, [NECK]), 500)
    first, second = drawn.normals[:, 0], drawn.normals[:, 1]
    shares = drawn.shares(3 * first + 4 * second + 7)
    assert list(shares)[:2] == list(drawn.causes[1::-1])
    assert list(shares.values())[:2] == pytest.approx([16 / 25, 9 / 25])
    assert sum(shares.values()) == pytest.approx(1)
    assert drawn.shares(np.full(500, 2.0)) == {}
    assert drawn.shares(np.full(500, np.nan)) == {}


def test_bands_and_spread_agree_with_the_one_at_a_time_estimate():
    """For small deviations both are the same straight line."""
    small = [replace(i, fraction=i.fraction / 20) for i in inputs_of(BASS, [NECK])]
    found = scatter(BASS, "neck", samples=3000, inputs=small, batch_share=0.0)
    steps = 1 + np.diag([i.fraction for i in small])
    moved = figures(varied(BASS, dict(zip(small, steps, strict=True))), NECK)
    nominal = figures(BASS, NECK)
    for figure in ("peak_frequency", "q"):
        s = found.figures[figure]
        expected = np.sqrt(np.sum((moved[figure] - nominal[figure]) ** 2))
        assert (s.high - s.low) / 2 == pytest.approx(expected, rel=0.05)
        assert sum(s.shares.values()) == pytest.approx(1, abs=0.01)
    assert found.figures["q"].middle == pytest.approx(nominal["q"][0], rel=1e-3)
    low, mid, high = found.band_db
    assert np.all(low <= mid) and np.all(mid <= high)


@pytest.mark.parametrize("samples", [1, 10**9])
def test_numbers_of_samples_have_bounds(samples):
    with pytest.raises(InputError, match="samples"):
        scatter(BASS, "neck", samples=samples)
