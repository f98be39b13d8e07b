"""Several operators' rates as one: against a simulation on two levels, and with a real fit."""

import json
from dataclasses import replace

import numpy as np
import pytest

from wearcast.wear.covariates import OPERATOR, OPERATOR_OWN
from wearcast.wear.draws import draw_wear
from wearcast.wear.operators import left_out_operators
from wearcast.wear.pooled import _Report, pool_reports, pool_wear, told_terms
from wearcast.wear.rates import for_strangers, rates_document, wear_of_rates
from wearcast.wear.records import Spread
from wearcast.wear.respelled import respelled

CLASSES = np.repeat([0, 1, 2], 2)
RATE = np.ones(6, dtype=bool)
ERROR = 0.06


def operators(rng, count, common=0.25, own=0.12):
    """True log rates of so many operators, by six cells of three classes; the usual ones are 0."""
    alike = common * rng.standard_normal((count, 1))
    return alike + (own * rng.standard_normal((count, 3)))[:, CLASSES]


def reports_of(rng, truth):
    """What logs tell of them."""
    told = truth + ERROR * rng.standard_normal(truth.shape)
    return [_Report(np.arange(6), one, ERROR**2 * np.eye(6)) for one in told]


def expected_square(spread: Spread) -> float:
    return float(np.dot(spread.chances, np.square(spread.sds)))


def ranges_of(reports):
    """Middle of a stranger's log rates, and the half-width of their 90 % range."""
    mean, cov, common, own = pool_reports(reports, RATE, CLASSES)
    sd = np.sqrt(np.diag(cov) + expected_square(common) + expected_square(own))
    return mean, 1.645 * sd


@pytest.mark.parametrize("logs", [3, 6])
def test_the_pooled_range_holds_other_operators_nine_times_in_ten(logs: int):
    rng = np.random.default_rng(logs)
    held = []
    for _ in range(40):
        middle, half = ranges_of(reports_of(rng, operators(rng, logs)))
        held.append((np.abs(operators(rng, 200) - middle) < half).mean())
    assert 0.83 < np.mean(held) < 0.96


def test_the_pooled_range_contains_the_operators_it_was_learnt_from():
    rng = np.random.default_rng(5)
    held = []
    for _ in range(40):
        truth = operators(rng, 2)
        middle, half = ranges_of(reports_of(rng, truth))
        held.append((np.abs(truth - middle) < half).mean())
    assert np.mean(held) > 0.88


def test_operators_alike_leave_the_range_narrow():
    rng = np.random.default_rng(6)
    _, half = ranges_of(reports_of(rng, operators(rng, 6, common=0.0, own=0.0)))
    assert half.max() < 0.15


def test_a_log_that_never_saw_a_cell_says_nothing_of_it():
    both = reports_of(np.random.default_rng(7), np.zeros((2, 6)))
    few = _Report(np.arange(4), both[1].mean[:4], both[1].cov[:4, :4])
    mean, cov, _, _ = pool_reports([both[0], few], RATE, CLASSES)
    # Classes apart, the last one rests on the first log.
    assert mean[4:] == pytest.approx(both[0].mean[4:], abs=0.05)
    assert cov[4, 4] > cov[0, 0]


def moved(wear, by):
    """The same with every log rate moved."""
    worn = wear.worn
    shift = np.array([by * term.startswith("log rate[") for term in worn.terms])
    return replace(wear, worn=replace(worn, mean=worn.mean + shift))


def rates_for_strangers(wear, fleet):
    history = fleet[0]
    rate = draw_wear(wear, history.running, history.running_exposure, 3, 1500, stranger=True).rate
    return np.log(rate)


def test_a_stranger_is_drawn_between_and_beyond_the_operators(wear, fleet):
    one, other = (for_strangers(moved(wear, by)) for by in (0.0, 0.8))
    pooled = rates_for_strangers(pool_wear([one, other]), fleet)
    low, high = np.quantile(pooled, [0.05, 0.95], axis=1)
    for known in (one, other):
        middle = np.median(rates_for_strangers(known, fleet), axis=1)
        assert ((low < middle) & (middle < high)).all()
    # Half of the way, and the order of the logs is no matter.
    assert pooled.mean() == pytest.approx(rates_for_strangers(one, fleet).mean() + 0.4, abs=0.1)
    again = pool_wear([other, one])
    assert np.allclose(again.worn.mean, pool_wear([one, other]).worn.mean)


def test_one_log_is_left_as_it_is(wear):
    one = for_strangers(wear)
    assert pool_wear([one]) is one
    assert OPERATOR not in one.worn.spreads


def test_the_same_log_twice_is_surer_and_keeps_what_it_knew(wear):
    one = for_strangers(wear)
    both = pool_wear([one, one])
    terms = told_terms(one.worn, one)
    once = [one.worn.mean[one.worn.terms.index(term)] for term in terms]
    twice = [both.worn.mean[both.worn.terms.index(term)] for term in terms]
    assert twice == pytest.approx(once, abs=1e-6)
    assert both.worn.spreads[OPERATOR].mean < 0.1
    assert OPERATOR_OWN in both.worn.spreads
    assert {name: habit.usual for name, habit in both.habits.items()} == {
        name: pytest.approx(habit.usual) for name, habit in one.habits.items()
    }


def test_an_operator_unlike_the_others_is_seen_when_it_is_left_out(wear):
    usual, fast = for_strangers(wear), for_strangers(moved(wear, 1.0))
    alike, _, unlike = left_out_operators([usual, replace(usual), fast])
    assert unlike.life_ratio == pytest.approx(np.exp(-1), rel=1e-3)
    assert unlike.inside < unlike.cells / 2
    # The others are one like it and one whose parts last a third as long: a wide range.
    assert alike.inside == alike.cells == unlike.cells > 3
    assert 1 < alike.life_ratio < np.e


def test_names_that_differ_in_case_or_blanks_are_one(wear):
    one = for_strangers(wear)
    floor, name = one.floors[0], one.classes[0]
    document = json.dumps(rates_document(wear))
    for old, new in ((floor, f"{floor.upper()} "), (name, name.upper())):
        document = document.replace(f"{old}]", f"{new}]").replace(f'"{old}"', f'"{new}"')
        document = document.replace(f"[{old}", f"[{new}")
    other = wear_of_rates(json.loads(document))
    assert other.floors != one.floors
    assert other.classes != one.classes
    both = respelled([one, other])
    assert both[0] is one
    assert (both[1].classes, set(both[1].floors)) == (one.classes, set(one.floors))
    assert set(both[1].worn.terms) == set(one.worn.terms)
    assert set(both[1].floor_table["floor"]) == set(one.floors)
    assert left_out_operators(both)[0].cells == len(
        [term for term in told_terms(one.worn, one) if term.startswith("log rate")]
    )
