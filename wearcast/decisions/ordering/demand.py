"""Pieces needed by depot and part, day by day and draw by draw, read off the coming changes.

A *shelf* is one part at one depot. Each use belongs to one shelf: the part at the position and
the depot that supplies the machine, so nothing is counted, or ordered, twice. Day 1 is the day
after as-of; column 0 of a cumulative array stands for as-of itself.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.outlook.records import Block, Draws


@dataclass(frozen=True, slots=True)
class ShelfUses:
    """Where the uses of every shelf stand among the draws, which keep those of a slot together."""

    shelves: dict[tuple[str, str], np.ndarray]
    """The slots of each (depot, part) with at least one position that draws on it."""
    bounds: tuple[np.ndarray, ...]
    """For each block of the draws an array (slots + 1,): where the uses of its slots begin."""
    uses: Draws

    @property
    def shape(self) -> tuple[int, int]:
        """Draws, and days from as-of itself on."""
        return self.uses.draws, self.uses.days + 1


def uses_by_shelf(draws: Draws) -> ShelfUses:
    """The draws' uses by depot and part."""
    by_shelf = draws.slots.reset_index(drop=True).groupby(["depot", "part"])
    return ShelfUses(
        shelves={
            (str(depot), str(part)): slots.index.to_numpy() for (depot, part), slots in by_shelf
        },
        bounds=tuple(
            np.append(0, np.cumsum(block.uses.sum(axis=1, dtype=np.int64)))
            for block in draws.blocks
        ),
        uses=draws,
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
    weekly = draws.weekly_hours
    until = np.cumsum(weekly, axis=1) / np.arange(1, weekly.shape[1] + 1)
    carried = draws.slots[["depot", "part", "machine"]].drop_duplicates()
    carried = carried.join(last_day.rename("last_day"), on=["depot", "part"], how="inner")
    # Where no machine is left, the join would hand over the shelves as an index.
    carried = carried.reset_index(drop=True)
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
    array (draws, days + 1), pieces
        Never falling along a row; column 0 is 0. All zero for a shelf that no position draws on.
    """
    slots = uses.shelves.get((depot, part))
    if slots is None:
        return np.zeros(uses.shape)
    daily = np.zeros(int(np.prod(uses.shape)))
    pieces = uses.uses.slots["pieces"].to_numpy(float)
    for (at, block), bounds in zip(uses.uses.placed(), uses.bounds, strict=True):
        first, end = np.searchsorted(slots, [at.start, at.stop])
        if first < end:
            here = slots[first:end] - at.start
            cell, count = _cells(block, bounds, here, uses.shape)
            weights = np.repeat(pieces[at][here], count)
            daily += np.bincount(cell, weights, minlength=len(daily))
    return np.cumsum(daily.reshape(uses.shape), axis=1)


def _cells(
    block: Block, bounds: np.ndarray, slots: np.ndarray, shape: tuple[int, int]
) -> tuple[np.ndarray, np.ndarray]:
    """Draw x days + day of every use of some slots, and the uses of each slot (slots,)."""
    begin, count = bounds[slots], bounds[slots + 1] - bounds[slots]
    here = np.repeat(begin - np.cumsum(count) + count, count) + np.arange(count.sum())
    draw = np.tile(np.arange(shape[0]) * shape[1], len(slots))
    return np.repeat(draw, block.uses[slots].ravel()) + block.day[here], count
