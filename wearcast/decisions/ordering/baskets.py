"""The lines of one supplier and day as one order: its price steps, smallest value and carriage.

An order below the supplier's smallest value takes more of what is used up first, pack by pack; one
below free carriage does so where holding the surplus until the next order costs less than the
carriage. No part is bought for more than one more time between orders.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.prices import Terms, price_at, whole_packs
from wearcast.logbook.choices import Choices

ORDERS = (
    "supplier", "order_on", "order_by", "lines", "pieces", "value", "min_value", "below_min",
    "carriage_from", "carriage", "topped_up", "not_counted", "late", "contact",
)  # fmt: skip
_BASKET = ["supplier", "order_on"]


@dataclass(frozen=True, slots=True)
class _Seller:
    """A supplier's conditions; 0 where there is none."""

    min_value: float = 0.0
    free_from: float = 0.0
    carriage: float = 0.0


def fill_baskets(
    lines: pd.DataFrame, suppliers: pd.DataFrame, terms: dict[str, Terms], choices: Choices
) -> pd.DataFrame:
    """The lines with what their orders need to reach the supplier's values, and their prices.

    Returns
    -------
    DataFrame
        The lines with order_pieces, topped_up (pieces bought for the supplier's values),
        unit_price, order_packs and line_total.
    """
    lines = lines.assign(topped_up=0.0)
    for row in suppliers.to_dict("records"):
        seller = _Seller(
            *(float(row[name]) if row[name] > 0 else 0.0
              for name in ("min_value", "carriage", "carriage_cost"))
        )  # fmt: skip
        theirs = lines[lines["supplier"] == row["supplier"]]
        for day in theirs["order_on"].dropna().unique():
            more = _more(theirs, day, seller, terms, choices)
            pieces = lines["order_pieces"].add(more, fill_value=0.0)
            lines = lines.assign(
                order_pieces=pieces, topped_up=lines["topped_up"].add(more, fill_value=0.0)
            )
            lines = _joined(lines, day)
    return with_prices(lines, terms)


def _joined(lines: pd.DataFrame, day: pd.Timestamp) -> pd.DataFrame:
    """The lines that need no order and yet go out with one, to make it worth enough."""
    joined = lines["topped_up"].gt(0) & lines["order_on"].isna()
    return lines.assign(
        order_on=lines["order_on"].mask(joined, day),
        order_by=lines["order_by"].mask(joined, lines["could_wait_until"]),
        status=lines["status"].mask(joined, "order"),
    )


def with_prices(lines: pd.DataFrame, terms: dict[str, Terms]) -> pd.DataFrame:
    """The lines with the price of all pieces of a part that are ordered on one day."""
    together = lines.groupby(["part", "order_on"], dropna=False)["order_pieces"].transform("sum")
    prices = [
        price_at(max(pieces, 1.0), terms[part])
        for part, pieces in zip(lines["part"], together, strict=True)
    ]
    pieces = lines["order_pieces"]
    total = (pieces * pd.Series(prices, index=lines.index, dtype=float)).where(pieces > 0, 0.0)
    return lines.assign(unit_price=prices, order_packs=pieces / lines["pack"], line_total=total)


def _more(
    theirs: pd.DataFrame,
    day: pd.Timestamp,
    seller: _Seller,
    terms: dict[str, Terms],
    choices: Choices,
) -> pd.Series:
    """Pieces to add to each line that may go out with the order of a day."""
    basket = theirs[theirs["order_on"].eq(day) | theirs["order_on"].isna()]
    value = float(with_prices(basket[basket["order_on"].notna()], terms)["line_total"].sum())
    nothing = pd.Series(0.0, index=basket.index)
    if value < seller.min_value:
        return _filled(basket, value, seller.min_value, choices)
    if not 0 < value < seller.free_from or not seller.carriage:
        return nothing
    more = _filled(basket, value, seller.free_from, choices)
    added = float((more * basket["unit_price"]).sum())
    held = added * choices.holding_rate * choices.review_weeks / 52
    return more if value + added >= seller.free_from and held < seller.carriage else nothing


def _filled(basket: pd.DataFrame, value: float, wanted: float, choices: Choices) -> pd.Series:
    """Pieces to add so that the order is worth so much, of what is used up first."""
    days = (basket["to"] - choices.as_of).dt.days.to_numpy(float)
    daily = basket["expected_use"].to_numpy(float) / days
    price = basket["unit_price"].to_numpy(float)
    pack, fewest = basket["pack"].to_numpy(float), basket["min_order"].to_numpy(float)
    before = basket["order_pieces"].to_numpy(float)
    beyond = basket["there"].to_numpy(float) + before - basket["order_up_to"].to_numpy(float)
    may = (daily > 0) & (price > 0) & basket["on_hand"].notna().to_numpy()
    may &= basket["replaced_by"].eq("").to_numpy()
    more = np.zeros(len(basket))
    while value < wanted and may.any():
        # Days that each part lasts beyond its window; the first to be used up comes first.
        lasts = np.where(may, (beyond + more) / np.where(daily > 0, daily, 1.0), np.inf)
        place = int(np.argmin(lasts))
        fresh = before[place] + more[place] == 0
        step = whole_packs(max(fewest[place], 1.0), pack[place]) if fresh else pack[place]
        if lasts[place] + step / daily[place] > 7 * choices.review_weeks:
            may[place] = False
            continue
        more[place] += step
        value += step * price[place]
    return pd.Series(more, index=basket.index)


def baskets(lines: pd.DataFrame, suppliers: pd.DataFrame) -> pd.DataFrame:
    """One row a supplier and day on which an order goes out: the columns of `ORDERS`.

    value is money for the pieces (lines without a price aside); below_min is what it lacks to the
    supplier's smallest order; carriage is what carriage costs; carriage_from the value from which
    it is free; topped_up money for pieces bought to reach either; not_counted and late count lines
    whose shelf nobody counted and that come too late; order_by is the earliest of the lines.
    """
    bought = lines[lines["order_pieces"] > 0]
    if bought.empty:
        return pd.DataFrame(columns=list(ORDERS))
    told = bought.assign(
        topped_up=bought["topped_up"] * bought["unit_price"],
        not_counted=bought["status"].eq("not counted"),
        late=bought["status"].eq("overdue"),
    )
    orders = told.groupby(_BASKET, as_index=False).agg(
        order_by=("order_by", "min"),
        lines=("part", "size"),
        pieces=("order_pieces", "sum"),
        value=("line_total", "sum"),
        topped_up=("topped_up", "sum"),
        not_counted=("not_counted", "sum"),
        late=("late", "sum"),
    )
    money = dict.fromkeys(("min_value", "carriage", "carriage_cost"), float)
    about = suppliers.set_index("supplier")[[*money, "contact"]].astype(money)
    orders = orders.join(about.rename(columns={"carriage": "carriage_from"}), on="supplier")
    below = orders["value"] < orders["carriage_from"]
    return orders.assign(
        below_min=(orders["min_value"] - orders["value"]).clip(lower=0.0).fillna(0.0),
        carriage=orders["carriage_cost"].where(below, 0.0).fillna(0.0),
        contact=orders["contact"].fillna(""),
    )[list(ORDERS)]
