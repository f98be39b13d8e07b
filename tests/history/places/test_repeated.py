"""Deeds that seem to be written twice are told, short lives by themselves are not."""

import numpy as np
import pandas as pd
import pytest

from tests.history.books import logbook
from wearcast.history.story import read_history

READINGS = """
    machine  date        hours
    M1       2024-12-31  0
    M1       2026-12-31  7300
"""


def turned(days):
    """Turns of a blade on some days, ten run hours a day."""
    dates = pd.Timestamp("2024-12-31") + pd.to_timedelta(np.sort(days), "D")
    return pd.DataFrame({"machine": "M1", "position": "front blade", "date": dates,
                         "action": "turn", "cause": "worn", "part": ""})  # fmt: skip


def told(changes):
    book = logbook(as_of="2026-12-31", readings=READINGS, changes=changes)
    return [p for p in read_history(book).told if "written twice" in p.wrong]


EVERY_30 = np.arange(30, 700, 30)


@pytest.mark.parametrize("after", [1, 2])
def test_rows_that_repeat_the_one_before_are_told_before_any_figure(after):
    (found,) = told(turned([*EVERY_30, *(EVERY_30[:6] + after)]))
    assert found.wrong.startswith("6 changes (6 of 28 of front blade; M1) say the same")
    assert found.weight >= 100


@pytest.mark.parametrize(
    "days",
    [
        pytest.param([*EVERY_30, *(EVERY_30[:4] + 1)], id="too few"),
        pytest.param([*EVERY_30, *(EVERY_30[:8] + 1), *(EVERY_30[8:16] + 4)], id="short lives"),
        pytest.param([*EVERY_30, *(EVERY_30[:8] + 5)], id="days apart"),
    ],
)
def test_other_short_lives_are_not(days):
    assert told(turned(days)) == []


def test_lives_of_constant_hazard_are_not():
    days = np.unique(np.random.default_rng(4).exponential(12.0, 60).cumsum().astype(int) + 1)
    assert told(turned(days[days < 700])) == []
