"""Sums over spells, prepared once, against the sums written out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import csr_array

from wearcast.wear.spells import Spells, sum_by


def spells_of(seed, size=30, effects=5, *, sparse=True):
    """Spells with few effects each, stored and dense; some of unknown start."""
    rng = np.random.default_rng(seed)
    machine = np.unique(np.sort(rng.integers(0, 6, size)), return_inverse=True)[1]
    columns = rng.normal(size=(size, effects)) * (rng.random((size, effects)) < 0.3)
    stored = csr_array(columns) if sparse else columns
    return Spells(
        rng.uniform(1, 9, (size, 2)),
        np.full((size, 2), 0.5),
        (rng.random(size) < 0.6).astype(float),
        machine,
        stored,
        stored,
        np.arange(machine[-1] + 1),
        rng.random(size) < 0.2,
    ), columns


@pytest.mark.parametrize("effects", [0, 1, 5])
@given(seed=st.integers(0, 10_000), sparse=st.booleans())
def test_products_of_effects_are_those_written_out(seed, sparse, effects):
    spells, columns = spells_of(seed, effects=effects, sparse=sparse)
    weight = np.random.default_rng(seed).normal(size=len(columns))
    assert spells.sums.gram(weight) == pytest.approx(
        (columns.T * weight) @ columns, rel=1e-12, abs=1e-12
    )


@given(seed=st.integers(0, 10_000), sparse=st.booleans())
def test_effects_by_machine_are_summed_over_its_spells(seed, sparse):
    spells, columns = spells_of(seed, sparse=sparse)
    weight = np.random.default_rng(seed).normal(size=len(columns))
    got = spells.sums.effects_by_machine(weight)
    expected = sum_by(spells.machine, weight[:, None] * columns)
    assert got == pytest.approx(expected, rel=1e-12, abs=1e-12)


def test_spells_of_unknown_start_count_as_no_machines_ends():
    spells, _ = spells_of(3)
    whole = np.where(spells.first, 0.0, spells.ended)
    assert spells.sums.counts.tolist() == sum_by(spells.machine, whole).tolist()


def test_how_many_machines_have_more_ends_than_a_number():
    spells, _ = spells_of(3)
    counts = spells.sums.counts
    assert spells.sums.above is not None
    assert spells.sums.above.tolist() == [
        (counts > number).sum() for number in range(int(counts.max()))
    ]
