"""The string over pickups, the sign rule by sympy, the eight rows and their answers."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from pickupcalc.answers.polarity.apprentice import SIGN_TABLE, State, check, pair_sound, string_over
from pickupcalc.answers.polarity.sign_rule import derive
from pickupcalc.parts.pickup import Pickup


def test_the_table_is_that_of_the_pickup():
    assert len(SIGN_TABLE) == 8
    for row in SIGN_TABLE:
        read = {"magnet": row.magnet, "winding": row.winding, "hot": row.hot}
        pickup = Pickup(name="a", resistance="6 kohm", inductance="2 H", **read)
        assert (row.signal, row.hum) == (pickup.signal_sign, pickup.hum_sign)


def test_the_rule_by_sympy():
    rule = derive()
    m, w, c = (rule.symbols[k] for k in "mwc")
    assert rule.signal_sign == m * w * c
    assert rule.hum_sign == w * c
    sentences = [s for s, _ in rule.steps()]
    assert len(sentences) == 5 and all(sentences)
    for row in SIGN_TABLE:
        values = {
            m: 1 if row.magnet == "north" else -1,
            w: 1 if row.winding == "counter-clockwise" else -1,
            c: 1 if row.hot == "finish" else -1,
        }
        assert rule.signal_sign.subs(values) == row.signal
        assert rule.hum_sign.subs(values) == row.hum


@pytest.mark.parametrize("row", SIGN_TABLE, ids=str)
def test_the_moving_string_obeys_the_rule(row):
    """While the string leaves the pole the hot lead has the sign of s."""
    found = string_over(row.state)
    leaving = np.gradient(found.height.m) > 1e-7
    assert np.all(np.sign(found.signal.m[0][leaving]) == row.signal)
    field = np.cos(2 * np.pi * 50 * found.time.m)
    falling = np.gradient(field) < -1e-3
    assert np.all(np.sign(found.hum.m[0][falling]) == row.hum)


def test_voltage_is_minus_the_rate_of_flux():
    found = string_over(State())
    rate = np.gradient(found.flux.m[0], found.time.m)
    assert found.signal.m[0][1:-1] == pytest.approx(-8000 * rate[1:-1], abs=2e-5)


@pytest.mark.parametrize("row", SIGN_TABLE, ids=str)
def test_answers(row):
    assert check(row, row.signal, row.hum).right
    for signal, hum in product((1, -1), (1, -1)):
        answer = check(row, signal, hum)
        assert answer.right == ((signal, hum) == (row.signal, row.hum))
        assert ("signal:" in answer.why) == (signal != row.signal)
        assert ("hum:" in answer.why) == (hum != row.hum)


def test_a_wrong_answer_explains_itself():
    south = next(r for r in SIGN_TABLE if str(r) == "south up, wound counter-clockwise, finish is hot")
    told = check(south, 1, 1).why
    assert "the magnet's flux runs downward" in told
    assert "a south pole turns the signal over" in told
    assert "the magnet has no say" in check(south, -1, -1).why


@pytest.mark.parametrize(
    ("second", "signal", "hum"),
    [
        (State(), 1, 1),
        (State("south"), 0, 1),
        (State(hot="start"), 0, 0),
        (State("south", hot="start"), 1, 0),
        (State("south", "clockwise"), 1, 0),
        (State(winding="clockwise", hot="start"), 1, 1),
    ],
)
def test_two_pickups(second, signal, hum):
    found = string_over(State(), second)
    assert found.left() == pytest.approx((signal, hum), abs=1e-9)
    assert ("In phase" in found.words()) == bool(signal)
    assert ("hum adds" in found.words()) == bool(hum)
    heard = np.sqrt(np.mean(pair_sound(State(), second, what="hum") ** 2))
    assert (heard > 0.01) == bool(hum)
    full = np.sqrt(np.mean(pair_sound(State(), State()) ** 2))
    assert (np.sqrt(np.mean(pair_sound(State(), second) ** 2)) > 0.9 * full) == bool(signal)


def test_sounds_fit_full_scale():
    for what in ("signal", "hum"):
        assert np.abs(pair_sound(State(), State(), what=what)).max() < 1
