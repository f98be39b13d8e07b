"""The money of a walked contract: parts on the day of their use, and labour apart from them.

A change costs its minutes, a turn its own; both at the labour rate that the proposal names. Turns
are counted over the whole contract and shared out to its years by the machine's run hours.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.decisions.costing.areas import daily_hours
from wearcast.decisions.costing.unit_costs import price_growth, unit_costs
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Draws

CONTRACT_DAYS = 365
LABOUR = "labour"


@dataclass(frozen=True, slots=True)
class Spent:
    """Money of the draws of one floor mix."""

    draws: Draws
    parts: np.ndarray
    """array (years, draws)"""
    labour: np.ndarray
    """array (years, draws)"""
    parts_of: np.ndarray
    """array (slots,): parts in the whole contract, all draws together"""
    labour_of: np.ndarray
    """array (slots,): the same for labour"""


def spent_in(one: Draws, book: Logbook, choices: Choices, years: int) -> Spent:
    """The money of one walk by contract year and by position."""
    parts, labour = unit_costs(one.slots, book, choices)
    slot, day = one.slot, one.day
    growth = price_growth(day, choices)
    year = (day.astype(np.int64) - 1) // CONTRACT_DAYS
    cell = year * one.draws + one.draw

    def of_uses(amount: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        money = amount[slot] * growth
        flat = np.bincount(cell, money, years * one.draws)
        return flat.reshape(years, one.draws), np.bincount(slot, money, len(one.slots))

    parts_by_year, parts_of = of_uses(parts)
    labour_by_year, labour_of = of_uses(labour)
    turning, turning_of = _turns(one, book, choices, years)
    return Spent(
        one, parts_by_year, labour_by_year + turning, parts_of, labour_of + turning_of
    )  # fmt: skip


def turn_costs(slots: pd.DataFrame, book: Logbook, choices: Choices) -> np.ndarray:
    """Money of one turn; array (slots,), 0 where its minutes are unknown."""
    minutes = slots["part"].map(book.parts.set_index("part")["turn_minutes"]).to_numpy(float)
    return np.asarray(np.nan_to_num(minutes) / 60 * (choices.labour_rate or 0.0))


def _turns(
    one: Draws, book: Logbook, choices: Choices, years: int
) -> tuple[np.ndarray, np.ndarray]:
    """Money of turns by year and draw, array (years, draws), and by position (slots,)."""
    cost = turn_costs(one.slots, book, choices)
    if not cost.any():
        return np.zeros((years, one.draws)), np.zeros(len(one.slots))
    share = year_shares(one, years)
    middle = CONTRACT_DAYS * (np.arange(years) + 0.5)
    seat = pd.Index(one.machines).get_indexer(pd.Index(one.slots["machine"]))
    each = share[seat] * price_growth(middle, choices) * cost[:, None]
    turns = one.turns.astype(float)
    return each.T @ turns, each.sum(axis=1) * turns.sum(axis=1)


def year_shares(one: Draws, years: int) -> np.ndarray:
    """Share of each machine's walked hours in each contract year: array (machines, years).

    The walk ends with a week, up to six days after the contract: what runs then is in no year.
    """
    daily = daily_hours(one.weekly_hours, CONTRACT_DAYS * years)
    by_year = np.add.reduceat(daily, np.arange(years) * CONTRACT_DAYS, axis=1)
    whole = one.weekly_hours.sum(axis=1)
    return np.asarray(by_year / np.where(whole > 0, whole, 1.0)[:, None])


def by_year(spent: list[tuple[np.ndarray, Spent]], draws: int) -> tuple[np.ndarray, np.ndarray]:
    """Money for parts and for labour of each contract year and draw; arrays (years, draws)."""
    years = len(spent[0][1].parts)
    parts, labour = np.zeros((years, draws)), np.zeros((years, draws))
    for chosen, one in spent:
        parts[:, chosen], labour[:, chosen] = one.parts, one.labour
    return parts, labour


def money_by_floor(spent: list[tuple[np.ndarray, Spent]]) -> pd.Series:
    """Money of all draws by wear class and floor, labour included: a Series (classes x floors,).

    Floors share a position's money by the wear it has there.
    """
    sums = []
    for _, each in spent:
        one, money = each.draws, each.parts_of + each.labour_of
        names = one.slots["wears_as"].astype(str).to_numpy()
        cells = pd.MultiIndex.from_arrays(
            [np.repeat(names, len(one.floors)), np.tile(one.floors, len(names))],
            names=["wears_as", "floor"],
        )
        sums.append(pd.Series((money[:, None] * one.wear_share).ravel(), cells))
    return pd.concat(sums).groupby(level=["wears_as", "floor"]).sum()


def moves(spent: list[tuple[np.ndarray, Spent]], draw_years: int) -> pd.DataFrame:
    """What the money goes to: a year's mean by site, machine, kind, part, floor and cell.

    By kind and by part labour is a row of its own; a site, machine, floor or cell (a wear class on
    a floor) includes its labour.
    `spent` has an array (draws,) of draws' numbers with the money of each floor mix.
    """
    cells = money_by_floor(spent) / draw_years
    tables = [
        *(_placed(column, spent, draw_years) for column in ("site", "machine")),
        *(_sorted_out(column, spent, draw_years) for column in ("kind", "part")),
        _rows("floor", cells.groupby(level="floor").sum()),
        _rows("cell", _named(cells[cells > 0])),
    ]
    return pd.concat(tables, ignore_index=True)


def _named(cells: pd.Series) -> pd.Series:
    """Money of cells by their names, as `what_is_missing` writes them."""
    return cells.set_axis([f"{name} on {floor}" for name, floor in cells.index])


def _placed(column: str, spent: list[tuple[np.ndarray, Spent]], draw_years: int) -> pd.DataFrame:
    sums = [
        pd.Series(one.parts_of + one.labour_of).groupby(one.draws.slots[column].to_numpy()).sum()
        for _, one in spent
    ]
    return _rows(column, pd.concat(sums).groupby(level=0).sum() / draw_years)


def _sorted_out(
    column: str, spent: list[tuple[np.ndarray, Spent]], draw_years: int
) -> pd.DataFrame:
    sums = [
        pd.Series(one.parts_of).groupby(one.draws.slots[column].to_numpy()).sum()
        for _, one in spent
    ]
    labour = sum(float(one.labour_of.sum()) for _, one in spent)
    if labour:
        sums.append(pd.Series({LABOUR: labour}))
    return _rows(column, pd.concat(sums).groupby(level=0).sum() / draw_years)


def _rows(column: str, mean: pd.Series) -> pd.DataFrame:
    mean = mean.sort_values(ascending=False, kind="stable")
    total = float(mean.sum())
    share = mean / total if total > 0 else mean
    return pd.DataFrame(
        {"by": column, "where": mean.index, "mean": mean.to_numpy(), "share": share.to_numpy()}
    )
