"""Edges thrown away unused: how many of each part's edges are used, and what the rest costs."""

import numpy as np
import pandas as pd

from wearcast.decisions.costing.unit_costs import SCALE, price_growth, slot_prices
from wearcast.history.quarters import YEAR_DAYS
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Draws
from wearcast.wear.records import Wear

COLUMNS = (
    "site", "wears_as", "parts_spent", "edges_used", "edges_available", "mean_edges_used",
    "lost_per_year", "lost_low", "lost_high",
)  # fmt: skip


def edge_losses(draws: Draws, wear: Wear, book: Logbook, choices: Choices) -> pd.DataFrame:
    """Edge use by site and wear class, with what full use would save in the coming year.

    Returns
    -------
    DataFrame
        site, wears_as, parts_spent, edges_used, edges_available, mean_edges_used (what the log
        shows; blank without a spent part), lost_per_year, lost_low, lost_high (mean and 90 %
        range: price of the edges thrown away unused; blank where no price is known). Only parts
        with more than one edge.
    """
    many = draws.slots[draws.slots["edges"] > 1]
    groups = many[["site", "wears_as"]].astype(str)
    places = pd.MultiIndex.from_frame(groups).unique().sort_values()
    seen = _seen(wear)
    number = np.full(len(draws.slots), -1)
    number[many.index] = places.get_indexer(pd.MultiIndex.from_frame(groups))
    lost = _lost_money(draws, number, len(places), book, choices)
    low, high = (
        np.quantile(lost, [0.05, 0.95], axis=1) if len(places) else (np.zeros(0), np.zeros(0))
    )
    ahead = pd.DataFrame(
        {"lost_per_year": lost.mean(axis=1), "lost_low": low, "lost_high": high}, index=places
    )
    frame = seen.join(ahead, how="outer").sort_index().reset_index()
    return frame[list(COLUMNS)]


def _seen(wear: Wear) -> pd.DataFrame:
    """What the log shows of edge use, by site and wear class."""
    edges = pd.DataFrame(wear.edge_table)
    return edges.set_index(["site", "wears_as"])


def _lost_money(
    draws: Draws, number: np.ndarray, places: int, book: Logbook, choices: Choices
) -> np.ndarray:
    """Price of the edges lost in a year; array (places, draws), nan where no price is known."""
    price = slot_prices(draws.slots, book.parts)
    value = np.nan_to_num(price * (draws.slots["pieces"] / draws.slots["edges"]).to_numpy(float))
    lost = np.zeros((places, draws.draws))
    for at, block in draws.placed():
        within = np.flatnonzero((block.edges_lost > 0) & (block.day <= YEAR_DAYS))
        slot, draw = np.divmod(block.row[within], draws.draws)
        money = value[at][slot] * price_growth(block.day[within], choices)
        group, known = number[at][slot], number[at][slot] >= 0
        money *= block.edges_lost[within]
        np.add.at(lost, (group[known], draw[known]), money[known])
    has_price = np.bincount(number[number >= 0], ~np.isnan(price[number >= 0]), places) > 0
    return np.where(has_price[:, None], SCALE * lost, np.nan)
