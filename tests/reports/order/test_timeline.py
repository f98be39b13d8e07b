"""Stock run-down, checked by hand on the four futures of the small forecast."""

import numpy as np
import pandas as pd
import pytest

from tests.reports import makers
from wearcast.reports.order.timeline import covers_until, timeline_days, timeline_of
from wearcast.reports.workbook.timeline_sheet import mark_place


def test_dates_are_weekly_for_half_a_year_then_every_four_weeks():
    days = timeline_days(400)
    assert list(days[:3]) == [0, 7, 14]
    assert list(days[-3:]) == [308, 336, 364]
    assert set(np.diff(days)) == {7, 28}


def test_a_short_walk_ends_the_timeline():
    assert timeline_days(20)[-1] == 14


def test_stock_falls_by_the_use_and_rises_by_the_open_order():
    timeline = timeline_of(makers.forecast())
    line = timeline.lines[timeline.row_of("north", "BL-1")]
    by_day = dict(zip(timeline.days, line.likely, strict=True))
    # By hand: 2 on the shelf, one of which the south lacks and gets; 4 due on day 20; the futures'
    # uses fall on days 40 to 49, 80 to 89 (40 days apart, each 3 days later than the one before).
    assert line.moved_in == ()
    assert by_day[0] == 1
    assert by_day[14] == 1
    assert by_day[21] == 5
    assert by_day[42] == 5  # one future of four has used a piece; the middle has not
    assert by_day[49] == 4
    assert by_day[91] == 3


def test_the_low_end_has_used_more_than_the_high_end():
    for line in timeline_of(makers.forecast()).lines:
        assert (line.low <= line.likely).all()
        assert (line.likely <= line.high).all()
        assert (np.diff(line.use) >= 0).all()


@pytest.mark.parametrize(("pieces", "until"), [(0, 35), (1, 77), (2, 119), (99, 364)])
def test_pieces_cover_up_to_the_last_date_before_their_use(pieces: float, until: int):
    timeline = timeline_of(makers.forecast())
    # With 4 futures the 95 % quantile is the highest: the earliest future, on days 40, 80, 120.
    shelf = timeline.row_of("north", "BL-1")
    assert covers_until(timeline, shelf, pieces) == makers.AS_OF + pd.Timedelta(days=until)


@pytest.mark.parametrize(
    ("order_by", "place"),
    [("2026-10-01", 0), ("2026-11-01", 1), ("2026-11-07", 1), (None, None), ("2030-01-01", None)],
)
def test_the_mark_stands_at_the_first_date_not_before_order_by(order_by: str, place: int | None):
    dates = pd.to_datetime(["2026-10-31", "2026-11-07", "2026-11-14"])
    assert mark_place(dates, pd.Timestamp(order_by)) == place
