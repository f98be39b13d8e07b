"""Pieces used, counted from the draws: by any group of slots and window of days.

Quantiles of a count are the smallest count that is not exceeded with at least that chance.
"""

import numpy as np
import pandas as pd

from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Draws

QUARTER_DAYS = 91
YEAR_DAYS = 364
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
    inside = (draws.day >= first_day) & (draws.day <= last_day) & (groups[draws.slot] >= 0)
    slot, draw = draws.slot[inside], draws.draw[inside]
    pieces = draws.slots["pieces"].to_numpy(dtype=float)[slot]
    size = int(groups.max(initial=-1)) + 1
    cell = groups[slot].astype(np.int64) * draws.draws + draw
    counted = np.bincount(cell, weights=pieces, minlength=size * draws.draws)
    return counted.reshape(size, draws.draws)


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
    keys, groups = _group_slots(draws.slots)
    windows = periods(draws.as_of, draws.days)
    starts, counted = _count_pieces_between(draws, windows)
    rows, steps = [], []
    for _, period in windows.T.items():
        inside = (starts >= period["first_day"]) & (starts <= period["last_day"])
        by_slot = counted[inside].sum(axis=0)
        pieces = np.sort(_add_up(by_slot, groups, len(keys)), axis=1)
        named = keys.assign(**period[["period", "start", "end"]])
        mean = pieces.mean(axis=1, dtype=float)
        rows.append(named.assign(mean=mean, **_spread(pieces)))
        if period["period"] in ("quarter", "year"):
            steps.append(_twentieths(named, pieces))
    return _tidy(pd.concat(rows)), _tidy(pd.concat(steps))


def _count_pieces_between(draws: Draws, windows: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """Pieces by slot between all borders of the windows, so that each use is counted once.

    Returns the first day of each interval, and an array (intervals, slots, draws).
    """
    starts = np.unique(np.append(windows["first_day"], windows["last_day"] + 1))
    # The last border only closes the last interval.
    starts, close = starts[:-1], starts[-1]
    inside = draws.day < close
    interval = np.searchsorted(starts, np.arange(draws.days + 1), side="right") - 1
    size = (len(starts), len(draws.slots), draws.draws)
    row = draws.slot[inside].astype(np.int64) * draws.draws + draws.draw[inside]
    cell = interval[draws.day[inside]] * (size[1] * size[2]) + row
    uses = np.bincount(cell, minlength=int(np.prod(size))).reshape(size)
    pieces = draws.slots["pieces"].to_numpy(dtype=np.float32)
    return starts, uses.astype(np.float32) * pieces[:, None]


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


def _group_slots(slots: pd.DataFrame) -> tuple[pd.DataFrame, list[tuple[np.ndarray, int]]]:
    """All combinations of level, place and part that have slots; group numbers of each slot."""
    keys, groups, offset = [], [], 0
    for level in LEVELS:
        where = pd.Series("fleet", index=slots.index) if level == "fleet" else slots[level]
        for part in (slots["part"], pd.Series(ALL, index=slots.index)):
            pair = pd.DataFrame({"where": where.astype(str), "part": part.astype(str)})
            found = pair.drop_duplicates().sort_values(["where", "part"])
            number = pd.MultiIndex.from_frame(found).get_indexer(pd.MultiIndex.from_frame(pair))
            keys.append(found.assign(level=level))
            groups.append((number, offset))
            offset += len(found)
    return pd.concat(keys, ignore_index=True)[["level", "where", "part"]], groups


def _add_up(by_slot: np.ndarray, groups: list[tuple[np.ndarray, int]], size: int) -> np.ndarray:
    """Rows of slots added up to groups: array (groups, draws)."""
    total = np.zeros((size, by_slot.shape[1]), dtype=np.float32)
    for number, offset in groups:
        np.add.at(total, number + offset, by_slot.astype(np.float32))
    return total


def sorted_quantile(ordered: np.ndarray, chance: float) -> np.ndarray:
    """Smallest value not exceeded with at least that chance, of rows sorted along the last axis."""
    size = ordered.shape[-1]
    # 0.05 * 1000 is a hair above 50 in binary: a rounding error must not move a whole draw.
    place = int(np.ceil(chance * size - 1e-9)) - 1
    return ordered[..., min(max(place, 0), size - 1)]


def _spread(counted: np.ndarray) -> dict[str, np.ndarray]:
    wanted = {"p05": 0.05, "p10": 0.10, "p50": 0.50, "p90": 0.90, "p95": 0.95}
    return {name: sorted_quantile(counted, chance) for name, chance in wanted.items()}


def _twentieths(named: pd.DataFrame, counted: np.ndarray) -> pd.DataFrame:
    """Nineteen quantiles a row, for fleet and site."""
    shown = named["level"].isin(["fleet", "site"]).to_numpy()
    places = np.column_stack([sorted_quantile(counted[shown], q) for q in TWENTIETHS])
    columns = ["level", "where", "part", "period"]
    repeated = named.loc[shown, columns].loc[lambda f: f.index.repeat(len(TWENTIETHS))]
    return repeated.assign(q=np.tile(TWENTIETHS, int(shown.sum())), pieces=places.ravel())


def _tidy(frame: pd.DataFrame) -> pd.DataFrame:
    """Rows by level from the whole to the single, then place, part, period."""
    rank = frame["level"].map({level: number for number, level in enumerate(LEVELS)})
    return (
        frame.assign(rank=rank)
        .sort_values(["rank", "where", "part"], kind="stable")
        .drop(columns="rank")
        .reset_index(drop=True)
    )
