"""The solver against plain linear algebra, and against what every linear passive network obeys."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pickupcalc.physics.circuit.network import JOINT, Branch, Circuit, Coupling
from pickupcalc.physics.circuit.nodal import solve, sweep

OMEGA = 2 * np.pi * np.geomspace(20, 20e3, 25)


def dense(circuit, omega, source):
    """Voltage at the output for 1 V in one source, from the full nodal matrix by LAPACK."""
    index = {n: i for i, n in enumerate(n for n in circuit.nodes if n != circuit.ground)}
    matrix = np.zeros((omega.size, len(index), len(index)), dtype=complex)
    current = np.zeros((omega.size, len(index)), dtype=complex)
    for b in circuit.branches:
        y = np.broadcast_to(b.admittance(omega), omega.shape)
        ends = [(index.get(b.start), -1), (index.get(b.end), 1)]
        for i, sign in ends:
            for j, other in ends:
                if i is not None and j is not None:
                    matrix[:, i, j] += sign * other * y
            if i is not None and b.name == source:
                current[:, i] += sign * y
    voltage = np.linalg.solve(matrix, current[..., np.newaxis])[..., 0]
    return voltage[:, index[circuit.output]]


values = st.floats(0.1, 10.0)


@st.composite
def networks(draw):
    """Connected networks of three to six nodes with random branches and one or two sources."""
    count = draw(st.integers(3, 6))
    nodes = [f"n{i}" for i in range(count)]
    ends = [(nodes[draw(st.integers(0, i - 1))], nodes[i]) for i in range(1, count)]
    ends += draw(st.lists(st.sampled_from([(a, b) for a in nodes for b in nodes if a < b]), max_size=6))
    branches = []
    for i, (start, end) in enumerate(ends):
        kind = draw(st.sampled_from("RLCW"))
        made = {
            "R": {"resistance": 1e4 * draw(values)},
            "L": {"inductance": draw(values), "resistance": 100 * draw(values)},
            "C": {"capacitance": 1e-9 * draw(values)},
            "W": {"inductance": draw(values), "resistance": 1e3 * draw(values), "emf": True},
        }[kind]
        branches.append(Branch(f"b{i}", start, end, **made))
    branches.append(Branch("source", nodes[0], nodes[1], 5e3, 2.0, emf=True))
    branches.append(Branch("load", nodes[0], nodes[-1], 1e6))
    return Circuit(tuple(branches), nodes[-1], nodes[0])


@settings(max_examples=60)
@given(networks())
def test_equals_the_full_matrix(circuit):
    solution = solve(circuit, OMEGA)
    for source in circuit.sources:
        expected = dense(circuit, OMEGA, source)
        np.testing.assert_allclose(solution.transfer[source], expected, rtol=1e-8, atol=1e-10)


@settings(max_examples=40)
@given(networks())
def test_passive_networks_have_no_negative_resistance(circuit):
    assert np.all(solve(circuit, OMEGA).impedance.real >= 0)


@settings(max_examples=40)
@given(networks())
def test_reciprocity(circuit):
    """1 V in a branch drives the same current through another as the other way round."""
    probe = replace(
        circuit, branches=(*circuit.branches, Branch("probe", circuit.ground, circuit.output, 1e4, emf=True))
    )
    forth = solve(probe, OMEGA).transfer["source"] / 1e4  # current through the probe, 1 V in the source
    source = next(b for b in circuit.branches if b.name == "source")
    moved = replace(probe, output=source.end, ground=source.start)
    back = solve(moved, OMEGA).transfer["probe"] / source.impedance(OMEGA)
    np.testing.assert_allclose(np.abs(forth), np.abs(back), rtol=1e-7, atol=1e-16)


def divider(**lower):
    return Circuit((Branch("e", "0", "1", 1e3, emf=True), Branch("low", "0", "1", **lower)), "1", "0")


def test_values_per_set_equal_one_after_the_other():
    resistances = np.geomspace(1e3, 1e6, 7)
    together = solve(divider(resistance=resistances, capacitance=np.linspace(1e-9, 5e-9, 7)), OMEGA)
    for i, r in enumerate(resistances):
        one = solve(divider(resistance=r, capacitance=np.linspace(1e-9, 5e-9, 7)[i]), OMEGA)
        np.testing.assert_allclose(together.transfer["e"][i], one.transfer["e"], rtol=1e-14)


def test_sweep_in_blocks_equals_solve():
    rng = np.random.default_rng(3)
    sets = 3000
    circuit = divider(resistance=1e4 * (1 + rng.random(sets)), inductance=rng.random(sets))
    emf = {"e": rng.standard_normal(sets)}
    np.testing.assert_allclose(sweep(circuit, OMEGA, emf), solve(circuit, OMEGA).mix(emf), rtol=1e-13)


def test_different_numbers_of_sets_are_refused():
    with pytest.raises(ValueError, match="different numbers of sets"):
        sweep(divider(resistance=np.ones(3), inductance=np.ones(4)), OMEGA, {"e": 1.0})


@pytest.mark.parametrize("lower", [0.0, JOINT, 1e-3])
def test_a_short_costs_no_accuracy_elsewhere(lower):
    """A nano-ohm beside a megohm: the elimination subtracts nothing."""
    circuit = Circuit(
        (
            Branch("e", "0", "1", 1e6, emf=True),
            Branch("joint", "1", "2", lower),
            Branch("load", "0", "2", 1e6),
            Branch("cable", "0", "2", capacitance=1e-12),
        ),
        "2",
        "0",
    )
    expected = 1 / (2 + 1j * OMEGA * 1e-12 * 1e6)
    np.testing.assert_allclose(
        solve(circuit, OMEGA).transfer["e"], expected, rtol=2e-9 if lower > 1e-6 else 1e-13
    )


def test_at_rest_capacitors_are_open():
    circuit = Circuit(
        (
            Branch("coil", "0", "1", 6e3, 2.4, emf=True),
            Branch("blocks", "1", "2", capacitance=1e-9),
            Branch("tone", "0", "2", capacitance=22e-9),
        ),
        "2",
        "0",
    )
    assert np.all(np.isinf(solve(circuit, np.zeros(1)).impedance))
    behind = replace(circuit, output="1")
    assert solve(behind, np.zeros(1)).impedance[0] == pytest.approx(6e3)


def test_coupled_coils_in_series_and_parallel():
    """Textbook: L1 + L2 +- 2 M, and (L1 L2 - M^2) / (L1 + L2 -+ 2 M)."""
    first, second, mutual = 2.0, 3.0, 0.4
    for sign in (1, -1):
        pair = (Coupling("a", "b", sign * mutual),)
        series = Circuit((Branch("a", "0", "m", 0, first), Branch("b", "m", "1", 0, second)), "1", "0", pair)
        parallel = Circuit(
            (Branch("a", "0", "1", 0, first), Branch("b", "0", "1", 0, second)), "1", "0", pair
        )
        z = solve(series, OMEGA).impedance / (1j * OMEGA)
        np.testing.assert_allclose(z, first + second + 2 * sign * mutual, rtol=1e-12)
        z = solve(parallel, OMEGA).impedance / (1j * OMEGA)
        expected = (first * second - mutual**2) / (first + second - 2 * sign * mutual)
        np.testing.assert_allclose(z, expected, rtol=1e-12)


def test_loss_sections_are_in_series():
    branch = Branch("a", "0", "1", 100.0, 2.0, sections=((1e4, 0.5),))
    x = 1j * OMEGA * 0.5
    np.testing.assert_allclose(branch.impedance(OMEGA), 100 + 2j * OMEGA + 1e4 * x / (1e4 + x))


def test_loose_ends_are_refused():
    with pytest.raises(ValueError, match="no path"):
        Circuit((Branch("a", "0", "1", 1.0), Branch("b", "2", "3", 1.0)), "1", "0")


@pytest.mark.parametrize("resistance", [0.0, 47.0])
@pytest.mark.parametrize("inductance", [0.0, 2.5])
@pytest.mark.parametrize("capacitance", [None, 22e-9])
@pytest.mark.parametrize("sections", [(), ((1e5, 0.4),)])
def test_a_branch_is_its_parts_in_series(resistance, inductance, capacitance, sections):
    if resistance == inductance == 0 and not sections:
        resistance = 1e-6
    branch = Branch("b", "a", "b", resistance, inductance, capacitance, sections)
    s = 1j * OMEGA
    expected = resistance + s * inductance
    expected = expected + sum(1 / (1 / r + 1 / (s * x)) for r, x in sections)
    if capacitance is not None:
        expected = expected + 1 / (s * capacitance)
    np.testing.assert_allclose(branch.admittance(OMEGA), 1 / expected, rtol=1e-12)


def test_resistors_and_capacitors_side_by_side_are_one_branch():
    """They are added up before frequency enters, which must not show."""
    sets = np.array([1.0, 2.0, 3.0])
    coil = Branch("coil", "g", "o", 6e3, 2.5, emf=True)
    many = (
        Branch("r1", "g", "o", 2e5 * sets),
        Branch("c1", "o", "g", capacitance=1e-10),
        Branch("r2", "o", "g", 1e6),
        Branch("c2", "g", "o", capacitance=2e-10 * sets),
    )
    one = (
        Branch("r", "g", "o", 1 / (1 / (2e5 * sets) + 1e-6)),
        Branch("c", "g", "o", capacitance=1e-10 + 2e-10 * sets),
    )
    found, expected = (solve(Circuit((coil, *parts), "o", "g"), OMEGA) for parts in (many, one))
    np.testing.assert_allclose(found.transfer["coil"], expected.transfer["coil"], rtol=1e-12)
