"""Margins are set by hand, so no title or label may stick out of its picture."""

from __future__ import annotations

import pytest

import pickupcalc as pc
from pickupcalc.answers.hum.chance import chance_of_quiet
from pickupcalc.answers.magnet.at_strings import at_string
from pickupcalc.answers.magnet.compass import compass
from pickupcalc.answers.magnet.field_map import field_map
from pickupcalc.answers.magnet.reversal import reversal
from pickupcalc.answers.magnet.warming import warming
from pickupcalc.answers.measurement.rehearsal import rehearse_hum, rehearse_sweep
from pickupcalc.answers.measurement.sound_card import Bench
from pickupcalc.answers.polarity.apprentice import State, string_over
from pickupcalc.answers.polarity.truth import truth
from pickupcalc.answers.pots.scatter import scatter
from pickupcalc.answers.sound.notches import fret_map
from pickupcalc.parts.jig import Blocks
from pickupcalc.parts.magnets import Rods, TwinCoil
from pickupcalc.parts.strings import String
from pickupcalc.show import magnet_figures, measure_plots, polarity_drawing, sound
from pickupcalc.show.plots import comparison_figure, responses_figure
from pickupcalc.show.pots import tolerance_figure
from pickupcalc.show.string_drawing import string_figure
from tests.conftest import ROOT

PARTS = (6100.0, 2.45, 110e-12, 1.2e6)


@pytest.fixture(scope="module")
def bass():
    return pc.read_job(ROOT / "data" / "bass_12.toml").instrument


def inside(figure):
    box, (width, height) = figure.get_tightbbox(), figure.get_size_inches()
    return box.x0 >= 0 and box.y0 >= 0 and box.x1 <= width and box.y1 <= height


def test_responses(bass):
    curves = [pc.response(bass, p.name) for p in bass.positions]
    assert inside(responses_figure(curves, height=3.2))
    assert inside(comparison_figure([(curves[0], curves[1])]))
    assert inside(tolerance_figure([scatter(bass, "both", samples=20)], curves))


def test_polarity(bass):
    both = bass.position("both")
    assert inside(polarity_drawing.polarity_figure(truth(bass, both)))
    assert inside(polarity_drawing.quiet_figure(truth(bass, both), chance_of_quiet(bass, "both")))
    assert inside(string_figure(string_over(State(), State()), 0.3))


def test_sounds(bass):
    comb = fret_map(bass, "both", 0, frets=21, partials=20)
    heard = [pc.sound(bass, p.name) for p in bass.positions]
    assert inside(sound.sound_figure(heard, comb, 0, 3))
    assert inside(sound.small_spectrum(heard[0]))


def test_readings(bass):
    assert inside(measure_plots.meter_figure(bass.pickups[0]))
    assert inside(measure_plots.impedance_figure(rehearse_sweep(PARTS, Bench(resistor="10 kohm"), seconds=1)))
    assert inside(measure_plots.hum_figure(rehearse_hum(0.02, 0.001)))


def test_magnets():
    rods, jig = Rods(), Blocks()
    string = String(note="G3", gauge="0.43 mm")
    names = ["alnico 5 rods, each 2nd turned", "twin coil, alnico 5 bar"]
    felt = [at_string(magnets, string) for magnets in (rods, TwinCoil())]
    left = field_map(rods, "after the jig", jig=jig)
    assert inside(magnet_figures.reversal_figure(left, reversal(rods, jig)))
    assert inside(magnet_figures.compass_figure(compass(rods)))
    assert inside(magnet_figures.warming_figure(warming(rods, "60 degC")))
    assert inside(magnet_figures.strings_figure(names, felt))
