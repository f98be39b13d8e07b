"""The price of an offer: the cost at the chosen risk, with a margin, in even amounts."""

from typing import NamedTuple

import pandas as pd

MONTHS = 12


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

    The margin is a share of the price: price = cost at risk / (1 - margin).

    Parameters
    ----------
    total : DataFrame
        One row, the whole contract: mean, at_risk, per_hour and per_1000m2 (of the mean).
    years : contract years
    margin : share of the price that is not cost, below 1
    """
    row = total.iloc[0]
    whole = float(row["at_risk"]) / (1 - margin)
    over_mean = whole / float(row["mean"])
    year = whole / years
    return OfferPrice(
        whole,
        year,
        year / MONTHS,
        float(row["per_hour"]) * over_mean,
        float(row["per_1000m2"]) * over_mean,
    )
