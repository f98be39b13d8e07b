"""What is there and what is coming: stock at as-of, open orders, and how long a delivery takes.

The day after as-of is day 1. Stock counted on a day is brought to as-of: what was fitted at that
depot since the count is taken off, and orders that fell due in between are added.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.told import Problem
from wearcast.wear.streams import machine_stream

_SHELF = ["depot", "part"]


@dataclass(frozen=True, slots=True)
class Supply:
    """Stock and open orders of every shelf."""

    stock: pd.DataFrame
    """One row a shelf with a stock row (index: depot, part): on_hand (pieces at as-of, 0 or more),
    counted (date), fitted (pieces taken off), received (pieces added)."""
    coming: pd.DataFrame
    """One row an open order: depot, part, pieces, due, source, row (of on_order), day (of arrival,
    1 or later), late (bool: past due at as-of)."""
    lead: pd.DataFrame
    """One row a part (index): days, sd (of the time from order to delivery), assumed (bool)."""
    told: tuple[Problem, ...] = ()


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
    counted = _counts(book.stock, choices.as_of)
    orders = book.on_order.join(counted["counted"], on=_SHELF)
    orders["counted"] = orders["counted"].fillna(choices.as_of)
    in_between = (orders["due"] > orders["counted"]) & (orders["due"] <= choices.as_of)
    received = orders[in_between].groupby(_SHELF)["pieces"].sum()
    fitted = _fitted_since(uses, counted, choices.as_of)
    stock = counted.assign(fitted=fitted, received=received).fillna({"fitted": 0, "received": 0})
    at_as_of = stock["on_hand"] - stock["fitted"] + stock["received"]
    coming = _coming(orders[~in_between], lead, choices.as_of)
    return Supply(
        stock=stock.assign(on_hand=at_as_of.clip(lower=0)),
        coming=coming,
        lead=lead,
        told=(*_tell_used_up(at_as_of), *_tell_late(coming), *_tell_lead(lead, book, choices)),
    )


def lead_days(supply: Supply, depot: str, part: str, choices: Choices) -> np.ndarray:
    """Whole days from order to delivery, one a draw: gamma with the part's mean and spread.

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
    """Pieces of open orders delivered from as-of to the end of each day; array (days + 1,)."""
    coming = supply.coming
    here = coming[(coming["depot"] == depot) & (coming["part"] == part) & (coming["day"] <= days)]
    daily = np.bincount(here["day"].to_numpy(int), here["pieces"].to_numpy(float), days + 1)
    return np.cumsum(daily)


def coming_to(supply: Supply, depot: str, part: str, days: int) -> tuple[int, float]:
    """Day on which the last open order within so many days arrives (0: none), and late pieces."""
    coming = supply.coming
    here = coming[(coming["depot"] == depot) & (coming["part"] == part) & (coming["day"] <= days)]
    return int(here["day"].max()) if len(here) else 0, float(here.loc[here["late"], "pieces"].sum())


def _lead_times(parts: pd.DataFrame, choices: Choices) -> pd.DataFrame:
    lead = parts.set_index("part")[["lead_days", "lead_days_sd"]].astype(float)
    assumed = lead["lead_days"].isna()
    days = lead["lead_days"].fillna(choices.lead_days)
    return pd.DataFrame({"days": days, "sd": lead["lead_days_sd"].fillna(0.0), "assumed": assumed})


def _counts(stock: pd.DataFrame, as_of: pd.Timestamp) -> pd.DataFrame:
    """Pieces counted a shelf, and the newest day of counting."""
    dated = stock.assign(counted=stock["counted"].fillna(as_of))
    return dated.groupby(_SHELF)[["on_hand", "counted"]].agg({"on_hand": "sum", "counted": "max"})


def _fitted_since(uses: pd.DataFrame, counted: pd.DataFrame, as_of: pd.Timestamp) -> pd.Series:
    dated = uses[["depot", "part", "date", "pieces"]].join(counted["counted"], on=_SHELF)
    after = (dated["date"] > dated["counted"]) & (dated["date"] <= as_of)
    return dated[after].groupby(_SHELF)["pieces"].sum()


def _coming(orders: pd.DataFrame, lead: pd.DataFrame, as_of: pd.Timestamp) -> pd.DataFrame:
    """Open orders with the day of arrival; past-due ones are expected after half a lead time."""
    late = orders["due"] <= as_of
    ahead = (orders["due"] - as_of).dt.days
    half = np.ceil(orders["part"].map(lead["days"]).to_numpy(float) / 2)
    day = np.where(late, np.maximum(half, 1.0), ahead).astype(int)
    columns = ["depot", "part", "pieces", "due", "source", "row"]
    coming = orders.reindex(columns=columns).assign(day=day, late=late)
    return coming.sort_values(["depot", "part", "due", "pieces"], ignore_index=True)


def _tell_used_up(at_as_of: pd.Series) -> list[Problem]:
    short = at_as_of[at_as_of < 0]
    if short.empty:
        return []
    names = ", ".join(f"{part} at {depot}" for depot, part in short.index)
    return [
        Problem(
            "stock", "stock", (), "on_hand", "", "note",
            f"more was fitted since the count than lay on the shelf: {names}; taken as none left",
            "Count these parts again and write the day under counted",
            weight=float(-short.sum()),
        )
    ]  # fmt: skip


def _tell_late(coming: pd.DataFrame) -> list[Problem]:
    """One finding for each file with orders that are past due."""
    late = coming[coming["late"]]
    return [
        Problem(
            str(source), "on_order", tuple(sorted(here["row"].dropna().astype(int))), "due", "",
            "note", f"{_how_many(here)} expected after half a lead time: {_shelves(here)}",
            "Ask the supplier for a new date, or delete what has arrived",
            weight=float(here["pieces"].sum()),
        )
        for source, here in late.groupby(late["source"].astype(object).fillna("on_order"))
    ]  # fmt: skip


def _how_many(late: pd.DataFrame) -> str:
    if len(late) == 1:
        return "1 open order is past due; it is"
    return f"{len(late)} open orders are past due; they are"


def _shelves(orders: pd.DataFrame) -> str:
    return ", ".join(sorted(orders["part"] + " at " + orders["depot"]))


def explained(book: Logbook, column: str) -> set[str]:
    """Parts of which it is told already why the catalogue says nothing under a column.

    Their cell was set aside; or they have no line, where whole lines were set aside.
    """
    aside = [each for each in book.told if each.table == "parts" and each.severity == "set aside"]
    if not aside:
        return set()
    cells = {(each.source, row) for each in aside if each.column == column for row in each.rows}
    lines = any(tally.table == "parts" and tally.set_aside for tally in book.tallies)
    places = zip(book.parts["source"], book.parts["row"], strict=True)
    here = np.array([place in cells for place in places], dtype=bool)
    return set(book.parts["part"][here | (~book.parts["catalogued"] & lines)])


def _tell_lead(lead: pd.DataFrame, book: Logbook, choices: Choices) -> list[Problem]:
    names = ", ".join(sorted(set(lead.index[lead["assumed"]]) - explained(book, "lead_days")))
    if not names:
        return []
    return [
        Problem(
            "parts", "parts", (), "lead_days", "", "note",
            f"no delivery time is given for {names}; {choices.lead_days:g} days are assumed",
            "Write the usual days from order to delivery under lead_days",
        )
    ]  # fmt: skip
