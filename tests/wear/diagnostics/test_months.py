"""How sure a change must be among so many groups."""

import pytest
from scipy.stats import norm

from wearcast.wear.diagnostics.months import SURE, sure_of


def test_more_groups_share_the_same_chance_of_a_false_alarm():
    assert sure_of(3) == sure_of(60) == SURE
    assert 100 * norm.sf(sure_of(6000)) == pytest.approx(norm.sf(SURE), rel=0.2)
