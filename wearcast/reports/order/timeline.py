"""Stock run-down, shelf by shelf: what is left at coming dates if nothing more is ordered.

A shelf is a part at a depot. Stock and moves between depots are the order's, open orders arrive
on their dates, and the use comes from the same draws as the order. The dates are weekly for half
a year and four-weekly to the end of the year.
"""

from collections.abc import Hashable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.demand import uses_by_shelf
from wearcast.decisions.ordering.order_days import planned_days
from wearcast.decisions.ordering.policy import read_policy
from wearcast.decisions.ordering.runout import whole_quantile
from wearcast.decisions.ordering.shelf import Shelf
from wearcast.decisions.ordering.shelves import shelves_by_part
from wearcast.decisions.ordering.supply import read_supply
from wearcast.history.quarters import YEAR_DAYS

if TYPE_CHECKING:
    from wearcast.forecast import Forecast

WEEKLY_DAYS = 196  # 28 weeks; six times four weeks more make the year


@dataclass(frozen=True, slots=True)
class ShelfLine:
    """One shelf's coming stock at each date of the timeline. Pieces; below zero: owed."""

    depot: str
    part: str
    name: str
    low: np.ndarray
    likely: np.ndarray
    high: np.ndarray
    use: np.ndarray
    """Use from as-of that is not exceeded with the service level asked for."""
    order_by: pd.Timestamp
    moved_in: tuple[tuple[str, float], ...]
    """Proposed moves: from depot, pieces."""


@dataclass(frozen=True, slots=True)
class Timeline:
    """Every shelf of the order at the same dates, as-of first."""

    days: np.ndarray
    dates: pd.DatetimeIndex
    lines: tuple[ShelfLine, ...]

    def row_of(self, depot: str, part: str) -> int:
        """The place of a shelf among the lines."""
        return next(
            place
            for place, line in enumerate(self.lines)
            if (line.depot, line.part) == (depot, part)
        )


def timeline_of(forecast: "Forecast") -> Timeline:
    """The timeline of every shelf that the order lists, sorted by part and depot."""
    choices, draws = forecast.choices, forecast.draws
    days = timeline_days(draws.days)
    ordered = {
        (str(line["depot"]), str(line["part"])): line for line in forecast.order.to_dict("records")
    }
    supply = read_supply(forecast.book, forecast.history.uses, choices)
    by_date = choices.ordering == "by date"
    planned = planned_days(forecast.order, choices.as_of) if by_date else None
    policy = read_policy(forecast.book, choices, planned)
    lines = [
        _shelf_line(shelf, ordered[shelf.depot, shelf.part], days)
        for shelves in shelves_by_part(uses_by_shelf(draws), supply, forecast.book, policy)
        for shelf in shelves
        if (shelf.depot, shelf.part) in ordered
    ]
    lines.sort(key=lambda line: (line.part, line.depot))
    return Timeline(days, choices.as_of + pd.to_timedelta(days, unit="D"), tuple(lines))


def timeline_days(days: int) -> np.ndarray:
    """Days after as-of that the timeline shows, array (dates,): weekly, then four-weekly."""
    last = min(days, YEAR_DAYS)
    weekly = np.arange(0, min(last, WEEKLY_DAYS) + 1, 7)
    return np.concatenate([weekly, np.arange(WEEKLY_DAYS + 28, last + 1, 28)]).astype(int)


def covers_until(timeline: Timeline, place: int, pieces: float) -> pd.Timestamp:
    """The last date of the timeline up to which so many pieces cover the use."""
    within = np.searchsorted(timeline.lines[place].use, pieces, side="right") - 1
    return timeline.dates[max(int(within), 0)]


def _shelf_line(shelf: Shelf, line: dict[Hashable, Any], days: np.ndarray) -> ShelfLine:
    """One shelf at the dates of the timeline, with the order line's order-by date."""
    needed = shelf.needed[:, days]
    stock = shelf.at_hand + shelf.delivered[days]
    most, likely, least, use = (
        np.array([whole_quantile(column, share) for column in needed.T])
        for share in (0.95, 0.50, 0.05, shelf.level)
    )
    return ShelfLine(
        depot=shelf.depot,
        part=shelf.part,
        name=str(line["name"]),
        low=stock - most,
        likely=stock - likely,
        high=stock - least,
        use=np.maximum.accumulate(use),
        order_by=line["order_by"],
        moved_in=shelf.moved_in,
    )
