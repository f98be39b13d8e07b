"""A year's cost and by what, read off the draws: money of the coming 364 days, scaled to 365.

A piece costs its catalogue price, grown to the day of its use; a replaced part costs what the
part in its place costs. Floors share a position's money by the wear it has there. With
``minutes`` in the catalogue and a ``labour_rate`` the work of a change is added as the kind
``labour``; without them the figures cover parts only, and the column ``covers`` says so.
"""

import numpy as np
import pandas as pd

from wearcast.decisions.costing.divisions import Division, divisions_of_positions, months_ahead
from wearcast.decisions.costing.unit_costs import SCALE, price_growth, unit_costs
from wearcast.history.quarters import YEAR_DAYS
from wearcast.history.story import History
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Draws

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
        the area rate of every machine there is known), covers (``parts only`` or ``parts and
        labour``). An unknown price counts nothing; `unpriced` names those parts.
    """
    parts, labour = unit_costs(draws.slots, book, choices)
    amounts = _amounts(draws.slots, parts, labour)
    months = months_ahead(draws, history, choices)
    uses, monthly = _count_uses(draws, months, np.stack(list(amounts.values())), choices)
    tables = [
        _rows(how, {kind: how.split(uses * amount[:, None]) for kind, amount in amounts.items()})
        for how in divisions_of_positions(draws, history, choices)
    ]
    by_month = _rows(months, dict(zip(amounts, monthly, strict=True)))
    frame = pd.concat([*tables, by_month], ignore_index=True)
    covers = "parts and labour" if labour.any() else "parts only"
    return frame.assign(currency=choices.currency, covers=covers)[list(COLUMNS)]


def _amounts(slots: pd.DataFrame, parts: np.ndarray, labour: np.ndarray) -> dict[str, np.ndarray]:
    """Money of one change at each position that counts for a kind; array (slots,)."""
    kinds = slots["kind"].astype(str).to_numpy()
    amounts = {str(kind): np.where(kinds == kind, parts, 0.0) for kind in np.unique(kinds)}
    if labour.any():
        amounts[LABOUR] = labour
    return amounts | {ALL: parts + labour}


def _count_uses(
    draws: Draws, months: Division, amounts: np.ndarray, choices: Choices
) -> tuple[np.ndarray, np.ndarray]:
    """Changes a year, each weighted by the growth of prices, and the money of each month.

    A month at a time, as a large fleet has more uses than memory holds copies of.

    Parameters
    ----------
    draws : Draws
    months : Division
    amounts : array (kinds, slots)
        Money of one change at each position.
    choices : Choices

    Returns
    -------
    arrays (slots, draws) and (kinds, months, draws)
    """
    growth = SCALE * price_growth(np.arange(YEAR_DAYS + 1), choices)
    month = np.full(max(draws.days, YEAR_DAYS) + 1, -1, dtype=np.int8)
    month[1 : YEAR_DAYS + 1] = months.number
    month_of_use = month[draws.day]
    uses = np.zeros((len(draws.slots), draws.draws))
    money = np.zeros((len(amounts), len(months.places), draws.draws))
    for number in range(len(months.places)):
        here = np.flatnonzero(month_of_use == number)
        cell = draws.slot[here].astype(np.int64) * draws.draws + draws.draw[here]
        used = np.bincount(cell, growth[draws.day[here]], uses.size).reshape(uses.shape)
        uses += used
        money[:, number] = amounts @ used
    return uses, money


def _rows(how: Division, money: dict[str, np.ndarray]) -> pd.DataFrame:
    """The rows of one level: every kind that costs something there, and ``all``."""
    tables = [_figures(kind, amount, how) for kind, amount in money.items()]
    frame = pd.concat(tables, ignore_index=True)
    kept = frame[(frame["mean"] > 0) | (frame["kind"] == ALL)]
    order = pd.Index(how.places).get_indexer(pd.Index(kept["where"]))
    return kept.iloc[np.argsort(order, kind="stable")].assign(level=how.level)


def _figures(kind: str, money: np.ndarray, how: Division) -> pd.DataFrame:
    mean = money.mean(axis=1)
    p10, p50, p90 = np.quantile(money, [0.1, 0.5, 0.9], axis=1)
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
