"""A year's cost and by what, read off the draws: money of the coming 364 days, scaled to 365.

A piece costs its catalogue price, grown to the day of its use; a replaced part costs what the
part in its place costs. Floors share a position's money by the wear it has there. With
``minutes`` in the catalogue and a ``labour_rate`` the work of a change is added as the kind
``labour``. What a figure holds, all parts or only those with a price, the column ``covers`` says.
"""

import numpy as np
import pandas as pd

from wearcast.decisions.costing.divisions import Division, divisions_of_positions, months_ahead
from wearcast.decisions.costing.unit_costs import SCALE, price_growth, slot_prices, unit_costs
from wearcast.history.quarters import YEAR_DAYS
from wearcast.history.story import History
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Block, Draws

LABOUR = "labour"
ALL = "all"
COLUMNS = (
    "level", "where", "kind", "mean", "p10", "p50", "p90", "currency", "per_100h",
    "per_1000m2", "covers",
)  # fmt: skip


def year_cost(draws: Draws, history: History, book: Logbook, choices: Choices) -> pd.DataFrame:
    """The coming year's cost by level, place and kind of part.

    Returns
    -------
    DataFrame
        level (fleet, site, machine, part, floor, month), where, kind (a kind of part, ``labour``,
        or ``all``), mean, p10, p50, p90 (money a year; a month: money in the days of it that lie
        in the year ahead), currency, per_100h (money in 100 run hours: of the machines there, of
        the machines that carry the part, on that floor, in that month), per_1000m2 (blank unless
        the area rate of every machine there is known), covers (``parts only``, ``parts and
        labour``, ``priced parts only`` ...: where a part there has no price it is not in the
        figures; where none has one ``labour only``, or the figures are blank).
    """
    parts, labour = unit_costs(draws.slots, book, choices)
    amounts = _amounts(draws.slots, parts, labour)
    months = months_ahead(draws, history, choices)
    divided = [
        _OfMachines(how, tuple(amounts)) if how.level == "machine"
        else _Shared(how, tuple(amounts), draws.draws)
        for how in divisions_of_positions(draws, history, choices)
    ]  # fmt: skip
    monthly = np.zeros((len(amounts), len(months.places), draws.draws))
    for at, block in draws.placed():
        here = {kind: amount[at] for kind, amount in amounts.items()}
        uses = _count_uses(block, months, np.stack(list(here.values())), monthly, choices)
        for kind, amount in here.items():
            money = uses * amount[:, None]
            for each in divided:
                each.add(kind, money, at)
    bare = np.isnan(slot_prices(draws.slots, book.parts))
    by_month = dict(zip(amounts, map(_spread, monthly), strict=True))
    tables = [
        _said(_rows(how, spreads), how, bare, worked=bool(labour.any()))
        for how, spreads in [*((one.how, one.spreads()) for one in divided), (months, by_month)]
    ]
    frame = pd.concat(tables, ignore_index=True)
    return frame.assign(currency=choices.currency)[list(COLUMNS)]


def _said(rows: pd.DataFrame, how: Division, bare: np.ndarray, *, worked: bool) -> pd.DataFrame:
    """With what the figures cover; blank where no part has a price and no work is counted.

    `bare`: bool array (slots,), True where the part has no price.
    """
    counts = np.zeros((len(how.places), 2))
    if how.level == "month":
        counts += [len(bare), bare.sum()]
    else:
        how.add(counts, np.column_stack([np.ones(len(bare)), bare]), slice(None))
    at = pd.Index(how.places).get_indexer(pd.Index(rows["where"]))
    every, without = counts[at].T
    none = (without > 0) & (without >= every)
    covers = np.where(without > 0, "priced ", "") + np.full(len(rows), "parts ", object)
    covers = np.where(
        none, "labour only" if worked else "", covers + ("and labour" if worked else "only")
    )
    said = rows.assign(covers=covers)
    if not worked:
        said.loc[none, said.columns.difference(["level", "where", "kind", "covers"])] = np.nan
    return said


def _amounts(slots: pd.DataFrame, parts: np.ndarray, labour: np.ndarray) -> dict[str, np.ndarray]:
    """Money of one change at each position that counts for a kind; array (slots,)."""
    kinds = slots["kind"].astype(str).to_numpy()
    amounts = {str(kind): np.where(kinds == kind, parts, 0.0) for kind in np.unique(kinds)}
    if labour.any():
        amounts[LABOUR] = labour
    return amounts | {ALL: parts + labour}


class _Shared:
    """Money of a level's places by kind, summed up over all positions."""

    def __init__(self, how: Division, kinds: tuple[str, ...], draws: int) -> None:
        self.how = how
        self._money = {kind: np.zeros((len(how.places), draws)) for kind in kinds}

    def add(self, kind: str, money: np.ndarray, at: slice) -> None:
        """Add the money of some positions, array (slots, draws)."""
        self.how.add(self._money[kind], money, at)

    def spreads(self) -> dict[str, np.ndarray]:
        """Figures by kind, see `_spread`."""
        return {kind: _spread(money) for kind, money in self._money.items()}


class _OfMachines:
    """The same by machine: one whose positions have been added is done, its draws are let go."""

    def __init__(self, how: Division, kinds: tuple[str, ...]) -> None:
        self.how = how
        self._spreads = {kind: np.zeros((4, len(how.places))) for kind in kinds}

    def add(self, kind: str, money: np.ndarray, at: slice) -> None:
        """Add the money of all positions of some machines, array (slots, draws)."""
        places, number = np.unique(self.how.number[at], return_inverse=True)
        total = np.zeros((len(places), money.shape[1]))
        np.add.at(total, number, money)
        self._spreads[kind][:, places] = _spread(total)

    def spreads(self) -> dict[str, np.ndarray]:
        """Figures by kind, see `_spread`."""
        return self._spreads


def _count_uses(
    block: Block, months: Division, amounts: np.ndarray, monthly: np.ndarray, choices: Choices
) -> np.ndarray:
    """Changes a year, each weighted by the growth of prices; adds up the money of each month.

    Parameters
    ----------
    block : Block
    months : Division
    amounts : array (kinds, slots)
        Money of one change at each position of the block.
    monthly : array (kinds, months, draws)
        Money; what is spent at these positions is added.
    choices : Choices

    Returns
    -------
    array (slots, draws)
    """
    growth = SCALE * price_growth(np.arange(YEAR_DAYS + 1), choices)
    month = np.append(months.number, -1)[np.minimum(block.day - 1, YEAR_DAYS)]
    row, uses = block.row, np.zeros(block.uses.shape)
    for number in range(len(months.places)):
        here = np.flatnonzero(month == number)
        used = np.bincount(row[here], growth[block.day[here]], uses.size).reshape(uses.shape)
        uses += used
        monthly[:, number] += amounts @ used
    return uses


def _spread(money: np.ndarray) -> np.ndarray:
    """Mean, p10, p50 and p90 of rows of money (places, draws): array (4, places)."""
    return np.vstack([money.mean(axis=1), np.quantile(money, [0.1, 0.5, 0.9], axis=1)])


def _rows(how: Division, spreads: dict[str, np.ndarray]) -> pd.DataFrame:
    """The rows of one level: every kind that costs something there, and ``all``."""
    tables = [_figures(kind, spread, how) for kind, spread in spreads.items()]
    frame = pd.concat(tables, ignore_index=True)
    kept = frame[(frame["mean"] > 0) | (frame["kind"] == ALL)]
    order = pd.Index(how.places).get_indexer(pd.Index(kept["where"]))
    return kept.iloc[np.argsort(order, kind="stable")].assign(level=how.level)


def _figures(kind: str, spread: np.ndarray, how: Division) -> pd.DataFrame:
    mean, p10, p50, p90 = spread
    hours, area = how.hours * SCALE, how.area * SCALE
    return pd.DataFrame(
        {
            "where": how.places,
            "kind": kind,
            "mean": mean,
            "p10": p10,
            "p50": p50,
            "p90": p90,
            "per_100h": 100 * mean / np.where(hours > 0, hours, np.nan),
            "per_1000m2": 1000 * mean / np.where(area > 0, area, np.nan),
        }
    )
