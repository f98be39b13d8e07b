"""Pieces used, counted from the draws: by any group of slots and window of days.

Quantiles of a count are the smallest count that is not exceeded with at least that chance.
"""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import pandas as pd
from scipy.sparse import csc_array

from wearcast.history.quarters import QUARTER_DAYS, YEAR_DAYS
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Block, Draws

SPREAD = {"p05": 0.05, "p10": 0.10, "p50": 0.50, "p90": 0.90, "p95": 0.95}
TWENTIETHS = np.arange(1, 20) / 20.0
LEVELS = ("fleet", "depot", "site", "machine")
ALL = "all"


def count_pieces(draws: Draws, groups: np.ndarray, first_day: int, last_day: int) -> np.ndarray:
    """Pieces used in a window of days, for each group of slots and draw.

    Parameters
    ----------
    draws : Draws
    groups : int array (slots,)
        Group of each slot from 0 on; -1 leaves the slot out.
    first_day, last_day : int
        Inclusive; day 1 is the day after as-of.

    Returns
    -------
    array (groups, draws), pieces
    """
    counted = np.zeros((int(groups.max(initial=-1)) + 1, draws.draws))
    pieces = draws.slots["pieces"].to_numpy(dtype=float)
    for at, block in draws.placed():
        grouped = np.flatnonzero(groups[at] >= 0)
        uses = _uses_between(block, np.array([first_day, last_day + 1]))[0, grouped]
        np.add.at(counted, groups[at][grouped], uses * pieces[at][grouped, None])
    return counted


def use_by_period(
    draws: Draws,
    book: Logbook,  # noqa: ARG001 - every step of the story takes the same three
    choices: Choices,  # noqa: ARG001
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Pieces used by level, place, part and period, as a forecast and as quantiles.

    Returns
    -------
    forecast : DataFrame
        level, where, part (``all``: every part), period, start, end, mean, p05, p10, p50, p90,
        p95 [pieces].
    quantiles : DataFrame
        level (fleet, site), where, part, period (quarter, year), q, pieces.
    """
    keys, pieces_of = _group_slots(draws.slots)
    windows = periods(draws.as_of, draws.days)
    figures = _Figures(keys, windows, draws.draws)
    for at, block in draws.placed():
        figures.add(block, pieces_of[:, at])
    return figures.frames()


class _Figures:
    """Figures of every group of slots and period, from block after block.

    A machine's slots are all in one block, and its figures are final with it: the pieces of all
    machines in all draws would be most of the memory of a large fleet's run.
    """

    def __init__(self, keys: pd.DataFrame, windows: pd.DataFrame, draws: int) -> None:
        self._keys, self._windows = keys, windows
        self._shared = int((keys["level"] != "machine").sum())
        """The groups of machines come last."""
        self._sums = np.zeros((len(windows), self._shared, draws), dtype=np.float32)
        self._spread = np.zeros((len(windows), len(SPREAD), len(keys)))
        self._mean = np.zeros((len(windows), len(keys)))

    def add(self, block: Block, pieces_of: csc_array) -> None:
        """Count a block; `pieces_of` is an array (groups, slots of the block)."""
        groups = np.unique(pieces_of.indices)
        shared = groups < self._shared
        for number, pieces in _pieces_by_period(block, self._windows, pieces_of[groups]):
            self._sums[number, groups[shared]] += pieces[shared]
            self._note(number, groups[~shared], np.sort(pieces[~shared], axis=1))

    def frames(self) -> tuple[pd.DataFrame, pd.DataFrame]:
        """Forecast and quantiles, see `use_by_period`; rows from the whole to the single."""
        self._sums.sort(axis=2)
        for number, pieces in enumerate(self._sums):
            self._note(number, np.arange(self._shared), pieces)
        order = _from_whole_to_single(self._keys)
        figures = {"mean": self._mean} | {
            name: self._spread[:, place] for place, name in enumerate(SPREAD)
        }
        each = self._named(order, np.arange(len(self._windows)))
        rows = each.assign(**{name: one[:, order].T.ravel() for name, one in figures.items()})
        order = order[self._keys["level"].isin(["fleet", "site"]).to_numpy()[order]]
        whole = np.flatnonzero(self._windows["period"].isin(["quarter", "year"]))
        steps = np.stack([sorted_quantile(self._sums[whole], q) for q in TWENTIETHS], axis=-1)
        named = self._named(order, whole)[["level", "where", "part", "period"]]
        named = named.loc[named.index.repeat(len(TWENTIETHS))].reset_index(drop=True)
        q = np.tile(TWENTIETHS, len(order) * len(whole))
        return rows, named.assign(q=q, pieces=steps[:, order].swapaxes(0, 1).ravel())

    def _named(self, order: np.ndarray, numbers: np.ndarray) -> pd.DataFrame:
        """A row a group and period: level, where, part, period, start, end.

        Arrays of places of groups and of numbers of periods.
        """
        periods = self._windows.iloc[np.tile(numbers, len(order))]
        where = self._keys.iloc[np.repeat(order, len(numbers))]
        columns = {name: where[name].to_numpy() for name in ("level", "where", "part")}
        columns |= {name: periods[name].to_numpy() for name in ("period", "start", "end")}
        return pd.DataFrame(columns, copy=False)

    def _note(self, number: int, groups: np.ndarray, pieces: np.ndarray) -> None:
        """Figures of some groups in a period, from their sorted pieces (groups, draws)."""
        self._mean[number, groups] = pieces.mean(axis=1, dtype=float)
        for place, chance in enumerate(SPREAD.values()):
            self._spread[number, place, groups] = sorted_quantile(pieces, chance)


def _pieces_by_period(
    block: Block, windows: pd.DataFrame, pieces_of: csc_array
) -> Iterator[tuple[int, np.ndarray]]:
    """Each period's row in `windows` and its pieces, array (groups, draws).

    Uses are counted once, between all borders of the windows, and let go of as soon as no window
    needs them.
    """
    borders = np.unique(np.append(windows["first_day"], windows["last_day"] + 1))
    open_windows: dict[int, np.ndarray] = {}
    for (first, after), uses in zip(pairwise(borders), _uses_between(block, borders), strict=True):
        pieces = pieces_of @ uses.astype(np.float32)
        around = (windows["first_day"] <= first) & (windows["last_day"] + 1 >= after)
        for number in windows.index[around]:
            open_windows[number] = open_windows.get(number, np.float32(0.0)) + pieces
            if windows["last_day"][number] + 1 == after:
                yield number, open_windows.pop(number)


def _uses_between(block: Block, borders: np.ndarray) -> np.ndarray:
    """Uses from each border, a day, on until before the next: array (borders - 1, slots, draws)."""
    inside = (block.day >= borders[0]) & (block.day < borders[-1])
    stretch = np.searchsorted(borders, np.arange(borders[-1]), side="right") - 1
    place = stretch[block.day[inside]] * block.uses.size + block.row[inside]
    size = (len(borders) - 1) * block.uses.size
    return np.bincount(place, minlength=size).reshape(len(borders) - 1, *block.uses.shape)


def periods(as_of: pd.Timestamp, days: int) -> pd.DataFrame:
    """The periods of the forecast: period, first_day, last_day, start, end (inclusive).

    The quarter and the year are 91 and 364 days from the day after as-of; months are clipped to
    that year.
    """
    last = min(YEAR_DAYS, days)
    ahead = pd.date_range(as_of + pd.Timedelta(days=1), periods=last, freq="D")
    day = pd.Series(np.arange(1, last + 1), index=ahead)
    months = day.groupby(ahead.strftime("%Y-%m")).agg(["min", "max"])
    frame = pd.DataFrame(
        {
            "period": ["quarter", "year", *months.index],
            "first_day": [1, 1, *months["min"]],
            "last_day": [min(QUARTER_DAYS, last), last, *months["max"]],
        }
    )
    start = as_of + pd.to_timedelta(frame["first_day"], unit="D")
    return frame.assign(start=start, end=as_of + pd.to_timedelta(frame["last_day"], unit="D"))


def _group_slots(slots: pd.DataFrame) -> tuple[pd.DataFrame, csc_array]:
    """All combinations of level, place and part that have slots.

    With them an array (groups, slots): the pieces that one use at a slot is for a group.
    """
    keys, groups, offset = [], [], 0
    for level in LEVELS:
        where = pd.Series("fleet", index=slots.index) if level == "fleet" else slots[level]
        for part in (slots["part"], pd.Series(ALL, index=slots.index)):
            pair = pd.DataFrame({"where": where.astype(str), "part": part.astype(str)})
            found = pair.drop_duplicates().sort_values(["where", "part"])
            number = pd.MultiIndex.from_frame(found).get_indexer(pd.MultiIndex.from_frame(pair))
            keys.append(found.assign(level=level))
            groups.append(number + offset)
            offset += len(found)
    pieces = np.tile(slots["pieces"].to_numpy(dtype=np.float32), len(groups))
    slot = np.tile(np.arange(len(slots)), len(groups))
    pieces_of = csc_array((pieces, (np.concatenate(groups), slot)), shape=(offset, len(slots)))
    return pd.concat(keys, ignore_index=True)[["level", "where", "part"]], pieces_of


def sorted_quantile(ordered: np.ndarray, chance: float) -> np.ndarray:
    """Smallest value not exceeded with at least that chance, of rows sorted along the last axis.

    From an array (rows, draws) one value a row, an array (rows,), in the same unit.
    """
    size = ordered.shape[-1]
    # 0.05 * 1000 is a hair above 50 in binary: a rounding error must not move a whole draw.
    place = int(np.ceil(chance * size - 1e-9)) - 1
    return ordered[..., min(max(place, 0), size - 1)]


def _from_whole_to_single(keys: pd.DataFrame) -> np.ndarray:
    """Places of the groups by level, from the fleet to the machine, then place and part."""
    rank = keys["level"].map({level: number for number, level in enumerate(LEVELS)})
    ordered = keys.assign(rank=rank).sort_values(["rank", "where", "part"], kind="stable")
    return ordered.index.to_numpy()
