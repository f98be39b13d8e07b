"""Working days, and gathering the lines of one supplier on few order days."""

from collections.abc import Sequence

import numpy as np
import pandas as pd

_LOOK_AHEAD = 62
"""Days: every weekday and every day of the month up to the 28th occurs in them."""
_A_DAY = pd.Timedelta(days=1)


def last_working_day(day: pd.Timestamp, closed: Sequence[pd.Timestamp]) -> pd.Timestamp:
    """The day itself, or the last working day before it."""
    return _roll(day, closed, "backward")


def first_working_day(day: pd.Timestamp, closed: Sequence[pd.Timestamp]) -> pd.Timestamp:
    """The day itself, or the first working day after it."""
    return _roll(day, closed, "forward")


def _roll(day: pd.Timestamp, closed: Sequence[pd.Timestamp], way: str) -> pd.Timestamp:
    holidays = np.array([date.to_datetime64() for date in closed], dtype="datetime64[D]")
    date = day.to_datetime64().astype("datetime64[D]")
    return pd.Timestamp(np.busday_offset(date, 0, roll=way, holidays=holidays))  # type: ignore[call-overload]


def first_order_day(
    day: pd.Timestamp, closed: Sequence[pd.Timestamp], order_day: str
) -> pd.Timestamp:
    """The first day, from a day on, on which a supplier takes orders and somebody works.

    Parameters
    ----------
    day : day
    closed : days without work
    order_day : a weekday (``Tuesday``), a day of the month (``15``), or blank: any
    """
    named = pd.date_range(day, periods=_LOOK_AHEAD, freq="D")
    if order_day.isdigit():
        named = named[named.day == int(order_day)]
    elif order_day:
        named = named[named.day_name() == order_day]
    return first_working_day(named[0], closed)


def last_order_day(
    day: pd.Timestamp, first: pd.Timestamp, closed: Sequence[pd.Timestamp], order_day: str
) -> pd.Timestamp:
    """The supplier's last order day up to a day; the first working day if there is none."""
    taken = first_order_day(first, closed, order_day)
    if taken > day:
        return first
    while order_day and (later := first_order_day(taken + _A_DAY, closed, order_day)) <= day:
        taken = later
    return taken if order_day else day


def gather(order_by: pd.Series, supplier: pd.Series, gather_days: float) -> pd.Series:
    """The day each line goes out: the earliest order-by date of its supplier's gathered lines.

    A supplier's lines are taken in the order of their dates; a line joins the order that is open
    if its date lies no more than `gather_days` after that order's, else it opens the next one.

    Parameters
    ----------
    order_by : Series of dates, no blanks
    supplier : Series of names, same index; a blank name gathers with nothing
    gather_days : days

    Returns
    -------
    Series of dates, same index
    """
    named = order_by[supplier != ""].groupby(supplier, sort=True)
    gathered = [_open_days(dates.sort_values(kind="stable"), gather_days) for _, dates in named]
    out: pd.Series = pd.concat([*gathered, order_by[supplier == ""]]).reindex(order_by.index)
    return out


def _open_days(dates: pd.Series, gather_days: float) -> pd.Series:
    opened = [dates.iloc[0]]
    for date in dates.iloc[1:]:
        joins = (date - opened[-1]).days <= gather_days
        opened.append(opened[-1] if joins else date)
    return pd.Series(opened, index=dates.index, dtype=dates.dtype)
