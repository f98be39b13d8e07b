"""What the parts that were used cost at today's prices: the measure to hold an order against.

The logbook says what was fitted, not what was bought, so a quarter's use stands for a quarter's
purchases.
"""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from wearcast.history.quarters import QUARTER_DAYS, YEAR_DAYS

if TYPE_CHECKING:
    from wearcast.forecast import Forecast


def money_by_supplier(forecast: "Forecast") -> pd.DataFrame:
    """Money by supplier in three stretches of 13 weeks; parts without a price count as nothing.

    Returns
    -------
    DataFrame (index: supplier)
        coming (expected use of the 13 weeks after as-of), last (used in the 13 weeks up to as-of),
        last_year (used in the coming 13 weeks a year before); nan where the log began later.
    """
    as_of, parts = forecast.choices.as_of, forecast.book.parts
    year_back = as_of - pd.Timedelta(days=YEAR_DAYS)
    prices = parts.set_index("part")["price"].astype(float).fillna(0.0)
    suppliers = parts.set_index("part")["supplier"]
    begun = forecast.history.machines["first_date"].min()
    stretches = {"last": as_of, "last_year": year_back + pd.Timedelta(days=QUARTER_DAYS)}
    by_part = {"coming": _coming(forecast)} | {
        name: _used(forecast.history.uses, end, begun) for name, end in stretches.items()
    }
    money = pd.DataFrame({name: pieces.mul(prices) for name, pieces in by_part.items()})
    for name, pieces in by_part.items():
        money[name] = np.nan if pieces.isna().all() else money[name].fillna(0.0)
    return money.groupby(suppliers.reindex(money.index)).sum(min_count=1)


def _coming(forecast: "Forecast") -> pd.Series:
    table = forecast.forecast
    quarter = table[(table["level"] == "fleet") & (table["period"] == "quarter")]
    return quarter[quarter["part"] != "all"].set_index("part")["mean"].astype(float)


def _used(uses: pd.DataFrame, end: pd.Timestamp, begun: pd.Timestamp) -> pd.Series:
    """Pieces of each part in the 13 weeks up to a day; not known before the log begins."""
    start = end - pd.Timedelta(days=QUARTER_DAYS)
    inside = uses["date"].gt(start) & uses["date"].le(end)
    pieces = uses["pieces"].where(inside, 0.0).groupby(uses["part"]).sum().astype(float)
    return pieces if begun <= start else pieces * np.nan
