"""From candidates to a ranking, its chances, and the job file."""

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest

from pickupcalc.answers.pots.aims import Flat, Height, Keep, ToneDown
from pickupcalc.answers.pots.bypass import WAYS, best_bypass, with_bypass
from pickupcalc.answers.pots.candidates import from_drawer, made, usual_capacitors
from pickupcalc.answers.pots.drawer_tricks import against_marking, resistor_across
from pickupcalc.answers.pots.fitting import changed_job, fitted, into_job, short
from pickupcalc.answers.pots.judging import Study
from pickupcalc.answers.pots.ranking import rank
from pickupcalc.answers.pots.shape import distance_db, levels_db, resonance
from pickupcalc.answers.tolerance import inputs_of
from pickupcalc.errors import InputError
from pickupcalc.instrument.jobfile import parse_job, read_job
from pickupcalc.instrument.turning import turned
from pickupcalc.parts.controls import Bypass
from pickupcalc.parts.drawer import Drawer, TrackPiece
from pickupcalc.parts.preferred import significands
from pickupcalc.show.pots import ranking_text
from pickupcalc.units import quantity
from tests.conftest import ROOT

JOB = read_job(ROOT / "data" / "bass_12.toml")
BASS = JOB.instrument
NECK = BASS.position("neck")


def test_made_parts_fill_what_serves_the_positions():
    neck = made(BASS, [NECK])
    assert neck.filled == {0, 2}  # not the bridge's volume
    assert neck.count == 7 * 7
    everywhere = made(BASS, BASS.positions, tracks=["250k", "500k"], capacitors=["22n", "47n", "100n"])
    assert everywhere.filled == {0, 1, 2} and everywhere.count == 2 * 2 * 3
    volumes = [(i.controls[0].track, i.controls[1].track) for i in map(everywhere.chosen, range(12))]
    assert all(a == b for a, b in volumes)


def test_sets_and_single_choices_are_the_same_instruments():
    candidates = made(BASS, [NECK], tracks=["250k"], across=True, capacitors=["10n", "22n"])
    rows = slice(0, candidates.count)
    together = turned(candidates.fitted(rows))
    heights = resonance(together, NECK).height_db
    for row in (0, 1, 17, candidates.count - 1):
        alone = resonance(turned(candidates.chosen(row)), NECK).height_db
        assert heights[row] == pytest.approx(alone[0], abs=1e-6)


def test_each_piece_of_the_drawer_is_used_once():
    drawer = Drawer(tracks=["236k", "251k", "480k", "262k"], capacitors=["21 nF", "45 nF"])
    candidates = from_drawer(BASS, BASS.positions, drawer)
    assert candidates.count == len(list(permutations(range(4), 3))) * 2
    for row in range(candidates.count):
        tracks = [c.track.m for c in candidates.chosen(row).controls]
        assert len(set(tracks)) == 3


def test_a_resistor_of_the_drawer_is_used_once_too():
    drawer = Drawer(tracks=["500k", "510k"], resistors=["470k"])
    candidates = from_drawer(BASS, [NECK], drawer, across=True)
    across = [
        [c.resistor_across for c in candidates.chosen(row).controls if c.resistor_across is not None]
        for row in range(candidates.count)
    ]
    assert {len(a) for a in across} == {0, 1}


def test_a_measured_piece_is_surer_than_a_marking():
    inputs = inputs_of(BASS, [NECK])
    fractions = {
        name: {u.fraction for u in candidates.surer(0, inputs) if u.key == "track"}
        for name, candidates in {
            "marked": made(BASS, [NECK]),
            "told": made(BASS, [NECK], track_fraction=0.1),
            "measured": from_drawer(BASS, [NECK], Drawer(tracks=["236k", "251k"])),
        }.items()
    }
    assert fractions == {"marked": {0.2}, "told": {0.1}, "measured": {0.01}}


def test_a_piece_with_a_taper_brings_it():
    drawer = Drawer(tracks=[{"reads": "236k", "taper": "linear"}, "251k"])
    taper = from_drawer(BASS, [NECK], drawer).chosen(0).controls[0].taper
    assert taper.percent_at_half == 50


@pytest.mark.parametrize(
    ("drawer", "told"),
    [
        (Drawer(tracks=["250k"]), "holds 1 pots for 2 controls"),
        (Drawer(), "holds 0 pots"),
    ],
)
def test_a_drawer_too_small(drawer, told):
    with pytest.raises(InputError, match=told):
        from_drawer(BASS, [NECK], drawer)


def test_too_many_combinations_are_refused():
    with pytest.raises(InputError, match="combinations, above 200,000"):
        made(BASS, [NECK], across=True, capacitors=usual_capacitors())
    with pytest.raises(InputError, match="empty"):
        made(BASS, [NECK], tracks=[])
    with pytest.raises(InputError, match="no volume or tone"):
        made(replace(BASS, controls=()), [NECK])


def test_the_ranking_is_the_order_of_the_misses():
    found = rank(made(BASS, [NECK]), [Height(2, 3)], [NECK], top=6, study=Study(samples=50))
    missed = [c.miss_db for c in found.choices]
    assert missed == sorted(missed) and found.considered == 49
    for choice in found.choices:
        height = resonance(turned(choice.instrument), NECK).height_db[0]
        assert choice.miss_db == pytest.approx(max(2 - height, height - 3, 0), abs=1e-9)
        assert choice.positions[0].peak_height_db == pytest.approx(height)
    middles = [abs(c.positions[0].peak_height_db - 2.5) for c in found.choices if c.miss_db == 0]
    assert middles == sorted(middles)


def test_a_resistor_has_to_pay_for_itself():
    plain = rank(made(BASS, [NECK]), [Height(2, 4)], [NECK], top=1, study=Study(samples=20)).choices[0]
    with_resistors = made(BASS, [NECK], across=True, tracks=["250k", "300k"])
    assert sorted(set(with_resistors.resistors)) == [0, 1, 2]
    best = rank(with_resistors, [Height(2, 4)], [NECK], top=1, study=Study(samples=20)).choices[0]
    assert [f.text for f in best.fitted] == [f.text for f in plain.fitted]
    flat = rank(with_resistors, [Flat()], [NECK], top=1, study=Study(samples=20)).choices[0]
    assert any(f.resistor_across is not None for f in flat.fitted)


def test_one_set_of_pots_for_all_positions():
    """The best for both pickups lies between what is best for each."""
    both = [BASS.position("neck"), BASS.position("bridge")]
    found = rank(made(BASS, both), [Flat()], both, top=1, study=Study(samples=50)).choices[0]
    assert len(found.positions) == 2
    alone = [
        rank(made(BASS, [p]), [Flat()], [p], top=1, study=Study(samples=50)).choices[0].miss_db for p in both
    ]
    assert found.miss_db >= np.sqrt(np.mean(np.square(alone))) - 1e-9


def test_keep_prefers_what_is_fitted_already():
    found = rank(made(BASS, [NECK]), [Keep.of(BASS)], [NECK], top=1, study=Study(samples=50)).choices[0]
    assert found.miss_db == pytest.approx(0, abs=1e-9)
    assert [c.track.m for c in found.instrument.controls] == [250e3] * 3


def test_chances_are_seeded_and_grow_with_the_tolerance_taken_away():
    def chance(fraction, seed=1):
        candidates = made(BASS, [NECK], tracks=["250k"], track_fraction=fraction)
        choice = rank(candidates, [Height(2.2, 3.0)], [NECK], study=Study(samples=400, seed=seed)).choices[0]
        return choice.chance, choice.dominated_by

    sure, unsure = chance(0.01), chance(0.3)
    assert sure[0] > unsure[0] > 0
    assert unsure[1] == "the batch of 250 kΩ tracks"
    assert chance(0.3) == unsure and chance(0.3, seed=2) != unsure


def test_progress_counts_up_to_the_whole():
    told = []
    rank(
        made(BASS, [NECK]),
        [Flat()],
        [NECK],
        top=2,
        study=Study(samples=300),
        progress=lambda *x: told.append(x),
    )
    assert told[-1] == (49 + 600, 49 + 600)
    assert told == sorted(told)


def test_volume_down_with_and_without_bypass_parts():
    choice = rank(made(BASS, [NECK]), [Height(2, 4)], [NECK], top=1, study=Study(samples=20)).choices[0]
    (neck,) = choice.positions
    assert list(neck.treble_db) == [0.75, 0.5, 0.25]
    assert neck.treble_db[0.25] < neck.treble_db[0.5] < neck.treble_db[0.75] < 0
    assert neck.treble_bypassed_db[0.5] > neck.treble_db[0.5]
    assert choice.bypass.best.left_db < choice.bypass.without_db
    own = replace(BASS.controls[0], bypass=Bypass(capacitor="10 nF"))
    fitted_already = replace(BASS, controls=(own, *BASS.controls[1:]))
    told = rank(made(fitted_already, [NECK]), [Height(2, 4)], [NECK], top=1, study=Study(samples=20)).choices[
        0
    ]
    assert told.positions[0].treble_db == neck.treble_db
    assert told.positions[0].treble_bypassed_db != neck.treble_bypassed_db


def test_the_words_tell_own_bypass_parts_from_advised_ones():
    aims = [Height(2, 4)]
    bare = rank(made(BASS, [NECK]), aims, [NECK], top=1, study=Study(samples=20))
    assert "Aided: 1.0 nF from each volume's end lug to its wiper." in ranking_text(bare)
    own = with_bypass(BASS, Bypass(capacitor="10 nF"))
    aided = rank(made(own, [NECK]), aims, [NECK], top=1, study=Study(samples=20))
    assert "Aided: by the bypass parts there are. Best would be 1.0 nF" in ranking_text(aided)


def test_numbers_out_of_range_are_refused():
    candidates = made(BASS, [NECK], tracks=["250k"])
    with pytest.raises(InputError, match="top"):
        rank(candidates, [Flat()], [NECK], top=0)
    for key, value in (("within", 0.0), ("samples", 1), ("seed", -1)):
        with pytest.raises(InputError, match=key):
            Study(**{key: value})
    with pytest.raises(InputError, match="aim"):
        rank(candidates, [], [NECK])


def test_bypass_parts_are_the_best_of_their_series():
    """No neighbour in E12 and E24 does better, and the snapped value is near the optimum."""
    advice = best_bypass(BASS, [NECK])
    assert {c.way for c in advice.choices} == set(WAYS)
    down = turned(BASS, volume=0.5)
    full = levels_db(turned(BASS), NECK)

    def left(bypass):
        return distance_db(levels_db(with_bypass(down, bypass), NECK), full)[0]

    assert advice.without_db == pytest.approx(left(None))
    alone = next(c for c in advice.choices if c.way == "capacitor alone")
    assert alone.left_db == pytest.approx(left(alone.bypass))
    decade = np.concatenate([significands("E12") * 10.0**e for e in range(-11, -8)])
    assert min(left(Bypass(capacitor=quantity(c, "farad"))) for c in decade) == pytest.approx(alone.left_db)
    assert 0 <= alone.left_db - alone.ideal_db < 0.1
    with pytest.raises(InputError, match="rotation"):
        best_bypass(BASS, [NECK], rotation=1.0)
    with pytest.raises(InputError, match="no volume"):
        best_bypass(replace(BASS, controls=()), [NECK])


def test_a_resistor_across():
    found = resistor_across("500 kohm", "250 kohm")
    assert found.resistor.m == 510e3 and found.acts_as.m == pytest.approx(252475.2, abs=0.1)
    with pytest.raises(InputError, match="below the track"):
        resistor_across("250 kohm", "500 kohm")


def test_a_track_below_its_marking_lowers_the_peak():
    pieces = [TrackPiece(marked="250k", reads="205k"), TrackPiece(reads="236k")]
    found = against_marking(BASS, NECK, pieces)
    assert [r.control for r in found] == ["neck volume", "tone"]
    assert all(r.height_change_db < -0.3 for r in found)
    assert "Marked 250 kΩ, reads 205 kΩ" in found[0].sentence
    assert against_marking(BASS, NECK, pieces[1:]) == []


def test_the_choice_goes_into_the_job_file_and_nothing_else_changes(tmp_path):
    path = tmp_path / "job.toml"
    path.write_text((ROOT / "data" / "bass_12.toml").read_text(encoding="utf-8"), encoding="utf-8")
    job = read_job(path)
    candidates = made(BASS, [NECK], tracks=["500k"], across=True, capacitors=["33n"])
    choice = rank(candidates, [Height(2, 3)], [NECK], top=1, study=Study(samples=20)).choices[0]
    into_job(job, choice.fitted).save()
    again = read_job(path)
    assert [f.text for f in fitted(again.instrument, {0, 2})] == [f.text for f in choice.fitted]
    before, after = (p.splitlines() for p in (JOB.path.read_text("utf-8"), path.read_text("utf-8")))
    kept = [line for line in before if line in after]
    assert [line for line in before if line not in kept] == ['capacitor = "47 nF"']
    assert 'fed_at = "wiper"                # so that one turned down does not silence the other' in after
    into_job(again, fitted(BASS, {0, 2})).save()
    assert path.read_text("utf-8") == JOB.path.read_text("utf-8")


def test_spelling_of_a_value_that_stays_is_kept():
    text = JOB.path.read_text("utf-8").replace('"47 nF"', '"47n"  # film')
    job = parse_job(text, JOB.path)
    same = into_job(job, fitted(job.instrument))
    assert same.document.as_string() == text


def test_changes_before_a_choice():
    changed = changed_job(JOB, cable_length="6 m", cable_capacitance="90 pF/m", tone_capacitor="22 nF")
    assert changed.instrument.load.cable.m == pytest.approx(540e-12)
    assert len(changed.instrument.controls) == 4
    assert changed_job(JOB).document.as_string() == JOB.document.as_string()
    with pytest.raises(InputError, match="cable_length"):
        changed_job(JOB, cable_length="6")


def test_capacitors_are_chosen_by_the_second_peak():
    found = rank(
        made(BASS, [NECK], tracks=["250k"], capacitors=usual_capacitors()),
        [ToneDown("800 Hz")],
        [NECK],
        top=1,
        study=Study(samples=20),
    ).choices[0]
    assert found.positions[0].tone_down_frequency.m == pytest.approx(800, rel=0.15)
    assert found.miss_db < 3


@pytest.mark.parametrize(("value", "shown"), [(250e3, "250 kΩ"), (236_400, "236.4 kΩ"), (4700, "4.7 kΩ")])
def test_values_are_short(value, shown):
    assert short(value, "Ω") == shown
