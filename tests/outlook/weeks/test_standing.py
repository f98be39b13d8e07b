"""Machines that stand are told with what they ran; a season and few hours are not."""

import numpy as np
import pytest

from tests.outlook.weeks.test_growing import WEEKS, past
from wearcast.outlook.weeks.standing import tell_standing, tell_stood
from wearcast.told import GRAVE

ALL = np.ones(12, bool)
SEASON = np.where(np.arange(WEEKS) % 52 < 26, 1.0, 0.0)[::-1]


def standing(weeks, machines=4, factor=1.0):
    """Some of 12 machines stand in the newest weeks."""
    fleet = past(np.full(WEEKS, factor))
    fleet.rate[:machines, WEEKS - weeks :] = 0.0
    return fleet


def test_machines_that_stand_are_told_with_their_share_of_the_hours():
    (told,) = tell_standing(standing(17), ALL)
    assert told.wrong.startswith("M0, M1, M2, M3 have not run for 17 weeks or more, though read, ")
    assert "ran 33% of all hours" in told.wrong
    assert told.weight >= GRAVE


@pytest.mark.parametrize(
    ("fleet", "at_work"),
    [
        pytest.param(standing(2), ALL, id="two weeks"),
        pytest.param(standing(17), ~np.isin(np.arange(12), range(4)), id="retired or planned"),
        pytest.param(past(SEASON), ALL, id="as a year ago"),
    ],
)
def test_who_stood_so_a_year_ago_or_is_retired_is_not(fleet, at_work):
    assert tell_standing(fleet, at_work) == []


def test_a_long_rest_that_is_over_is_told_unless_it_was_so_a_year_before():
    fleet = past(np.ones(WEEKS))
    fleet.rate[:3, 60:80] = 0.0
    (told,) = tell_stood(fleet, ALL)
    assert told.wrong.startswith("M0, M1, M2 stood still for 20 weeks or more within the last year")
    fleet.rate[:3, 8:28] = 0.0
    assert tell_stood(fleet, ALL) == tell_stood(past(np.ones(WEEKS)), ALL) == []
