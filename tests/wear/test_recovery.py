"""Known truth: intervals hold it as often as they say, and sharing helps small fleets."""

import numpy as np
import pytest

from tests.wear.studies import coverage, log_scores


def lowest_share(table, count):
    """90 % less four standard deviations of the share held, the fleets taken as independent.

    Intervals within a fleet go together, so the deviation is that of the fleets' own shares, and
    not less than the binomial one.
    """
    shares = table[f"{count}_held"] / table[count]
    binomial = np.sqrt(0.09 / table[count].sum())
    return 0.9 - 4 * max(shares.std() / np.sqrt(len(table)), binomial)


@pytest.fixture(scope="module")
def few_fleets():
    return coverage(range(8), machines=10, hours=1000)


@pytest.mark.parametrize("count", ["lives", "paces"])
def test_intervals_hold_the_truth(few_fleets, count):
    held = few_fleets[f"{count}_held"].sum() / few_fleets[count].sum()
    assert held > lowest_share(few_fleets, count)


@pytest.fixture(scope="module", params=[6, 20])
def many_fleets(request):
    return coverage(range(1000, 1120), machines=request.param, hours=1200)


@pytest.mark.study
@pytest.mark.parametrize("count", ["lives", "paces"])
def test_intervals_hold_the_truth_over_many_fleets(many_fleets, count):
    held = many_fleets[f"{count}_held"].sum() / many_fleets[count].sum()
    assert held > lowest_share(many_fleets, count)
    assert held < 1.8 - lowest_share(many_fleets, count)


def test_priors_beat_data_alone_on_a_sparse_fleet():
    scores = log_scores(range(2), machines=3, hours=600)
    assert (scores["together"] > scores["data only"]).all()


@pytest.mark.study
@pytest.mark.parametrize("machines", [3, 6, 10])
def test_fitting_together_beats_fitting_apart_on_sparse_fleets(machines):
    scores = log_scores(range(2000, 2060), machines=machines, hours=600)
    gain = scores["together"] - scores["apart"]
    assert gain.mean() > 0
    assert (scores["together"] - scores["data only"]).mean() > 0
