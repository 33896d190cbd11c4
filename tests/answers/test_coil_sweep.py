"""Sweeps over geometries: the same figures wherever they are computed."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from pickupcalc.answers.coil.sweep import sweep, variants
from pickupcalc.errors import InputError
from pickupcalc.parts.coil import Coil
from tests.parts.test_coil_parts import GEOMETRY, POLES

COILS = variants(
    Coil.of(GEOMETRY | {"poles": POLES}),
    {"turns": [7000, 8000, 9000], "build": ["3.2 mm", "3.4 mm", "3.6 mm", "4 mm"]},
)


@pytest.fixture(scope="module")
def here():
    return sweep(COILS)


def test_order_and_figures(here):
    assert here.turns.tolist() == [7000] * 4 + [8000] * 4 + [9000] * 4
    assert here.inductance.m[5] == pytest.approx(COILS[5].low_frequency_inductance)
    assert np.all(here.air_inductance.m < here.inductance.m)
    assert len(here.as_json()["capacitance_f"]) == 12


def test_on_threads_telling_how_far_it_is(here):
    told = []
    with ThreadPoolExecutor(2) as executor:
        found = sweep(COILS, executor, lambda done, total: told.append((done, total)))
    np.testing.assert_allclose(found.inductance.m, here.inductance.m, rtol=1e-10)
    assert told[-1] == (12, 12)


def test_a_combination_that_does_not_fit_is_named():
    with pytest.raises(InputError, match="turns 30000"):
        variants(Coil.of(GEOMETRY), {"turns": [8000, 30000]})


def test_on_a_cluster(here):
    """A real local cluster of dask, with its executor and nothing else changed."""
    distributed = pytest.importorskip("distributed", reason='needs the extra "cluster"')
    with (
        distributed.LocalCluster(
            n_workers=1, threads_per_worker=1, processes=True, dashboard_address=None
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        found = sweep(COILS, client.get_executor())
    np.testing.assert_allclose(found.inductance.m, here.inductance.m, rtol=1e-10)
