"""What a position costs on a floor in the long run: parts money in 100 run hours."""

import numpy as np
import pandas as pd

from wearcast.decisions.costing.unit_costs import slot_prices
from wearcast.outlook.records import Draws
from wearcast.wear.records import Wear


def with_cost(wear: Wear, draws: Draws, parts: pd.DataFrame) -> pd.DataFrame:
    """The wear by class and floor, with ``cost_per_100h``.

    Parameters
    ----------
    wear : Wear
        ``floor_table`` holds hours_to_change, the mean hours until an edge ends for whatever
        reason; ``edge_table`` how many edges a part gives before it goes.
    draws : Draws
        Its slots tell which parts of a wear class are carried, and how many pieces a change uses.
    parts : DataFrame
        The catalogue.

    Returns
    -------
    DataFrame
        The floor table with cost_per_100h: money for parts in 100 hours on that floor at one
        position, parts of a class averaged over the positions (over the catalogue for a class
        that nothing carries); blank without a price.
    """
    table = wear.floor_table
    price = slot_prices(draws.slots, parts) * draws.slots["pieces"].to_numpy(float)
    carried = pd.Series(price).groupby(draws.slots["wears_as"].to_numpy()).mean()
    listed = parts.groupby("wears_as")["price"].mean()
    money = carried.combine_first(listed)
    given = edges_given(wear, draws.slots, parts)
    hours = table["hours_to_change"] * table["wears_as"].map(given).astype(float)
    cost = 100 * table["wears_as"].map(money).astype(float) / hours
    return table.assign(cost_per_100h=cost)


def edges_given(wear: Wear, slots: pd.DataFrame, parts: pd.DataFrame) -> pd.Series:
    """Edges that a part gives before it goes, by wear class: as the log shows, else all it has."""
    carried = slots.groupby("wears_as")["edges"].mean().astype(float)
    has = carried.combine_first(parts.groupby("wears_as")["edges"].mean().astype(float))
    seen = wear.edge_table.groupby("wears_as")[["edges_used", "parts_spent"]].sum()
    measured = seen["edges_used"] / seen["parts_spent"].where(seen["parts_spent"] > 0, np.nan)
    return measured.reindex(has.index).fillna(has)
