"""A year of quarterly orders against true fleets: ``python -m tests.studies.forecasts.service``.

Every 13 weeks the log as it stands is read; the order is made and arrives after a random lead
time. Between, the true fleet takes what it really uses. A shelf that runs dry buys elsewhere, at
once, and its cycle (from one delivery to the next) counts as short. With packs of 1 and no minimum
the achieved service can equal the target; ``--pack`` and ``--min-order`` give all parts others.
Machines come, plans double and floors change (stories growth and moved) at the first review.
Beside it: an oracle that orders from the true parameters, and "last year's use plus so many
months", in the same packs. Both are run at many levels, and their stock is read off at the service
that the forecast achieved.
"""

import argparse
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pandas as pd

from tests import fleets
from tests.fleets import AHEAD, QUARTER, Fleet
from tests.studies.forecasts import oracle
from tests.studies.forecasts.judging import forecast_of
from wearcast.decisions.ordering.prices import Terms
from wearcast.decisions.orders import order_lines

TARGETS = (0.90, 0.95, 0.99)
LEVELS = (0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.93, 0.95, 0.97, 0.98, 0.99, 0.995)
MONTHS = (-1.0, -0.5, 0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 6.0)
LEAD, LEAD_SD = 14.0, 3.0
CYCLES = 4

OrderUpTo = Callable[[int, np.ndarray, np.ndarray], np.ndarray]
"""From cycle, pieces on each shelf, pieces on their way, to pieces ordered."""


def make_year(seed: int, story: str = "steady") -> list[Fleet]:
    """One fleet as it stood at each of four reviews; what is new begins at the first."""
    fleet = fleets.make_fleet(seed, story, ahead=2 * AHEAD)
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


def keep_shelf(need: np.ndarray, leads: np.ndarray, order: OrderUpTo) -> tuple[float, float]:
    """Share of cycles without shortage, and mean pieces on the shelves, over a year of orders.

    The first order is on the shelf at once, so that the first cycle starts like the others.
    """
    size = len(need)
    reviews = 91 * np.arange(CYCLES + 1)
    arrivals = np.concatenate([[0], reviews[1:] + leads[1:]]).astype(int)
    stock = order(0, np.zeros(size), np.zeros(size))
    coming, short, held = np.zeros(size), [], []
    for cycle in range(CYCLES):
        dry = np.zeros(size, bool)
        for day in range(arrivals[cycle] + 1, arrivals[cycle + 1] + 1):
            stock = stock - need[:, day]
            dry |= stock < 0
            stock = np.maximum(stock, 0)
            held.append(stock.sum())
            if cycle + 1 < CYCLES and day == reviews[cycle + 1]:
                coming = order(cycle + 1, stock, coming)
        stock, coming = stock + coming, np.zeros(size)
        short.append(dry)
    return 1 - np.mean(short), float(np.mean(held))


def ours(shelves: pd.DataFrame, level: float, known: list, terms: Terms) -> OrderUpTo:
    """Orders as `order_lines` gives them at this service level."""

    def order(cycle, stock, coming):
        forecast = known[cycle]
        choices = replace(forecast.choices, service_level=level)
        lines = order_lines(
            forecast.draws, forecast.history, _book(forecast, shelves, stock, terms), choices
        )
        found = lines.set_index(["depot", "part"])
        # What another depot can spare comes along with the order.
        found = found["order_pieces"] + found["moved_in"] - found["moved_out"]
        return found.reindex(pd.MultiIndex.from_frame(shelves), fill_value=0.0).to_numpy(float)

    return order


def _book(forecast, shelves, stock, terms):
    """The logbook with the shelves as they are counted today, and the true delivery time."""
    parts = forecast.book.parts.assign(
        lead_days=LEAD, lead_days_sd=LEAD_SD, pack=terms.pack, min_order=terms.min_order
    )
    rows = shelves.assign(on_hand=stock, counted=forecast.book.as_of, source="stock.csv")
    rows["row"] = np.arange(len(rows)) + 2
    columns = list(forecast.book.stock.columns)
    return replace(forecast.book, stock=rows.reindex(columns=columns), parts=parts)


def up_to(levels_by_cycle: list[np.ndarray], terms: Terms) -> OrderUpTo:
    """Orders that fill each shelf up to a level of its own."""

    def order(cycle, stock, coming):
        missing = np.ceil(levels_by_cycle[cycle]) - stock - coming
        packs = np.ceil(np.maximum(missing, terms.min_order) / terms.pack)
        return np.where(missing > 0, packs * terms.pack, 0)

    return order


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


def study(seed: int, story: str, draws: int, terms: Terms) -> pd.DataFrame:
    """One fleet: policy, level, achieved service and mean stock."""
    year = make_year(seed, story)
    shelves, shelf = shelves_of(year[0])
    need = daily_need(year[0], shelf, 7 * (AHEAD + 8))
    rng = np.random.default_rng([seed, 17])
    shape = (LEAD / LEAD_SD) ** 2
    leads = np.ceil(rng.gamma(shape, LEAD / shape, CYCLES + 1))
    known = [
        forecast_of(fleet, draws=draws, order_from=fleets.AS_OF + pd.Timedelta(days=1), weeks=13)
        for fleet in year
    ]
    rows = [
        ("ours", level, *keep_shelf(need, leads, ours(shelves, level, known, terms)))
        for level in TARGETS
    ]
    best = oracle_need(year, shelf, draws)
    for level in LEVELS:
        wanted = [np.quantile(n, level, axis=1, method="inverted_cdf") for n in best]
        rows.append(("oracle", level, *keep_shelf(need, leads, up_to(wanted, terms))))
    rate = last_year(year, shelf)
    for months in MONTHS:
        wanted = [r * (7 * QUARTER + LEAD + months * 365 / 12) for r in rate]
        rows.append(("last year", months, *keep_shelf(need, leads, up_to(wanted, terms))))
    return pd.DataFrame(rows, columns=["policy", "level", "service", "stock"]).assign(seed=seed)


def summary(rows: pd.DataFrame) -> pd.DataFrame:
    """Achieved service by target, and our stock over the others' at that very service."""
    mean = rows.groupby(["policy", "level"])[["service", "stock"]].mean()
    table = mean.loc["ours"].copy()
    # The cycles of one fleet hang together; fleets do not.
    table.insert(1, "one se", rows[rows["policy"] == "ours"].groupby("level")["service"].sem())
    for other in ("oracle", "last year"):
        curve = mean.loc[other].sort_values("service")
        stock = np.interp(table["service"], curve["service"], curve["stock"])
        table[f"stock over {other}"] = table["stock"] / stock
    table["stock over last year + 1 month"] = table["stock"] / mean.loc[("last year", 1.0), "stock"]
    oracle_at = mean.loc["oracle"].reindex(table.index)
    table["service of oracle"], table["stock of oracle"] = oracle_at["service"], oracle_at["stock"]
    table["service of last year + 1 month"] = mean.loc[("last year", 1.0), "service"]
    return table


def main() -> None:
    """The table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--story", default="steady")
    parser.add_argument("--fleets", type=int, default=20)
    parser.add_argument("--draws", type=int, default=1000)
    parser.add_argument("--pack", type=float, default=1.0)
    parser.add_argument("--min-order", type=float, default=0.0)
    asked = parser.parse_args()
    terms = Terms(asked.pack, asked.min_order, ())
    rows = [study(seed, asked.story, asked.draws, terms) for seed in range(asked.fleets)]
    table = pd.concat(rows, ignore_index=True)
    print(summary(table).round(3).to_string())  # noqa: T201


if __name__ == "__main__":
    main()
