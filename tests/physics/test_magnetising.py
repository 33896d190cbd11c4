"""The switching model: what it promises, and its limits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.special import elliprf, elliprj

from pickupcalc.physics.magnetism.assembly import Assembly
from pickupcalc.physics.magnetism.magnetising import SATURATED, Strength, Work
from pickupcalc.physics.magnetism.magnets import cel
from pickupcalc.physics.magnetism.pieces import rods

ALNICO = Strength(remanence=1.27, coercivity=52e3, saturating=240e3, knee=0.81, recoil=3.6)


def one_rod(strength=ALNICO, slices=4):
    rod = rods([(0.0, 0.0)], bottom=-0.017, top=0.0, radius=0.0024, slices=slices)
    n = rod.count
    return Work(Assembly((rod,)), strength, np.ones(n, dtype=bool), np.ones(n), np.zeros(n))


@given(kc=st.floats(1e-3, 5), p=st.floats(1e-3, 5), c=st.floats(-3, 3), s=st.floats(-3, 3))
def test_cel_is_carlsons_integral(kc, p, c, s):
    """B. C. Carlson's symmetric forms, as SciPy has them."""
    ours = cel(*(np.array([v]) for v in (kc, p, c, s)))[0]
    theirs = c * elliprf(0, kc * kc, 1) + (s - p * c) / 3 * elliprj(0, kc * kc, 1, p)
    assert ours == pytest.approx(theirs, rel=1e-9, abs=1e-9)


def test_strength_meets_its_data_sheet():
    s = ALNICO
    assert s.polarisation(np.array(0.0)) == pytest.approx(s.remanence)
    assert s.polarisation(np.array(-s.coercivity)) == pytest.approx(0, abs=1e-9)
    assert s.turned(np.array(s.saturating)) == pytest.approx(SATURATED)


@settings(max_examples=40)
@given(
    field=st.floats(1.0, 1e6),
    hcj=st.floats(3e4, 2e6),
    times=st.floats(2.0, 6.0),
    knee=st.floats(0.3, 0.95),
    recoil=st.floats(1.0, 4.0),
)
def test_turned_share_grows_with_the_field(field, hcj, times, knee, recoil):
    s = Strength(remanence=1.2, coercivity=hcj, saturating=times * hcj, knee=knee, recoil=recoil)
    assume(s.chi * hcj < 0.9 * s.permanent)
    lower, higher = s.turned(np.array([field, 1.1 * field]))
    assert 0 <= lower <= higher <= 1
    step = 1e-4 * field
    numeric = (s.turned(np.array(field + step)) - s.turned(np.array(field - step))) / (2 * step)
    if abs(field / s._middle - 1) > 1e-3:
        assert s.slope(np.array(field)) == pytest.approx(numeric, rel=1e-3, abs=1e-12)


def test_without_a_jig_nothing_changes():
    work = one_rod()
    before = work.as_it_lies()
    after = work.afterwards(work.in_the_jig(np.zeros(4)))
    assert after.magnetisation == pytest.approx(before.magnetisation, rel=1e-6)


def test_a_field_along_the_magnet_only_helps():
    work = one_rod()
    before, after = work.as_it_lies(), work.afterwards(work.in_the_jig(np.full(4, 3e5)))
    assert np.all(after.magnetisation >= before.magnetisation - 1e-3)


def test_a_huge_field_turns_it_wholly():
    work = one_rod()
    before = work.as_it_lies()
    after = work.afterwards(work.in_the_jig(np.full(4, -1e7)))
    assert after.magnetisation == pytest.approx(-before.magnetisation, rel=1e-3)


def test_more_field_never_turns_less():
    work = one_rod()
    left = [
        work.afterwards(work.in_the_jig(np.full(4, -h))).magnetisation.sum() for h in np.linspace(0, 6e5, 25)
    ]
    assert np.all(np.diff(left) <= 1e-3)


def test_a_middle_field_leaves_it_weak_either_way():
    """Between nothing and everything there is a field that demagnetises."""
    work = one_rod()
    before = work.as_it_lies().magnetisation.sum()
    fields = np.linspace(4e4, 2e5, 60)
    left = [work.afterwards(work.in_the_jig(np.full(4, -h))).magnetisation.sum() for h in fields]
    assert min(abs(v) for v in left) < 0.05 * before


def test_inner_field_obeys_its_own_equation():
    work = one_rod(slices=6)
    applied = np.full(6, -9e4)
    state = work.in_the_jig(applied)
    again = applied + work.assembly.coupling @ state.magnetisation
    assert again == pytest.approx(state.field, abs=1e-3 * ALNICO.coercivity)


def test_weakened_never_gains():
    work = one_rod()
    before = work.as_it_lies()
    assert work.weakened(np.zeros(4)).magnetisation == pytest.approx(before.magnetisation, rel=1e-9)
    assert np.all(work.weakened(np.full(4, 0.5)).magnetisation < before.magnetisation)
