"""The price of an offer: the cost at the chosen risk, with a margin, in even amounts."""

import math
from typing import NamedTuple

import pandas as pd

from wearcast.logbook.book import Logbook

MONTHS, CENTS = 12, 100


class OfferPrice(NamedTuple):
    """What the client pays [currency], the same in every month of the contract."""

    whole: float
    year: float
    month: float
    hour: float
    """Of all machines' run hours; nan where none are planned."""
    area: float
    """Of 1,000 m2 cleaned; nan where an area rate is not known."""


def offer_price(total: pd.DataFrame, years: int, margin: float) -> OfferPrice:
    """The price that covers the cost at the chosen risk and leaves the margin.

    The margin is a share of the price: price = cost at risk / (1 - margin). A month is rounded up
    to a hundredth of the currency; the year and the whole are so many months, so that what a
    client adds up agrees.

    Parameters
    ----------
    total : DataFrame
        One row, the whole contract: mean, at_risk, per_hour and per_1000m2 (of the mean).
    years : contract years
    margin : share of the price that is not cost, below 1
    """
    row = total.iloc[0]
    needed = float(row["at_risk"]) / (1 - margin) / (MONTHS * years)
    month = math.ceil(round(CENTS * needed, 4)) / CENTS
    whole = month * MONTHS * years
    over_mean = whole / float(row["mean"])
    return OfferPrice(
        whole,
        month * MONTHS,
        month,
        float(row["per_hour"]) * over_mean,
        float(row["per_1000m2"]) * over_mean,
    )


def first_outfit(book: Logbook) -> float:
    """What all parts that the machines carry at first would cost [currency], those with a price."""
    prices = book.parts.drop_duplicates("part").set_index("part")["price"].astype(float)
    placed = book.positions
    return float((placed["part"].map(prices) * placed["pieces"].fillna(1.0)).sum())
