"""The ranking and its chances against ngspice: the same circuits, and its own random draws."""

from __future__ import annotations

import re
import subprocess
from functools import cache

import numpy as np
import pytest
from scipy.stats import ks_2samp

from pickupcalc.answers.pots.aims import Height
from pickupcalc.answers.pots.bypass import with_bypass
from pickupcalc.answers.pots.candidates import made, usual_capacitors
from pickupcalc.answers.pots.judging import Study
from pickupcalc.answers.pots.ranking import rank
from pickupcalc.answers.pots.scatter import scatter
from pickupcalc.answers.response import signal_emf
from pickupcalc.answers.tolerance import inputs_of
from pickupcalc.instrument.harness import circuit
from pickupcalc.instrument.jobfile import read_job
from pickupcalc.instrument.netlist import spice_deck
from pickupcalc.instrument.turning import turned
from tests.conftest import ROOT
from tests.outside.spice import needs_ngspice, run_deck

pytestmark = needs_ngspice
SUBJECT = "pots and capacitors"
SPICE = {"source": "ngspice", "status": "another program"}
BASS = read_job(ROOT / "data" / "bass_12.toml").instrument
BARITONE = read_job(ROOT / "data" / "baritone_5.toml").instrument


def spice_response(instrument, position, folder):
    """Frequencies from 20 Hz and magnitudes."""
    deck = spice_deck(circuit(instrument, position), signal_emf(instrument, position), points_per_decade=400)
    hertz, voltage = run_deck(deck, folder)
    return hertz, np.abs(voltage)


def level_at(hertz, magnitude, frequency):
    return 20 * np.log10(np.interp(np.log(frequency), np.log(hertz), magnitude))


@cache
def ranking(which):
    instrument, name = {"bass": (BASS, "neck"), "baritone": (BARITONE, "2 neck and middle")}[which]
    position = instrument.position(name)
    candidates = made(instrument, [position], across=True, tracks=["250k", "500k"])
    return position, rank(candidates, [Height(2, 4)], [position], top=10, study=Study(samples=10))


@pytest.mark.parametrize("row", [0, 3, 9])
@pytest.mark.parametrize("which", ["bass", "baritone"])
def test_a_sample_of_the_ranking(which, row, tmp_path, outside):
    """Peak, height, level, treble at half volume and the second peak, as ngspice has them."""
    position, found = ranking(which)
    choice = found.choices[row]
    (outlook,) = choice.positions
    hertz, up = spice_response(turned(choice.instrument), position, tmp_path)
    low = level_at(hertz, up, 100.0)
    outside("level of a ranked choice", ours=outlook.level_db, theirs=low, db=5e-6, unit="dB", **SPICE)
    height = 20 * np.log10(up.max()) - low
    outside(
        "height of the peak of a ranked choice",
        ours=outlook.peak_height_db,
        theirs=height,
        db=5e-4,
        unit="dB",
        **SPICE,
    )
    at = hertz[up.argmax()]
    outside(
        "frequency of the peak of a ranked choice, on ngspice's grid",
        ours=outlook.peak_frequency.m,
        theirs=at,
        rtol=4e-3,
        unit="Hz",
        **SPICE,
    )
    hertz, half = spice_response(turned(choice.instrument, volume=0.5), position, tmp_path)
    tilt = [level_at(hertz, m, 5000.0) - level_at(hertz, m, 100.0) for m in (half, up)]
    treble = tilt[0] - tilt[1]
    outside(
        "treble left at half volume", ours=outlook.treble_db[0.5], theirs=treble, db=5e-4, unit="dB", **SPICE
    )
    hertz, down = spice_response(turned(choice.instrument, tone=0.0), position, tmp_path)
    at = hertz[down.argmax()]
    outside(
        "peak with the tone control down",
        ours=outlook.tone_down_frequency.m,
        theirs=at,
        rtol=4e-3,
        unit="Hz",
        **SPICE,
    )


def test_bypass_parts(tmp_path, outside):
    position = BASS.position("neck")
    choice = rank(made(BASS, [position]), [Height(2, 4)], [position], top=1, study=Study(samples=10)).choices[
        0
    ]
    aided = with_bypass(choice.instrument, choice.bypass.best.bypass)
    tilts = []
    for volume in (1.0, 0.25):
        hertz, magnitude = spice_response(turned(aided, volume=volume), position, tmp_path)
        tilts.append(level_at(hertz, magnitude, 5000.0) - level_at(hertz, magnitude, 100.0))
    ours, theirs = choice.positions[0].treble_bypassed_db[0.25], tilts[1] - tilts[0]
    outside(
        "treble left at low volume with bypass parts", ours=ours, theirs=theirs, db=5e-4, unit="dB", **SPICE
    )


def test_tone_capacitors_of_the_shop(tmp_path, outside):
    """Second peaks of all E6 values at once are those of single decks."""
    position = BASS.position("neck")
    candidates = made(BASS, [position], tracks=["250k"], capacitors=usual_capacitors())
    found = rank(candidates, [Height(0, 9)], [position], top=13, study=Study(samples=10)).choices
    assert len(found) == 13
    for choice in found[::4]:
        hertz, down = spice_response(turned(choice.instrument, tone=0.0), position, tmp_path)
        ours, theirs = choice.positions[0].tone_down_frequency.m, hertz[down.argmax()]
        outside("peak with each tone capacitor", ours=ours, theirs=theirs, rtol=4e-3, unit="Hz", **SPICE)


SAMPLES = 700


def spice_monte_carlo(share, folder):
    """Heights and frequencies of the peak over ngspice's own draws of the bass's neck position.

    The elements of the deck are found by their values, so the deck is altered as a
    person would alter it: pickup, its losses, the two tracks of one batch, cable.
    """
    position = BASS.position("neck")
    up = turned(BASS)
    network = circuit(up, position)
    deck = spice_deck(network, signal_emf(up, position))
    fractions = {i.label: i.fraction for i in inputs_of(up, [position])}
    number = {b.name: i for i, b in enumerate(network.branches, 1)}
    by_name = {b.name: b for b in network.branches}
    plan = [
        ("R", "neck", "resistance", "neck's resistance", False),
        ("L", "neck", "inductance", "neck's inductance", False),
        ("C", "neck: own capacitance", "capacitance", "neck's capacitance", False),
        ("R", "neck: losses", "resistance", "neck's loss resistance", False),
        ("R", "neck volume: below wiper", "resistance", "neck volume's track", True),
        ("R", "tone", "resistance", "tone's track", True),
        ("C", "tone", "capacitance", "tone's capacitor", False),
        ("C", "cable", "capacitance", "the cable's capacitance", False),
        ("R", "amplifier", "resistance", "the amplifier's input resistance", False),
    ]
    own, common = np.sqrt(1 - share), np.sqrt(share)
    alters = []
    for letter, name, key, label, batched in plan:
        nominal = float(np.asarray(getattr(by_name[name], key)))
        sigma = np.log1p(fractions[label]) / 2
        normal = f"({own}*sgauss(0)+{common}*zb)" if batched else "sgauss(0)"
        alters.append(f"alter {letter}{number[name]} = {nominal:.12g}*exp({sigma:.12g}*{normal})")
    loop = [
        "setseed 11",
        f"repeat {SAMPLES}",
        "let zb = sgauss(0)",
        *alters,
        "ac dec 500 100 10k",
        "let m = mag(v(tip))",
        "meas ac top max_at m",
        "let h = 20*log10(vecmax(m)/m[0])",
        'echo "drawn $&h $&top"',
        "destroy all",
        "end",
    ]
    kept = [line for line in deck.splitlines() if not line.startswith((".print", ".end", ".ac"))]
    (folder / "draws.cir").write_text("\n".join([*kept, ".control", *loop, ".endc", ".end", ""]))
    done = subprocess.run(
        ["ngspice", "-b", "draws.cir"], cwd=folder, capture_output=True, text=True, timeout=120, check=False
    )
    drawn = re.findall(r"^drawn (\S+) (\S+)", done.stdout, re.MULTILINE)
    assert len(drawn) == SAMPLES, done.stdout[-2000:] + done.stderr[-2000:]
    return np.array(drawn, dtype=float).T


@pytest.mark.parametrize("share", [0.0, 0.8])
def test_the_spread_is_that_of_the_simulators_own_draws(share, tmp_path, outside):
    """Two samples of one distribution (Kolmogorov-Smirnov), with parts of a batch together and not."""
    heights, frequencies = spice_monte_carlo(share, tmp_path)
    figures = scatter(turned(BASS), "neck", samples=3000, seed=5, batch_share=share).figures
    chances = [
        ks_2samp(figures["peak_height_db"].values, heights).pvalue,
        ks_2samp(figures["peak_frequency"].values, frequencies).pvalue,
    ]
    outside(
        "spread of the peak over real parts: chance that equal ones look as different",
        source="draws of ngspice's own",
        status="another program",
        ours=chances,
        between=(0.02, None),
    )
    # The test can tell: with the other correlation the heights would not have passed.
    wrong = scatter(turned(BASS), "neck", samples=3000, seed=5, batch_share=0.8 - share).figures
    assert ks_2samp(wrong["peak_height_db"].values, heights).pvalue < 0.02
