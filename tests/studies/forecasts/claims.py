"""What order lines claim against what came: ``python -m tests.studies.forecasts.claims``.

The service study counts a cycle from one delivery to the next. A line claims more: no shortage from
the day of the order until the next delivery, its own delivery waited for. Here both are counted for
the orders of the two middle reviews (the first begins with full shelves, the last has no next), all
lines at once, with depots that lend to each other and without.
"""

import argparse
from collections.abc import Callable

import numpy as np
import pandas as pd

from tests import fleets
from tests.studies.forecasts import service
from tests.studies.forecasts.judging import forecast_of
from wearcast.decisions.ordering import shelves as shelves_room
from wearcast.decisions.ordering.prices import Terms

TERMS = Terms(1.0, 0.0, ())
HEADS = ["claim", "whole", "cycle", "before"]
"""Claimed; nothing short from order to next delivery; from own delivery on; up to it."""


def walk(need: np.ndarray, seed: int, ask: service.Ask, claims: Callable[[], np.ndarray]):
    """One row a line that bought something at the second and third review: `HEADS`."""
    size, shape = len(need), (service.LEAD / service.LEAD_SD) ** 2
    rng = np.random.default_rng([seed, 17])
    last = 91 * service.CYCLES + 30
    arriving, told = np.zeros((2, size, last + 400))
    dry = np.zeros((size, last + 1), bool)
    stock = ask(0, np.zeros(size), pd.DataFrame({"shelf": [], "pieces": [], "arrives": []})).pieces
    claimed, came = [claims()], [np.zeros(size, int)]
    for day in range(1, last + 1):
        stock = stock - need[:, day]
        dry[:, day] = stock < 0
        stock, told[:, day] = np.maximum(stock, 0) + arriving[:, day], 0
        if day % 91 == 0 and day // 91 < service.CYCLES:
            order = ask(day // 91, stock, service.on_their_way(told, day))
            lead = np.maximum(np.ceil(rng.gamma(shape, service.LEAD / shape, size)), 1).astype(int)
            stock = stock + order.moved
            every, goes = np.arange(size), (day + order.day).astype(int)
            arriving[every, goes + lead] += order.pieces
            told[every, goes + int(service.LEAD)] += order.pieces
            claimed.append(np.where(order.pieces > 0, claims(), np.nan))
            came.append(goes + lead)
    rows = [
        (
            claimed[cycle][line],
            not dry[line, 91 * cycle + 1 : came[cycle + 1][line] + 1].any(),
            not dry[line, came[cycle][line] + 1 : came[cycle + 1][line] + 1].any(),
            not dry[line, 91 * cycle + 1 : came[cycle][line] + 1].any(),
        )
        for cycle in range(1, service.CYCLES - 1)
        for line in np.flatnonzero(np.isfinite(claimed[cycle]))
    ]
    return pd.DataFrame(rows, columns=HEADS).astype(float)


def study(seed: int, story: str, draws: int) -> pd.DataFrame:
    """The means of one fleet by way and level."""
    year = service.make_year(seed, story)
    shelves, shelf = service.shelves_of(year[0])
    need = service.daily_need(year[0], shelf, 7 * (fleets.AHEAD + 8))
    known = [forecast_of(fleet, draws=draws, ordering=service.BY_DATE) for fleet in year]
    made: list[pd.DataFrame] = []
    order_lines = service.order_lines

    def remembered(*what):
        made.append(order_lines(*what))
        return made[-1]

    def claims() -> np.ndarray:
        found = made[-1].set_index(["depot", "part"])["service_cycle"]
        return found.reindex(pd.MultiIndex.from_frame(shelves)).to_numpy(float)

    service.order_lines = remembered
    lending, rows = shelves_room.with_moves, []
    for way, moves in (("lending", lending), ("apart", lambda shelves, _: shelves)):
        shelves_room.with_moves = moves
        for level in service.TARGETS:
            ask = service.ours(shelves, level, service.ONCE, known, TERMS)
            rows.append({"way": way, "level": level, **walk(need, seed, ask, claims).mean()})
    service.order_lines, shelves_room.with_moves = order_lines, lending
    return pd.DataFrame(rows)


def main() -> None:
    """The means over the fleets, and how far `whole` lies above `claim`, with its error."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--story", default="steady")
    parser.add_argument("--fleets", type=int, default=16)
    parser.add_argument("--draws", type=int, default=300)
    asked = parser.parse_args()
    rows = []
    for seed in range(asked.fleets):
        fleets.AS_OF = service.day_of(seed)
        rows.append(study(seed, asked.story, asked.draws))
    table = pd.concat(rows).eval("above = whole - claim").groupby(["way", "level"])
    print(table.mean().assign(one_se=table["above"].sem()).round(3).to_string())  # noqa: T201


if __name__ == "__main__":
    main()
