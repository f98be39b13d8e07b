"""Which quarters the hours of spells are said to have run in."""

import numpy as np
import pandas as pd
import pytest

from tests.history.books import history
from wearcast.wear.gather import shares_of_quarters

COLUMNS = "machine  position  date        action  part  cause\n"


def quarters(days):
    """The quarters of a log of so many days, with a turn each month."""
    as_of = pd.Timestamp("2026-10-05")
    read = pd.date_range(end=as_of, periods=days + 1, freq="D")
    turned = read[10::30].strftime("%Y-%m-%d")
    rows = "".join(f"M1  front  {date}  turn  B4  worn\n" for date in turned)
    hours = 3.0 * np.arange(days + 1)
    readings = pd.DataFrame({"machine": "M1", "date": read, "hours": hours})
    past = history("2026-10-05", changes=COLUMNS + rows, readings=readings)
    return shares_of_quarters(past)


@pytest.mark.parametrize(
    ("days", "oldest"),
    [(30, 0), (91, 0), (91 + 44, 0), (91 + 48, 1), (3 * 91 + 7, 2), (3 * 91 + 60, 3)],
)
def test_less_than_half_of_the_oldest_quarter_goes_with_the_next(days, oldest):
    shares = quarters(days)
    assert shares["quarter"].max() == oldest
    assert shares.groupby("spell")["share"].sum().to_numpy() == pytest.approx(1)
    assert shares.groupby("spell")["last"].sum().eq(1).all()
