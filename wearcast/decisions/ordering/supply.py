"""What is there and what is coming: stock at as-of, open orders, and how long a delivery takes.

The day after as-of is day 1. A shelf without a usable count is not counted: it is missing here,
and never taken for empty.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.counts import SHELF, newest_counts, shelf_counts
from wearcast.decisions.ordering.open_orders import COMING, ON_SHELF, orders_by_fate
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.wear.streams import machine_stream


@dataclass(frozen=True, slots=True)
class Supply:
    """Stock and open orders of every shelf."""

    stock: pd.DataFrame
    """One row a shelf that was counted (index: depot, part): on_hand (pieces at as-of, 0 or more),
    at_as_of (the same, below 0 where more was fitted than lay there), counted (day), fitted and
    received (pieces since), expected (at the count, by the count before; nan: none), found."""
    orders: pd.DataFrame
    """Every open order with its fate, see `orders_by_fate`."""
    coming: pd.DataFrame
    """One row an order still to come: depot, part, pieces, due, source, row (of on_order), day (of
    arrival, 1 or later), late (bool: past due at as-of)."""
    lead: pd.DataFrame
    """One row a part (index): days, sd (of the time from order to delivery), assumed (bool)."""


def read_supply(book: Logbook, uses: pd.DataFrame, choices: Choices) -> Supply:
    """Stock, open orders and delivery times at as-of.

    Parameters
    ----------
    book : Logbook
    uses : DataFrame
        The history's uses: depot, part, date, pieces.
    choices : Choices
    """
    lead = _lead_times(book.parts, choices)
    counts = newest_counts(book.stock, choices.as_of)
    orders = orders_by_fate(book.on_order, counts["counted"], choices.as_of)
    came = orders[orders["fate"].isin((*ON_SHELF, "in count"))]
    until_now = uses[uses["date"] <= choices.as_of]
    stock = shelf_counts(counts, until_now, came, choices.as_of, _began(book))
    return Supply(
        stock=stock.assign(on_hand=stock["at_as_of"].clip(lower=0.0)),
        orders=orders,
        coming=_coming(orders, lead, choices.as_of),
        lead=lead,
    )


def _began(book: Logbook) -> pd.Timestamp:
    """The log's first day; what was fitted before it nobody wrote down."""
    return pd.Timestamp(pd.concat([book.readings["date"], book.changes["date"]]).min())


def lead_days(supply: Supply, depot: str, part: str, choices: Choices) -> np.ndarray:
    """Whole days from order to delivery, array (draws,): gamma with the part's mean and spread.

    Without a spread every delivery takes the mean, rounded up.
    """
    mean, spread = lead_time(supply, part)
    if mean <= 0 or spread <= 0:
        return np.full(choices.draws, np.ceil(max(mean, 0.0)))
    stream = machine_stream(choices.seed, f"{depot}/{part}", "lead time")
    shape = (mean / spread) ** 2
    return np.ceil(stream.gamma(shape, mean / shape, choices.draws))


def lead_time(supply: Supply, part: str) -> tuple[float, float]:
    """Mean and standard deviation of the days from order to delivery."""
    about = supply.lead.loc[[part]]
    return float(about["days"].iloc[0]), float(about["sd"].iloc[0])


def on_order_by(supply: Supply, depot: str, part: str, days: int) -> np.ndarray:
    """Pieces of open orders delivered from as-of to the end of each day: array (days + 1,)."""
    here = _coming_here(supply, depot, part, days)
    daily = np.bincount(here["day"].to_numpy(int), here["pieces"].to_numpy(float), days + 1)
    return np.cumsum(daily)


def coming_to(supply: Supply, depot: str, part: str, days: int) -> tuple[int, float]:
    """Day on which the last open order within so many days arrives (0: none), and late pieces."""
    here = _coming_here(supply, depot, part, days)
    return int(here["day"].max()) if len(here) else 0, float(here.loc[here["late"], "pieces"].sum())


def _coming_here(supply: Supply, depot: str, part: str, days: int) -> pd.DataFrame:
    coming = supply.coming
    there = (coming["depot"] == depot) & (coming["part"] == part) & (coming["day"] <= days)
    return coming[there]


def _lead_times(parts: pd.DataFrame, choices: Choices) -> pd.DataFrame:
    lead = parts.set_index("part")[["lead_days", "lead_days_sd"]].astype(float)
    assumed = lead["lead_days"].isna()
    days = lead["lead_days"].fillna(choices.lead_days)
    return pd.DataFrame({"days": days, "sd": lead["lead_days_sd"].fillna(0.0), "assumed": assumed})


def _coming(orders: pd.DataFrame, lead: pd.DataFrame, as_of: pd.Timestamp) -> pd.DataFrame:
    """Open orders with the day of arrival; past-due ones are expected after half a lead time."""
    orders = orders[orders["fate"].isin(COMING)]
    late = orders["fate"].eq("late")
    ahead = (orders["due"] - as_of).dt.days
    half = np.ceil(orders["part"].map(lead["days"]).to_numpy(float) / 2)
    day = np.where(late, np.maximum(half, 1.0), ahead).astype(int)
    columns = [*SHELF, "pieces", "due", "source", "row"]
    coming = orders[columns].assign(day=day, late=late)
    return coming.sort_values([*SHELF, "due", "pieces"], ignore_index=True)
