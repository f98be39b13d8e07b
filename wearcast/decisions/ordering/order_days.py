"""The day on which each line goes out.

At once: on the next order day of its supplier, or on the next working day where one of the
supplier's lines cannot wait for that. By date: on its order-by date, gathered with the supplier's
other lines, on an order day of the supplier.
"""

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.policy import Place, Policy
from wearcast.decisions.ordering.workdays import first_working_day, gather, last_order_day

SOON_DAYS = 7
"""A line that must go out this soon is to be ordered now."""


def with_order_days(lines: pd.DataFrame, policy: Policy, suppliers: pd.DataFrame) -> pd.DataFrame:
    """The lines with order_on, in_time (chance that an order then comes in time) and status."""
    choices = policy.choices
    lines = lines.assign(order_by=lines["order_by"].astype("datetime64[ns]"))
    buys = lines[lines["order_pieces"] > 0]
    days = by_date(buys, policy, suppliers) if choices.ordering == "by date" else None
    order_on = (days if days is not None else at_once(buys, policy)).reindex(lines.index)
    day = (order_on - choices.as_of).dt.days
    in_time = [
        float(np.mean(latest >= on)) if np.isfinite(on) and not np.isnan(latest).all() else np.nan
        for latest, on in zip(lines["latest"], day, strict=True)
    ]
    must_go = order_on if days is not None else lines["order_by"]
    soon = must_go <= choices.as_of + pd.Timedelta(days=SOON_DAYS)
    status = lines["status"].mask(lines["status"].eq("order") & soon, "order now")
    return lines.assign(order_on=order_on.astype("datetime64[ns]"), in_time=in_time, status=status)


def at_once(buys: pd.DataFrame, policy: Policy) -> pd.Series:
    """The day on which each line goes out if all go out at once."""
    choices = policy.choices
    today = first_working_day(choices.as_of, choices.closed_days)
    taken = _next_days(buys, policy)
    cannot_wait = (buys["order_by"] < taken).groupby(buys["supplier"]).transform("any")
    day: pd.Series = taken.mask(cannot_wait & buys["supplier"].ne(""), today)
    return day


def _next_days(buys: pd.DataFrame, policy: Policy) -> pd.Series:
    """The next order day of each line's supplier."""
    ahead = buys["part"].map(policy.order_days).astype(float)
    days: pd.Series = policy.choices.as_of + pd.to_timedelta(ahead, unit="D")
    return days


def by_date(buys: pd.DataFrame, policy: Policy, suppliers: pd.DataFrame) -> pd.Series:
    """The day on which each line goes out if each waits for its order-by date.

    A line without one, of a shelf that nobody counted, goes out on the next order day.
    """
    choices = policy.choices
    today = first_working_day(choices.as_of, choices.closed_days)
    wanted = buys["order_by"].fillna(_next_days(buys, policy))
    due = wanted.where(wanted >= today, today)
    gathered = gather(due, buys["supplier"], choices.gather_days)
    known = suppliers.set_index("supplier")["order_day"].astype(object)
    takes = buys["supplier"].map(known).astype(object).fillna("")
    return pd.Series(
        [
            last_order_day(day, today, choices.closed_days, named)
            for day, named in zip(gathered, takes, strict=True)
        ],
        index=buys.index,
        dtype="datetime64[ns]",
    )


def planned_days(lines: pd.DataFrame, as_of: pd.Timestamp) -> dict[Place, int]:
    """The day after as-of on which each shelf's order goes out."""
    goes = lines[lines["order_on"].notna()]
    days = (goes["order_on"] - as_of).dt.days
    return dict(zip(zip(goes["depot"], goes["part"], strict=True), days, strict=True))
