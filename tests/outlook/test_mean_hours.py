"""Hours are drawn a few machines at a time; their means are those of all at once."""

import numpy as np
import pytest

from tests.outlook.test_hours import NO_PLANS, choices, noisy_weeks, read_weekly
from wearcast.outlook.hours import HoursAhead, hours_ahead, learn_hours_ahead
from wearcast.outlook.mean_hours import MeanHours
from wearcast.outlook.records import HoursDraws


@pytest.fixture(scope="module")
def both() -> tuple[HoursAhead, HoursDraws]:
    """Five machines at two sites, to be drawn and all drawn, 60 weeks ahead."""
    weekly = noisy_weeks(np.random.default_rng(13), 5, 80, sd=0.2, memory=0.3, wave=0.1)
    history = read_weekly(weekly, sites=["north", "south", "north", "south", "south"])
    asked = (history, NO_PLANS, choices(40), 420)
    return learn_hours_ahead(*asked), hours_ahead(*asked)


def test_a_machines_hours_are_the_same_whichever_are_drawn_with_them(both):
    ahead, whole = both
    for some in ([1, 3], [4], [0, 1, 2, 3, 4]):
        drawn = ahead.of(np.array(some))
        assert drawn.hours.tobytes() == whole.hours[some].tobytes()
        assert drawn.machines == tuple(f"M{number}" for number in some)
        assert drawn.parts["usual"].tolist() == whole.parts["usual"][some].tolist()


def test_drawing_in_smaller_steps_changes_nothing(both, monkeypatch):
    ahead, whole = both
    monkeypatch.setattr("wearcast.outlook.hours.VALUES_AT_ONCE", 1)
    assert ahead.of(np.arange(5)).hours.tobytes() == whole.hours.tobytes()


def test_means_are_those_of_all_drawn_at_once_with_or_without_a_position(both):
    ahead, whole = both
    means = MeanHours(ahead)
    # A position of M9, which nobody reads; M0 and M4 carry nothing.
    walked = means.taken(["M1", "M1", "M9", "M3", "M2"])
    assert walked.machines == ("M1", "M2", "M3")
    year, weekly = means.of_all()
    assert weekly == pytest.approx(whole.hours.mean(axis=1), rel=1e-6)
    assert year == pytest.approx(whole.hours[:, :, :52].sum(axis=2).mean(axis=1), rel=1e-6)
