"""Turned or thrown away: counts and the fleet's beta distribution."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.conftest import assert_table, table
from wearcast.wear.tables.edge_use import count_edges_used, fit_habit, fit_habits

CLASSES = pd.DataFrame({"edges": [4.0, 1.0]}, index=["blade", "brush"])

SPELLS = table("""
    site  wears_as  edge  edges  cause    ended         replaced
    A     blade     1     4      worn     turn          False
    A     blade     2     4      worn     fit           True
    A     blade     4     4      worn     fit           True
    A     blade     1     4      damaged  fit           True
    A     blade     3     4      planned  fit           True
    B     blade     4     4      worn     assumed fit   True
    B     blade     -     4      worn     turn          False
    B     blade     2     4      other    retired       True
    B     blade     1     4      running  running       False
    B     brush     1     1      worn     fit           True
""").assign(edge=lambda frame: pd.to_numeric(frame["edge"]))


def test_only_ends_with_edges_left_tell_a_habit():
    habits = fit_habits(SPELLS, CLASSES)
    assert set(habits) == {("blade", "worn"), ("blade", "damaged")}
    worn = habits["blade", "worn"]
    assert (worn.site, worn.replaced.tolist(), worn.ends.tolist()) == (("A",), [1.0], [2.0])
    assert habits["blade", "damaged"].ends.tolist() == [1.0]


def test_edges_used_are_those_of_the_parts_that_came_off():
    assert_table(
        count_edges_used(SPELLS, CLASSES),
        """
        site  wears_as  parts_spent  edges_used  edges_available  mean_edges_used
        A     blade     4            10          16               2.5
        B     blade     1            4           4                4
        """,
    )


def test_sites_that_differ_give_a_wide_fleet_and_alike_ones_a_narrow_one():
    sites = tuple("abcdef")
    ends = np.full(6, 100.0)
    wide = fit_habit(sites, np.array([2.0, 90, 10, 80, 5, 60]), ends)
    narrow = fit_habit(sites, np.array([30.0, 32, 28, 31, 29, 30]), ends)
    assert wide.alpha + wide.beta < 5
    # The prior's middle is a weight of 10.
    assert narrow.alpha + narrow.beta > 40
    assert narrow.alpha / (narrow.alpha + narrow.beta) == pytest.approx(0.3, abs=0.02)


def test_known_habits_are_recovered_from_many_sites():
    rng = np.random.default_rng(8)
    chances = rng.beta(2, 6, 200)
    habit = fit_habit(
        tuple(map(str, range(200))), rng.binomial(40, chances).astype(float), np.full(200, 40.0)
    )
    # 200 sites: the mean is known to sqrt(.25 * .75 / 9 / 200) = .01, four of them allowed.
    assert habit.alpha / (habit.alpha + habit.beta) == pytest.approx(0.25, abs=0.04)
    assert habit.alpha + habit.beta == pytest.approx(8, rel=0.35)


@given(st.integers(0, 30), st.integers(0, 30))
@settings(max_examples=30, deadline=None)
def test_a_site_that_replaces_more_never_lowers_the_fleet(few, more):
    ends = np.array([30.0, 30.0])
    low, high = sorted([few, more])
    means = [
        habit.alpha / (habit.alpha + habit.beta)
        for habit in (fit_habit(("a", "b"), np.array([5.0, count]), ends) for count in (low, high))
    ]
    assert means[0] <= means[1] + 1e-9
