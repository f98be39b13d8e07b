"""By which rule each shelf is kept: its service level, the day its order goes out, until when.

An order lasts until the next one has been delivered: the day it goes out, plus the time between
orders, plus a delivery time. A window that was asked for ends on its own day, plus a delivery time.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import pandas as pd

from wearcast.decisions.ordering.levels import service_levels
from wearcast.decisions.ordering.workdays import first_order_day
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices

Place = tuple[str, str]
"""Depot and part."""


@dataclass(frozen=True, slots=True)
class Policy:
    """The rules of every shelf. Days count from as-of."""

    levels: pd.DataFrame
    """From `service_levels`."""
    order_days: Mapping[str, int]
    """Part to the day on which an order of today goes out."""
    choices: Choices
    planned: Mapping[Place, int] = field(default_factory=dict)
    """Shelves whose order goes out on a later day."""

    def level(self, part: str) -> float:
        """Chance of no shortage that is kept to."""
        return float(self.levels["level"].loc[part])

    def order_day(self, depot: str, part: str) -> int:
        """The day on which the order for a shelf goes out."""
        return self.planned.get((depot, part), self.order_days[part])

    def end_day(self, depot: str, part: str) -> int:
        """The day of the next order, or the last one of the window that was asked for."""
        if self.choices.window_asked:
            return (self.choices.order_to - self.choices.as_of).days
        return self.order_day(depot, part) + round(7 * self.choices.review_weeks)


def read_policy(
    book: Logbook, choices: Choices, planned: Mapping[Place, int] | None = None
) -> Policy:
    """The rules that the logbook and the choices set."""
    days = book.suppliers.set_index("supplier")["order_day"]
    first = {
        seller: (first_order_day(choices.as_of, choices.closed_days, day) - choices.as_of).days
        for seller, day in {**dict.fromkeys(book.parts["supplier"], ""), **days}.items()
    }
    order_days = dict(zip(book.parts["part"], book.parts["supplier"].map(first), strict=True))
    return Policy(service_levels(book, choices), order_days, choices, planned or {})
