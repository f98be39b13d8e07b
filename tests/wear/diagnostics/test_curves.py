"""The product-limit curve against statsmodels and by hand."""

import numpy as np
import pytest
from statsmodels.duration.survfunc import SurvfuncRight

from tests.wear.published import NIST, SHOCK_ABSORBERS, lives
from wearcast.wear.diagnostics.curves import product_limit


@pytest.mark.parametrize("text", [NIST, SHOCK_ABSORBERS], ids=["nist", "shock absorbers"])
def test_curve_equals_statsmodels(text):
    hours, worn = lives(text)
    curve, referee = product_limit(hours, worn), SurvfuncRight(hours, worn)
    assert curve["hours"].tolist() == referee.surv_times.tolist()
    assert curve["good"].to_numpy() == pytest.approx(referee.surv_prob, abs=1e-14)
    # The last error of a curve that falls to 0 is not defined.
    assert curve["error"][:-1].to_numpy() == pytest.approx(referee.surv_prob_se[:-1], abs=1e-14)


def test_curve_with_late_entries_equals_statsmodels():
    rng = np.random.default_rng(4)
    entry = rng.uniform(0, 50, 80)
    hours = np.round(entry + rng.weibull(2.0, 80) * 70 + 0.5, 0)
    entry = np.minimum(np.round(entry, 0), hours - 1)
    worn = rng.random(80) < 0.7
    curve, referee = product_limit(hours, worn, entry), SurvfuncRight(hours, worn, entry=entry)
    assert curve["at_risk"].tolist() == referee.n_risk.tolist()
    assert curve["good"].to_numpy() == pytest.approx(referee.surv_prob, abs=1e-14)


def test_an_end_comes_before_a_censoring_at_the_same_hour():
    curve = product_limit(np.array([10.0, 10.0, 20.0]), np.array([True, False, True]))
    # By hand: 3 at risk at 10, 1 at 20.
    assert curve["at_risk"].tolist() == [3, 1]
    assert curve["good"].tolist() == pytest.approx([2 / 3, 0])


def test_an_end_before_the_beginning_is_refused():
    with pytest.raises(ValueError, match="an edge cannot end before it began"):
        product_limit(np.array([5.0]), np.array([True]), np.array([6.0]))
