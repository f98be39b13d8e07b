"""Pieces needed by depot and part, day by day and draw by draw, read off the coming changes.

A *shelf* is one part at one depot. Each use belongs to one shelf: the part at the position and
the depot that supplies the machine, so nothing is counted, or ordered, twice. Day 1 is the day
after as-of; column 0 of a cumulative array stands for as-of itself.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.outlook.records import Draws


@dataclass(frozen=True, slots=True)
class ShelfUses:
    """The uses of every shelf, sorted by shelf: a slice of these arrays is one shelf."""

    shelves: dict[tuple[str, str], int]
    """Number of each (depot, part) with at least one position that draws on it."""
    bounds: np.ndarray
    """array (shelves + 1,): the uses of shelf ``s`` are ``bounds[s]:bounds[s + 1]``"""
    draw: np.ndarray
    day: np.ndarray
    pieces: np.ndarray
    draws: int
    days: int


def uses_by_shelf(draws: Draws) -> ShelfUses:
    """The draws' uses, sorted by depot and part."""
    keys = pd.MultiIndex.from_frame(draws.slots[["depot", "part"]])
    names = keys.unique().sort_values()
    shelf_of_slot = names.get_indexer(keys)
    shelf = shelf_of_slot[draws.slot]
    order = np.argsort(shelf, kind="stable")
    return ShelfUses(
        shelves={(str(depot), str(part)): number for number, (depot, part) in enumerate(names)},
        bounds=np.searchsorted(shelf[order], np.arange(len(names) + 1)),
        draw=draws.draw[order].astype(np.int64),
        day=draws.day[order].astype(np.int64),
        pieces=draws.slots["pieces"].to_numpy(float)[draws.slot[order]],
        draws=draws.draws,
        days=draws.days,
    )


def shelf_work(draws: Draws, last_day: pd.Series) -> pd.DataFrame:
    """Machines that draw on each shelf, and their run hours a week up to a day.

    Parameters
    ----------
    draws : Draws
    last_day : Series (index: depot, part)
        Days after as-of over whose weeks the hours are averaged.

    Returns
    -------
    DataFrame, same index
        machines, hours_per_week [h], of all of them; 0 where no machine draws on the shelf.
    """
    weekly = draws.weekly_hours.mean(axis=1, dtype=np.float64)
    until = np.cumsum(weekly, axis=1) / np.arange(1, weekly.shape[1] + 1)
    carried = draws.slots[["depot", "part", "machine"]].drop_duplicates()
    carried = carried.join(last_day.rename("last_day"), on=["depot", "part"], how="inner")
    week = np.clip(np.ceil(carried["last_day"] / 7) - 1, 0, weekly.shape[1] - 1).astype(int)
    machine = pd.Index(draws.machines).get_indexer(pd.Index(carried["machine"]))
    work = carried.assign(hours_per_week=until[machine, week])
    sums = work.groupby(["depot", "part"]).agg(
        machines=("machine", "size"), hours_per_week=("hours_per_week", "sum")
    )
    return sums.reindex(last_day.index).fillna(0.0)


def pieces_needed(uses: ShelfUses, depot: str, part: str) -> np.ndarray:
    """Pieces needed at a shelf from as-of to the end of each day, summed up.

    Returns
    -------
    array (draws, days + 1)
        Never falling along a row; column 0 is 0. All zero for a shelf that no position draws on.
    """
    number = uses.shelves.get((depot, part))
    if number is None:
        return np.zeros((uses.draws, uses.days + 1))
    here = slice(uses.bounds[number], uses.bounds[number + 1])
    cell = uses.draw[here] * (uses.days + 1) + uses.day[here]
    daily = np.bincount(cell, uses.pieces[here], minlength=uses.draws * (uses.days + 1))
    return np.cumsum(daily.reshape(uses.draws, uses.days + 1), axis=1)
