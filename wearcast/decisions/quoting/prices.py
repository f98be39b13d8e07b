"""Prices of a proposal: brought to its start, and by the step that a year's volume reaches.

Prices from the learnt catalogue are of its log's date and grow from there to the start; a price
that the proposal itself names holds at the start. Where a catalogue has price steps, a part is
priced by the pieces of a mean year, as if they were bought together.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from wearcast.decisions.costing.unit_costs import slot_prices
from wearcast.decisions.ordering.prices import Terms, price_at
from wearcast.decisions.quoting.spent import CONTRACT_DAYS
from wearcast.logbook.book import Logbook
from wearcast.outlook.records import Draws
from wearcast.told import Problem


def grown(prices: pd.Series, since: pd.Timestamp | None, book: Logbook, a_year: float) -> pd.Series:
    """Prices of a day brought to the proposal's start, at so much growth a year."""
    days = 0 if since is None or pd.isna(since) else (book.as_of - since).days
    growth = (1.0 + a_year) ** (max(days, 0) / CONTRACT_DAYS)
    return pd.Series(prices.to_numpy(float) * growth, index=prices.index)


def with_breaks(
    book: Logbook, proposal: Logbook, breaks: pd.DataFrame, since: pd.Timestamp, a_year: float
) -> Logbook:
    """The proposal with the learnt price steps of parts that it does not price itself."""
    own = set(proposal.parts.loc[proposal.parts["price"].notna(), "part"])
    learnt = breaks[~breaks["part"].isin(own)]
    learnt = learnt.assign(price=grown(learnt["price"], since, proposal, a_year))
    kept = book.price_breaks[book.price_breaks["part"].isin(own)]
    steps = pd.concat([frame for frame in (kept, learnt) if len(frame)] or [kept])
    return replace(book, price_breaks=steps.reset_index(drop=True))


def pieces_a_year(walked: Sequence[tuple[np.ndarray, Draws]], draws: int, days: int) -> pd.Series:
    """Expected pieces a year by part, from walks that are arrays (draws,) of draws' numbers."""
    pieces = [
        pd.Series(np.bincount(one.slot, minlength=len(one.slots)) * one.slots["pieces"].to_numpy())
        .groupby(one.slots["part"].to_numpy())
        .sum()
        for _, one in walked
    ]
    return pd.concat(pieces).groupby(level=0).sum() * CONTRACT_DAYS / (days * draws)


def by_volume(book: Logbook, a_year: pd.Series) -> tuple[Logbook, tuple[Problem, ...]]:
    """The proposal with each part at the step of its pieces a year, and what is told of it."""
    steps = book.price_breaks.dropna(subset=["price"]).sort_values(["part", "from_pieces"])
    prices, told = {}, []
    for part, rows in steps[steps["part"].isin(a_year.index)].groupby("part"):
        if len(rows) < 2:
            continue
        volume = float(a_year[part])
        terms = Terms(1.0, 0.0, tuple(zip(rows["from_pieces"], rows["price"], strict=True)))
        prices[part] = price_at(volume, terms)
        told.append(
            Problem("parts", "parts", (), "from_pieces", str(part), "note",
                    f"priced at {prices[part]:,.2f}, the step of the {volume:,.0f} pieces of a "
                    f"mean year", "Write the price that was agreed if they are not bought together")
        )  # fmt: skip
    price = book.parts["part"].map(prices).fillna(book.parts["price"])
    return replace(book, parts=book.parts.assign(price=price.astype(float))), tuple(told)


def unit_table(book: Logbook, a_year: pd.Series, spent: pd.DataFrame) -> pd.DataFrame:
    """What a piece of each part is taken to cost, and how many pieces a mean year takes.

    Parameters
    ----------
    book : Logbook
        With its prices as the quote takes them, at the start.
    a_year : Series
        Pieces a year by part.
    spent : DataFrame
        See `wearcast.decisions.quoting.spent.moves`.

    Returns
    -------
    DataFrame
        part, price (a piece; nan: none known), minutes, turn_minutes, pieces_a_year, mean (money
        for parts a year, growth included), share (of all the money); dearest first.
    """
    money = spent[spent["by"].eq("part")].set_index("where")
    table = a_year.rename_axis("part").reset_index(name="pieces_a_year")
    table["price"] = slot_prices(table, book.parts)
    minutes = book.parts.set_index("part")[["minutes", "turn_minutes"]]
    table = table.join(minutes, on="part").join(money[["mean", "share"]], on="part")
    columns = ["part", "price", "minutes", "turn_minutes", "pieces_a_year", "mean", "share"]
    table = table[columns].sort_values("mean", ascending=False, kind="stable")
    return table.reset_index(drop=True)
