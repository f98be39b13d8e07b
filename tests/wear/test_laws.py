"""Laws of the fit: what may change about a log without changing what is said of it.

A small log is fitted again and again, each time written otherwise. Newton's way stops at a gain of
1e-11, so equal means equal to about six digits.
"""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.wear.fleet import Truth, choices, history_of, simulate
from wearcast.wear.fit import fit_wear

TRUTH = Truth(
    kinds={"gum blade": "blade", "hard blade": "blade"},
    positions={"front blade": "gum blade", "rear blade": "hard blade"},
)
HISTORY, PARTS, _ = simulate(TRUTH, 4, machines=6, hours=500)
WEAR = fit_wear(HISTORY, PARTS, choices())
FIGURES = ["hours_per_edge", "low", "high", "shape", "damaged_per_1000h", "pace_spread",
           "hours_to_change"]  # fmt: skip


def fitted(spells=HISTORY.spells, exposure=HISTORY.exposure, parts=PARTS):
    return fit_wear(history_of(spells, exposure), parts, choices())


def lives(wear, names=None):
    """The figures by class and floor, classes by their former names."""
    table = wear.floor_table
    table = table.assign(wears_as=table["wears_as"].replace(names or {}))
    return table.sort_values(["wears_as", "floor"], ignore_index=True)[FIGURES]


def assert_same(one, other):
    pd.testing.assert_frame_equal(one, other, rtol=1e-5)


@given(st.permutations(["zebra", "ant"]))
@settings(max_examples=2, deadline=None)
def test_renaming_the_classes_renames_their_rows(names):
    new = dict(zip(TRUTH.kinds, names, strict=True))
    there = {"wears_as": HISTORY.spells["wears_as"].replace(new)}
    parts = PARTS.assign(wears_as=PARTS["wears_as"].replace(new))
    other = fitted(HISTORY.spells.assign(**there), parts=parts)
    assert_same(lives(other, {name: old for old, name in new.items()}), lives(WEAR))


@given(st.permutations(range(6)))
@settings(max_examples=3, deadline=None)
def test_renaming_the_machines_renames_their_paces(order):
    new = {f"M{old:03d}": f"N{name:03d}" for old, name in enumerate(order)}
    other = fitted(HISTORY.spells.assign(machine=HISTORY.spells["machine"].replace(new)))
    assert_same(lives(other), lives(WEAR))
    paces = WEAR.machine_table.assign(machine=WEAR.machine_table["machine"].replace(new))
    paces = paces.sort_values(["machine", "wears_as"], ignore_index=True)
    columns = ["machine", "wears_as", "pace", "hazard"]
    assert_same(other.machine_table[columns], paces[columns])


@given(st.permutations(["North", "South", "East", "West", "Mid"]))
@settings(max_examples=3, deadline=None)
def test_renaming_the_sites_renames_their_terms(names):
    new = {f"S{number}": name for number, name in enumerate(names)}
    other = fitted(HISTORY.spells.assign(site=HISTORY.spells["site"].replace(new)))
    assert_same(lives(other), lives(WEAR))
    here, there = (dict(zip(one.worn.terms, one.worn.mean, strict=True)) for one in (WEAR, other))
    for old, name in new.items():
        assert there[f"site[{name}]"] == pytest.approx(here[f"site[{old}]"], abs=1e-6)


@given(st.integers(0, 1000))
@settings(max_examples=3, deadline=None)
def test_the_order_of_the_rows_changes_nothing(seed):
    order = np.random.default_rng(seed).permutation(len(HISTORY.spells))
    spells, exposure = HISTORY.spells.iloc[order], HISTORY.exposure.iloc[order]
    pd.testing.assert_frame_equal(lives(fitted(spells, exposure)), lives(WEAR), check_exact=True)


@given(st.sampled_from([0.25, 3.0]))
@settings(max_examples=2, deadline=None)
def test_hours_in_other_units_scale_the_lives(unit):
    # Where the catalogue says what is usual, in the same units; the least hours that count do not
    # scale, so that shorter spells are left out beforehand.
    keep = HISTORY.exposure.sum(axis=1) > 1.0
    spells, exposure = HISTORY.spells[keep], HISTORY.exposure[keep]
    here, there = (
        fitted(
            spells.assign(hours=spells["hours"] * scale),
            exposure * scale,
            PARTS.assign(usual_hours=100.0 * scale),
        )
        for scale in (1.0, unit)
    )
    scaled = ["hours_per_edge", "low", "high", "hours_to_change"]
    expected = lives(here).assign(
        **{name: lives(here)[name] * unit for name in scaled},
        damaged_per_1000h=lives(here)["damaged_per_1000h"] / unit,
    )
    pd.testing.assert_frame_equal(lives(there), expected, rtol=1e-4)
