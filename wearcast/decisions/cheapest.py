"""A proposal with the part that costs least at each position, on the floors of its machine."""

from dataclasses import replace

import numpy as np
import pandas as pd

from wearcast.decisions.parts import uses_of
from wearcast.logbook.book import Logbook

COLUMNS = ["machine", "position", "part", "instead_of", "cost_per_100h", "was_per_100h"]


def with_cheapest(book: Logbook, table: pd.DataFrame) -> tuple[Logbook, pd.DataFrame]:
    """The proposal with the cheapest parts of one use, and what was changed.

    The cost of 100 hours on a machine's floors is the mean of the floors' costs, weighted by its
    hours on them. Cleaning result and the machine maker's approval are not considered.

    Parameters
    ----------
    book : Logbook
    table : DataFrame
        As of `wearcast.decisions.parts.cheapest_parts`, with the whole catalogue.

    Returns
    -------
    Logbook
    DataFrame
        machine, position, part, instead_of, cost_per_100h and was_per_100h (of all pieces there).
    """
    table = table.assign(use=uses_of(table))
    decks = book.machines.drop_duplicates("machine").set_index("machine")["deck"]
    shares = book.floors[["machine", "floor", "share"]]
    places = book.positions[["machine", "position", "part"]].assign(
        deck=book.positions["machine"].map(decks).astype(object).fillna("")
    )
    costs = places.merge(shares, on="machine").merge(
        table[["deck", "position", "floor", "part", "kind", "use", "cost_per_100h"]],
        on=["deck", "position", "floor"], suffixes=("", "_then"),
    )  # fmt: skip
    costs = costs.assign(money=costs["cost_per_100h"] * costs["share"])
    keys = ["machine", "position", "part", "part_then", "kind", "use"]
    sums = costs.groupby(keys, as_index=False)["money"].sum()
    own = sums[sums["part"].eq(sums["part_then"])].drop(columns="part_then")
    rivals = sums.merge(
        own, on=["machine", "position", "part", "kind", "use"], suffixes=("", "_own")
    )
    best = rivals.loc[rivals.groupby(["machine", "position"])["money"].idxmin()]
    changed = best[best["part_then"].ne(best["part"])]
    swaps = pd.DataFrame(
        {
            "machine": changed["machine"],
            "position": changed["position"],
            "part": changed["part_then"],
            "instead_of": changed["part"],
            "cost_per_100h": changed["money"],
            "was_per_100h": changed["money_own"],
        },
        columns=COLUMNS,
    ).sort_values(["machine", "position"], ignore_index=True)
    new = swaps.set_index(["machine", "position"])["part"]
    at = pd.MultiIndex.from_frame(book.positions[["machine", "position"]])
    parts = new.reindex(at).to_numpy(object)
    chosen = np.where(pd.isna(parts), book.positions["part"].to_numpy(object), parts)
    return replace(book, positions=book.positions.assign(part=chosen)), swaps


def saving(before: np.ndarray, after: np.ndarray) -> tuple[float, float]:
    """Expected saving over the contract, and the chance that there is one.

    The draws share sites, machines and rates; each has its own luck, so the chance is nearer to a
    half than it would be with the same luck.

    Parameters
    ----------
    before, after : arrays (draws,), cost of the whole contract
    """
    return float((before - after).mean()), float((before > after).mean())
