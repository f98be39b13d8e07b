"""Mean hours ahead of every machine, kept while the hours themselves are drawn and let go of."""

from collections.abc import Iterable

import numpy as np
import pandas as pd

from wearcast.outlook.hours import HoursAhead
from wearcast.outlook.records import HoursDraws

YEAR_WEEKS = 52
MACHINES_AT_ONCE = 100
"""Machines without positions, whose hours are drawn for their means only."""


class MeanHours:
    """Mean hours of every machine, taken down as its hours are drawn for the walk."""

    def __init__(self, hours: HoursAhead | HoursDraws) -> None:
        self.machines = hours.machines
        self._hours = hours
        self._place = pd.Index(hours.machines)
        self._weekly = np.full((len(hours.machines), hours.weeks), np.nan)
        self._year = np.full(len(hours.machines), np.nan)

    def taken(self, names: Iterable[str]) -> HoursDraws:
        """The hours of some machines, drawn now; one that nobody reads has none."""
        place = np.unique(self._place.get_indexer(pd.Index(names)))
        drawn = self._hours.of(place[place >= 0])
        self._weekly[place[place >= 0]] = drawn.hours.mean(axis=1, dtype=np.float64)
        self._year[place[place >= 0]] = (
            drawn.hours[:, :, :YEAR_WEEKS].sum(axis=2, dtype=float).mean(axis=1)
        )
        return drawn

    def of_all(self) -> tuple[np.ndarray, np.ndarray]:
        """Hours in the coming year, array (machines,), and by week, array (machines, weeks) [h]."""
        rest = np.flatnonzero(np.isnan(self._year))
        for first in range(0, len(rest), MACHINES_AT_ONCE):
            names = [self.machines[at] for at in rest[first : first + MACHINES_AT_ONCE]]
            self.taken(names)
        return self._year, self._weekly
