"""The service level of a part: its own, from what a shortage costs, or the setting."""

import pytest

from tests.decisions.makers import book, choices
from wearcast.decisions.ordering.levels import service_levels

PARTS = """
    part   price  service_level
    blade  0.72   -
    pad    0.72   0.99
    hose   -      -
"""


def levels(**asked):
    return service_levels(book(PARTS), choices(**asked))


def test_without_more_every_part_takes_the_setting_and_one_may_have_its_own():
    found = levels(service_level=0.9)
    assert found["level"].to_dict() == {"blade": 0.9, "pad": 0.99, "hose": 0.9}
    assert found["source"].to_dict() == {"blade": "settings", "pad": "parts", "hose": "settings"}


def test_the_level_of_a_cost_is_the_newsvendor_s_of_snyder_and_shen_example_4_3():
    # Example 4.3: holding 0.18 and shortage 0.70 a piece give the critical ratio 0.795; 0.18 is
    # here 0.72 a piece and year for a quarter.
    found = levels(shortage_cost=0.70, holding_rate=1.0, review_weeks=13)
    assert found.loc["blade", "level"] == pytest.approx(0.70 / 0.88)
    assert found["source"].to_dict() == {
        "blade": "shortage_cost", "pad": "parts", "hose": "settings"
    }  # fmt: skip


@pytest.mark.parametrize(("cost", "level"), [(1e-9, 0.5), (1e6, 0.999)])
def test_a_level_stays_between_a_half_and_999_in_1000(cost, level):
    assert levels(shortage_cost=cost).loc["blade", "level"] == level
