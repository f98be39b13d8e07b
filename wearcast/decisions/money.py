"""A year's cost and by what, read off the draws: money of the coming 364 days, scaled to 365.

A piece costs its catalogue price, grown to the day of its use; a replaced part costs what the
part in its place costs. Floors share a use by the wear it had there. With ``minutes`` in the
catalogue and a ``labour_rate`` the work of a change is added as the kind ``labour``; without
them the figures cover parts only, and the column ``covers`` says so.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.decisions.areas import (
    YEAR_DAYS,
    area_rates,
    daily_hours,
    hours_by_floor,
    months_of,
)
from wearcast.decisions.shelves import successors
from wearcast.history.story import History
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Draws

SCALE = 365 / YEAR_DAYS
"""From the 364 days of the draws to a calendar year."""
COLUMNS = (
    "level", "where", "kind", "mean", "p10", "p50", "p90", "currency", "per_100h",
    "per_1000m2", "covers",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Spending:
    """What each use costs; arrays run over the uses."""

    slot: np.ndarray
    draw: np.ndarray
    day: np.ndarray
    parts: np.ndarray
    """Money for the pieces; 0 where no price is known."""
    labour: np.ndarray
    """Money for the work of the change; 0 where none is known."""


@dataclass(frozen=True, slots=True)
class Division:
    """How a level divides the spending: a share of each use for each place."""

    places: tuple[str, ...]
    share: np.ndarray
    """array (places, uses), or array (uses,) of the place's number where a use has one place"""
    hours: np.ndarray
    """array (places,) mean run hours there in the year [h]"""
    area: np.ndarray
    """array (places,) mean area in the year [m2]; nan where a machine's area rate is unknown"""


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
    spent = spending(draws, book, choices)
    divisions = divide(draws, spent, history, choices)
    tables = [_level(name, how, draws, spent) for name, how in divisions.items()]
    covers = "parts and labour" if spent.labour.any() else "parts only"
    frame = pd.concat(tables, ignore_index=True)
    return frame.assign(currency=choices.currency, covers=covers)[list(COLUMNS)]


def spending(draws: Draws, book: Logbook, choices: Choices, last_day: int = YEAR_DAYS) -> Spending:
    """What every use up to a day costs, in the money of its day."""
    within = draws.day <= last_day
    slot = draws.slot[within]
    growth = (1 + choices.price_growth) ** (draws.day[within] / 365)
    price = slot_prices(draws.slots, book.parts)
    pieces = draws.slots["pieces"].to_numpy(float)
    minutes = draws.slots["part"].map(book.parts.set_index("part")["minutes"]).to_numpy(float)
    labour = np.nan_to_num(minutes) / 60 * (choices.labour_rate or 0.0)
    return Spending(
        slot=slot,
        draw=draws.draw[within],
        day=draws.day[within],
        parts=np.nan_to_num(price * pieces)[slot] * growth,
        labour=labour[slot] * growth,
    )


def slot_prices(slots: pd.DataFrame, parts: pd.DataFrame) -> np.ndarray:
    """The price of one piece at each position: of the part in its place, where it is replaced."""
    after = successors(parts)
    bought = slots["part"]
    for _ in range(len(after)):
        bought = bought.replace(after)
    return bought.map(parts.set_index("part")["price"].astype(float)).to_numpy(float)


def unpriced(draws: Draws, book: Logbook) -> tuple[str, ...]:
    """Parts that machines carry and that have no price, sorted."""
    bare = np.isnan(slot_prices(draws.slots, book.parts))
    return tuple(sorted(set(draws.slots.loc[bare, "part"])))


def divide(
    draws: Draws, spent: Spending, history: History, choices: Choices
) -> dict[str, Division]:
    """How each level divides the spending, with the hours and area of its places."""
    machines = history.machines.reindex(draws.machines)
    rate = area_rates(machines, choices)
    daily = daily_hours(draws)
    yearly = daily.sum(axis=1)
    carries = draws.slots[["part", "machine"]].drop_duplicates()
    seat = pd.Index(draws.machines).get_indexer(carries["machine"])
    sites = machines["site"].astype(str).to_numpy()
    names = np.asarray(draws.machines, dtype=object)

    def by(column: str, label: np.ndarray, seats: np.ndarray) -> Division:
        places, number = np.unique(label.astype(str), return_inverse=True)
        of_use = np.searchsorted(places, draws.slots[column].astype(str))[spent.slot]
        hours = np.bincount(number, yearly[seats], len(places))
        return Division(
            tuple(places), of_use, hours, _area(number, yearly[seats], rate[seats], len(places))
        )

    everyone = np.arange(len(names))
    fleet = np.zeros(len(spent.slot), np.int64)
    months, month = np.unique(months_of(draws.as_of), return_inverse=True)
    monthly = np.array([daily[:, month == number].sum(axis=1) for number in range(len(months))])
    on_floor = hours_by_floor(draws, history)
    return {
        "fleet": Division(("fleet",), fleet, yearly.sum(keepdims=True), _areas(yearly[None], rate)),
        "site": by("site", sites, everyone),
        "machine": by("machine", names, everyone),
        "part": by("part", carries["part"].to_numpy(), seat),
        "floor": Division(
            draws.floors,
            draws.wear_share[spent.slot].T,
            on_floor.sum(axis=0),
            _areas(on_floor.T, rate),
        ),
        "month": Division(
            tuple(months), month[spent.day - 1], monthly.sum(axis=1), _areas(monthly, rate)
        ),
    }


def _area(number: np.ndarray, hours: np.ndarray, rate: np.ndarray, places: int) -> np.ndarray:
    cleaned = np.where(hours > 0, hours * rate, 0.0)
    return np.bincount(number, cleaned, places)


def _areas(hours: np.ndarray, rate: np.ndarray) -> np.ndarray:
    """Area of each row of hours (places, machines)."""
    return np.where(hours > 0, hours * rate, 0.0).sum(axis=1)


def _level(level: str, how: Division, draws: Draws, spent: Spending) -> pd.DataFrame:
    """The rows of one level: every kind that costs something there, and ``all``."""
    kinds = draws.slots["kind"].astype(str).to_numpy()
    amounts = {
        kind: np.where(kinds[spent.slot] == kind, spent.parts, 0.0) for kind in np.unique(kinds)
    }
    if spent.labour.any():
        amounts["labour"] = spent.labour
    amounts["all"] = spent.parts + spent.labour
    tables = [
        _figures(kind, money_by_place(amount, how, spent, draws.draws), how)
        for kind, amount in amounts.items()
    ]
    frame = pd.concat(tables, ignore_index=True)
    kept = frame[(frame["mean"] > 0) | (frame["kind"] == "all")]
    order = pd.Index(how.places).get_indexer(kept["where"])
    sorted_rows = kept.iloc[np.argsort(order, kind="stable")]
    return sorted_rows.assign(level=level).reset_index(drop=True)


def money_by_place(amount: np.ndarray, how: Division, spent: Spending, draws: int) -> np.ndarray:
    """Money of each place and draw, a year; array (places, draws)."""
    if how.share.ndim == 2:
        rows = [np.bincount(spent.draw, amount * share, draws) for share in how.share]
        return SCALE * np.array(rows).reshape(len(how.places), draws)
    cell = how.share.astype(np.int64) * draws + spent.draw
    flat = np.bincount(cell, amount, len(how.places) * draws)
    return SCALE * flat.reshape(len(how.places), draws)


def _figures(kind: str, money: np.ndarray, how: Division) -> pd.DataFrame:
    mean = money.mean(axis=1)
    p10, p50, p90 = np.quantile(money, [0.1, 0.5, 0.9], axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        per_100h = np.where(how.hours > 0, 100 * mean / (SCALE * how.hours), np.nan)
        per_1000m2 = np.where(how.area > 0, 1000 * mean / (SCALE * how.area), np.nan)
    return pd.DataFrame(
        {
            "where": how.places,
            "kind": kind,
            "mean": mean,
            "p10": p10,
            "p50": p50,
            "p90": p90,
            "per_100h": per_100h,
            "per_1000m2": per_1000m2,
        }
    )
