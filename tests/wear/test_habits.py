"""Turned or thrown away: by site, by edge number, by why the edge ended."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar
from scipy.stats import betabinom

from tests.conftest import table
from tests.wear.published import rats
from wearcast.wear.habits import (
    NO_HABIT,
    PRIOR,
    draw_habit,
    fit_habit,
    fit_habits,
    paired_shares,
    site_weight,
)

CLASSES = pd.DataFrame({"edges": [4.0, 1.0]}, index=["blade", "brush"])

SPELLS = table("""
    site  wears_as  edge  edges  cause    ended         replaced
    A     blade     1     4      worn     turn          False
    A     blade     2     4      worn     fit           True
    A     blade     4     4      worn     fit           True
    A     blade     1     4      damaged  fit           True
    A     blade     3     4      planned  fit           True
    A     blade     1     4      unknown  turn          False
    B     blade     4     4      worn     assumed fit   True
    B     blade     -     4      worn     turn          False
    B     blade     2     4      other    retired       True
    B     blade     1     4      running  running       False
    B     brush     1     1      worn     fit           True
""").assign(edge=lambda frame: pd.to_numeric(frame["edge"]))


@pytest.mark.parametrize(
    ("law", "replaced", "ends"),
    [
        # An end of unknown cause counts as worn.
        ("worn", [0, 1, 0], [2, 1, 0]),
        ("torn", [1, 0, 0], [1, 0, 0]),
        ("taken off", [0, 0, 1], [0, 0, 1]),
    ],
)
def test_only_ends_with_edges_left_tell_a_habit(law, replaced, ends):
    habit = fit_habits(SPELLS, CLASSES)["blade", law]
    assert habit.site == ("A",)
    assert (habit.replaced.tolist(), habit.ends.tolist()) == ([replaced], [ends])


def test_a_part_of_one_edge_has_no_habit():
    assert {name for name, _ in fit_habits(SPELLS, CLASSES)} == {"blade"}


def ends_at(site, edge, replaced, count):
    return pd.DataFrame({"site": site, "edge": float(edge), "replaced": replaced}, range(count))


@pytest.fixture(scope="module")
def three_of_four():
    """Six sites that turn twice and replace at the third edge, always."""
    return fit_habit(
        pd.concat(
            [ends_at(f"S{site}", edge, edge == 3, 30) for site in range(6) for edge in (1, 2, 3)]
        ),
        edges=4,
    )


def drawn(habit, site="S1", edges=4, draws=2000):
    return draw_habit(habit, site, edges, np.random.default_rng(1), draws)


@pytest.mark.parametrize("site", ["S1", "a stranger"])
def test_exactly_three_of_four_edges_are_seen_as_such(three_of_four, site):
    chance = drawn(three_of_four, site).mean(axis=1)
    # 180 ends of each number lean on all numbers (a third) by four: 1.3 / 184 off at most.
    assert chance == pytest.approx([0, 0, 1], abs=0.02)


def test_three_of_four_edges_used_are_three_edges_a_part(three_of_four):
    early = drawn(three_of_four).mean(axis=1)
    used = 1 + np.cumprod(1 - early).sum()
    assert used == pytest.approx(3, abs=0.06)


def test_the_weight_of_a_site_is_the_rats_maximum_likelihood():
    # Tarone 1982, data as in Gelman et al., Bayesian Data Analysis, table 5.1. Recomputed, 71
    # groups, not published: a 2.341615, b 14.114805, which is a chance of .1423 and a weight of
    # 16.456. Here at the chance given, under the prior on the log of the weight (10, sd 1).
    tumours, animals = rats()
    usual = 2.341615 / (2.341615 + 14.114805)

    def against(log_weight):
        weight = np.exp(log_weight)
        fit = betabinom.logpmf(tumours, animals, weight * usual, weight * (1 - usual)).sum()
        return 0.5 * np.log(weight / 10) ** 2 - fit

    best = np.exp(minimize_scalar(against, (1.0, 4.0)).x)
    found = site_weight(tumours[:, None], animals[:, None], np.array([usual]))
    # The grid's step is a factor of e^.24; the prior pulls 16.456 a little towards 10.
    assert np.log(found / best) == pytest.approx(0, abs=0.12)
    assert best == pytest.approx(16.456, rel=0.05)


def test_sites_that_differ_weigh_little_and_alike_ones_much():
    ends = np.full((6, 1), 100.0)
    apart = site_weight(np.array([[2.0], [90], [10], [80], [5], [60]]), ends, np.array([0.41]))
    alike = site_weight(np.array([[30.0], [32], [28], [31], [29], [30]]), ends, np.array([0.3]))
    # The prior's middle is a weight of 10.
    assert apart < 5
    assert alike > 40


def test_known_habits_are_recovered_from_many_sites():
    rng = np.random.default_rng(8)
    early = rng.binomial(40, rng.beta(2, 6, 200))
    frames = [
        ends_at(f"S{site}", 1, flag, count)
        for site, few in enumerate(early)
        for flag, count in ((True, few), (False, 40 - few))
    ]
    habit = fit_habit(pd.concat(frames), edges=2)
    # 200 sites: the mean is known to sqrt(.25 * .75 / 9 / 200) = .01, four of them allowed.
    assert habit.usual[0] == pytest.approx(0.25, abs=0.04)
    assert habit.weight == pytest.approx(8, rel=0.35)


def test_a_site_with_many_ends_keeps_its_own_habit():
    frames = [ends_at("Odd", 1, True, 60), *[ends_at(f"S{n}", 1, False, 60) for n in range(5)]]
    habit = fit_habit(pd.concat(frames), edges=2)
    assert drawn(habit, "Odd", edges=2).mean() > 0.9
    assert drawn(habit, "S1", edges=2).mean() < 0.1


def test_where_nobody_has_seen_an_end_common_practice_stands():
    chance = drawn(NO_HABIT, draws=20_000)
    assert chance.shape == (3, 20_000)
    assert chance.mean() == pytest.approx(PRIOR[0] / sum(PRIOR), abs=0.01)


@given(st.integers(0, 30), st.integers(0, 30))
@settings(max_examples=30, deadline=None)
def test_a_site_that_replaces_more_never_lowers_the_usual_chance(few, more):
    few, more = sorted([few, more])
    usual = [
        fit_habit(
            pd.concat([ends_at("A", 1, True, 5 + count), ends_at("B", 1, False, 60 - count)]), 2
        ).usual[0]
        for count in (few, more)
    ]
    assert usual[0] <= usual[1] + 1e-9


def test_paired_shares_count_the_ends_at_which_the_partner_was_handled():
    ends = table("""
        wears_as  ended    partner
        blade     turn     True
        blade     fit      True
        blade     turn     False
        blade     running  False
        brush     fit      False
    """)
    assert paired_shares(ends) == {"blade": 2 / 3, "brush": 0.0}
