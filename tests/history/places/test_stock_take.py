"""A list of what is there, written as new parts, stands before any figure."""

import pandas as pd
import pytest

from wearcast.history.edges import FIT
from wearcast.history.places.stock_take import stock_takes


def lines(days: list[int], machines: int = 4, cause: str = "worn") -> pd.DataFrame:
    """On each day new parts at both positions of every machine; before that, one a machine."""
    rows = [
        (2 * machine + seat, machine, day)
        for machine in range(machines)
        for seat in (0, 1)
        for day in [10 * machine + seat, *days]
    ]
    frame = pd.DataFrame(rows, columns=["place", "machine", "day"])
    return frame.assign(action=FIT, cause=cause, observed=True, outfit=False, batch=False)


def test_a_day_on_which_all_becomes_new_is_found():
    assert lines([200])["day"][stock_takes(lines([200]))].tolist() == [200] * 8


@pytest.mark.parametrize(
    "counted",
    [lines([200], machines=3), lines([200, 300, 400]), lines([200], cause="planned")],
    ids=["a day's work", "a habit", "planned"],
)
def test_nothing_is_told_of_what_may_well_have_been_done(counted):
    assert not stock_takes(counted).any()
