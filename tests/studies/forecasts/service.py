"""A year of quarterly orders against true fleets: ``python -m tests.studies.forecasts.service``.

Every 13 weeks the log as it stands is read and the order is made, with the window that a clerk
gets who asks for none. It goes out both ways: all lines at once, or each on the day that the order
names for it when ordering by date; a random lead time later it is on the shelf. Between, the true
fleet takes what it really uses. A shelf that runs dry buys elsewhere, at once, and its cycle (from
one delivery to the next) counts as short. As-of falls on another day of the calendar quarter for
each fleet. With packs of 1 and no minimum the achieved service can equal the target; ``--pack``
and ``--min-order`` give all parts others. Machines come, plans double and floors change (stories
growth and moved) at the first review. Beside it, both ordering at once: an oracle that orders from
the true parameters, and "last year's use plus so many months", in the same packs. Both are run at
many levels, and their stock is read off at the service that the forecast achieved.
"""

import argparse
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pandas as pd

from tests import fleets
from tests.fleets import AHEAD, QUARTER, Fleet
from tests.studies.forecasts import oracle
from tests.studies.forecasts.judging import forecast_of
from wearcast.decisions.ordering import shelves as shelves_room
from wearcast.decisions.ordering.prices import Terms
from wearcast.decisions.orders import order_lines

TARGETS = (0.90, 0.95, 0.99)
LEVELS = (0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.93, 0.95, 0.97, 0.98, 0.99, 0.995)
MONTHS = (-1.0, -0.5, 0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 6.0)
LEAD, LEAD_SD = 14.0, 3.0
CYCLES = 4
FIRST_DAY = pd.Timestamp("2026-10-01")

ONCE, BY_DATE = "at once", "by date"


@dataclass(frozen=True)
class Order:
    """What each shelf gets: arrays (shelves,)."""

    pieces: np.ndarray
    moved: np.ndarray
    """Pieces that come from other depots at once; below 0: that leave."""
    day: np.ndarray
    """Days after the review on which the pieces are ordered."""


Ask = Callable[[int, np.ndarray, pd.DataFrame], Order]
"""From cycle, pieces on each shelf, and orders on their way (shelf, pieces, arrives: the days left
as the supplier says them), to the order."""


def make_year(seed: int, story: str = "steady", **size: int) -> list[Fleet]:
    """One fleet as it stood at each of four reviews; what is new begins at the first."""
    fleet = fleets.make_fleet(seed, story, ahead=2 * AHEAD, **size)
    return [replace(fleet, history=fleet.history + QUARTER * cycle) for cycle in range(CYCLES)]


def shelves_of(fleet: Fleet) -> tuple[pd.DataFrame, np.ndarray]:
    """Depot and part of every shelf, and the shelf of each slot."""
    depot = fleet.machines["depot"].to_numpy()[fleet.slots["machine"]]
    pairs = pd.MultiIndex.from_arrays([depot, fleet.slots["part"]], names=["depot", "part"])
    names = pairs.unique().sort_values()
    return names.to_frame(index=False), names.get_indexer(pairs)


def daily_need(fleet: Fleet, shelf: np.ndarray, days: int) -> np.ndarray:
    """True use of each shelf on each day after as-of: array (shelves, days + 1); day 0 unused."""
    ends = fleets.timed(fleet)
    ends = ends[ends["replaced"] & ends["day"].between(1, days)]
    pieces = fleet.slots["pieces"].to_numpy()[ends["slot"]]
    size = shelf.max() + 1
    cell = shelf[ends["slot"]] * (days + 1) + ends["day"].to_numpy()
    return np.bincount(cell, pieces, size * (days + 1)).reshape(size, days + 1)


def keep_shelf(need: np.ndarray, seed: int, ask: Ask) -> tuple[float, float]:
    """Share of cycles without shortage, and mean pieces on the shelves, over a year of orders.

    The first order is on the shelf at once, so that the first cycle starts like the others.
    """
    size, shape = len(need), (LEAD / LEAD_SD) ** 2
    rng = np.random.default_rng([seed, 17])
    nothing = pd.DataFrame({"shelf": [], "pieces": [], "arrives": []})
    stock = ask(0, np.zeros(size), nothing).pieces
    arriving = np.zeros((size, need.shape[1] + 400))
    told = arriving.copy()
    dry, short, held = np.zeros(size, bool), [], []
    for day in range(1, 91 * CYCLES + 1):
        stock = stock - need[:, day]
        dry |= stock < 0
        stock = np.maximum(stock, 0)
        held.append(stock.sum())
        came = arriving[:, day] > 0
        short.append(dry[came])
        dry &= ~came
        stock, told[:, day] = stock + arriving[:, day], 0
        if day % 91 == 0 and day // 91 < CYCLES:
            order = ask(day // 91, stock, on_their_way(told, day))
            stock = stock + order.moved
            buys = np.flatnonzero(order.pieces > 0)
            lead = np.maximum(np.ceil(rng.gamma(shape, LEAD / shape, size)), 1)[buys]
            goes = day + order.day[buys]
            arriving[buys, (goes + lead).astype(int)] += order.pieces[buys]
            told[buys, (goes + LEAD).astype(int)] += order.pieces[buys]
    return 1 - np.mean(np.concatenate(short)), float(np.mean(held))


def on_their_way(told: np.ndarray, day: int) -> pd.DataFrame:
    """Orders that are due after a day: shelf, pieces, arrives (days from then)."""
    shelf, ahead = np.nonzero(told[:, day + 1 :])
    pieces = told[:, day + 1 :][shelf, ahead]
    return pd.DataFrame({"shelf": shelf, "pieces": pieces, "arrives": ahead + 1.0})


def ours(shelves: pd.DataFrame, level: float, ordering: str, known: list, terms: Terms) -> Ask:
    """Orders as `order_lines` gives them at this service level."""

    def ask(cycle, stock, coming):
        forecast = known[cycle]
        choices = replace(forecast.choices, service_level=level, ordering=ordering)
        book = _book(forecast, shelves, stock, coming, terms)
        lines = order_lines(forecast.draws, forecast.history, book, choices)
        found = lines.set_index(["depot", "part"]).reindex(pd.MultiIndex.from_frame(shelves))
        return Order(
            found["order_pieces"].fillna(0.0).to_numpy(float),
            (found["moved_in"] - found["moved_out"]).fillna(0.0).to_numpy(float),
            (found["order_on"] - choices.as_of).dt.days.fillna(0.0).to_numpy(float),
        )

    return ask


def _book(forecast, shelves, stock, coming, terms):
    """The logbook with the shelves as they are counted today, and the true delivery time."""
    as_of = forecast.book.as_of
    parts = forecast.book.parts.assign(
        lead_days=LEAD, lead_days_sd=LEAD_SD, pack=terms.pack, min_order=terms.min_order
    )
    rows = shelves.assign(on_hand=stock, counted=as_of, source="stock.csv")
    orders = shelves.loc[coming["shelf"].astype(int)].reset_index(drop=True)
    orders = orders.assign(
        pieces=coming["pieces"].to_numpy(float),
        due=as_of + pd.to_timedelta(coming["arrives"].to_numpy(float), unit="D"),
        source="on_order.csv", received=pd.NaT, arrived=False,
    )  # fmt: skip
    tables = {}
    for name, table in (("stock", rows), ("on_order", orders)):
        columns = getattr(forecast.book, name).columns
        tables[name] = table.assign(row=np.arange(len(table)) + 2).reindex(columns=columns)
    return replace(forecast.book, parts=parts, **tables)


def up_to(levels_by_cycle: list[np.ndarray], terms: Terms) -> Ask:
    """Orders at once that fill each shelf up to a level of its own."""

    def ask(cycle, stock, coming):
        on_way = np.bincount(coming["shelf"].astype(int), coming["pieces"], len(stock))
        missing = np.ceil(levels_by_cycle[cycle]) - stock - on_way
        packs = np.ceil(np.maximum(missing, terms.min_order) / terms.pack)
        pieces = np.where(missing > 0, packs * terms.pack, 0)
        return Order(pieces, np.zeros(len(stock)), np.zeros(len(stock)))

    return ask


def oracle_need(year: list[Fleet], shelf: np.ndarray, draws: int) -> list[np.ndarray]:
    """Use until the next delivery, drawn by the oracle at each review: arrays (shelves, draws)."""
    out = []
    for cycle, fleet in enumerate(year):
        rng = np.random.default_rng([fleet.seed, 13, cycle])
        lead = rng.gamma((LEAD / LEAD_SD) ** 2, LEAD_SD**2 / LEAD, draws)
        (use,) = oracle.use_ahead(fleet, draws, cycle, weeks=(QUARTER + lead / 7,))
        out.append(np.stack([use[shelf == s].sum(axis=0) for s in range(shelf.max() + 1)]))
    return out


def last_year(year: list[Fleet], shelf: np.ndarray) -> list[np.ndarray]:
    """Use a day in the newest year on record, at each review."""
    out = []
    for fleet in year:
        ends = fleets.timed(fleet)
        seen = min(7 * fleet.history, 7 * AHEAD)
        ends = ends[ends["replaced"] & ends["day"].between(1 - seen, 0)]
        pieces = fleet.slots["pieces"].to_numpy()[ends["slot"]]
        out.append(np.bincount(shelf[ends["slot"]], pieces, shelf.max() + 1) / seen)
    return out


def study(
    seed: int,
    story: str,
    draws: int,
    terms: Terms,
    rivals: bool = True,
    targets: tuple[float, ...] = TARGETS,
    **size: int,
) -> pd.DataFrame:
    """One fleet: policy, level, achieved service and mean stock; rivals: the other policies too."""
    year = make_year(seed, story, **size)
    shelves, shelf = shelves_of(year[0])
    need = daily_need(year[0], shelf, 7 * (AHEAD + 8))
    known = [forecast_of(fleet, draws=draws, ordering=BY_DATE) for fleet in year]
    rows = [
        (ordering, level, *keep_shelf(need, seed, ours(shelves, level, ordering, known, terms)))
        for ordering in (ONCE, BY_DATE)
        for level in targets
    ]
    if rivals:
        best = oracle_need(year, shelf, draws)
        for level in LEVELS:
            wanted = [np.quantile(n, level, axis=1, method="inverted_cdf") for n in best]
            rows.append(("oracle", level, *keep_shelf(need, seed, up_to(wanted, terms))))
        rate = last_year(year, shelf)
        for months in MONTHS:
            wanted = [r * (7 * QUARTER + LEAD + months * 365 / 12) for r in rate]
            rows.append(("last year", months, *keep_shelf(need, seed, up_to(wanted, terms))))
    return pd.DataFrame(rows, columns=["policy", "level", "service", "stock"]).assign(seed=seed)


def summary(rows: pd.DataFrame) -> pd.DataFrame:
    """Achieved service by way and target, and our stock over the others' at that very service."""
    mean = rows.groupby(["policy", "level"])[["service", "stock"]].mean()
    mine = rows[rows["policy"].isin([ONCE, BY_DATE])]
    table = mean.loc[[ONCE, BY_DATE]].copy()
    # The cycles of one fleet hang together; fleets do not.
    table.insert(1, "one se", mine.groupby(["policy", "level"])["service"].sem())
    for other in ("oracle", "last year"):
        if other in mean.index:
            curve = mean.loc[other].sort_values("service")
            stock = np.interp(table["service"], curve["service"], curve["stock"])
            table[f"stock over {other}"] = table["stock"] / stock
    return table


def day_of(seed: int) -> pd.Timestamp:
    """As-of of a fleet: eleven days on from one to the next, round the calendar quarter."""
    return FIRST_DAY + pd.Timedelta(days=seed * 11 % 91)


def main() -> None:
    """The table; ``--rows FILE`` keeps each fleet's figures and goes on where a run was stopped."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--story", default="steady")
    parser.add_argument("--fleets", type=int, default=20)
    parser.add_argument("--draws", type=int, default=1000)
    parser.add_argument("--pack", type=float, default=1.0)
    parser.add_argument("--min-order", type=float, default=0.0)
    parser.add_argument("--alone", action="store_true", help="without the other policies")
    parser.add_argument("--apart", action="store_true", help="depots do not lend to each other")
    parser.add_argument("--rows", type=Path)
    asked = parser.parse_args()
    if asked.apart:
        shelves_room.with_moves = lambda shelves, _: shelves
    terms = Terms(asked.pack, asked.min_order, ())
    rows = [pd.read_csv(asked.rows)] if asked.rows and asked.rows.exists() else []
    done = set(rows[0]["seed"]) if rows else set()
    for seed in sorted({*range(asked.fleets)} - done):
        fleets.AS_OF = day_of(seed)
        rows.append(study(seed, asked.story, asked.draws, terms, rivals=not asked.alone))
        if asked.rows:
            pd.concat(rows, ignore_index=True).to_csv(asked.rows, index=False)
    print(summary(pd.concat(rows, ignore_index=True)).round(3).to_string())  # noqa: T201


if __name__ == "__main__":
    main()
