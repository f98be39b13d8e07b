"""Worn ends, and those expected at a machine's usual speed, by month back from as-of."""

from typing import NamedTuple

import numpy as np
import pandas as pd

from wearcast.history.quarters import QUARTER_DAYS
from wearcast.history.story import History
from wearcast.logbook.findings.coded import coded
from wearcast.logbook.schema.vocabulary import MONTH_NAMES
from wearcast.wear.diagnostics.speed_changes import used_spells
from wearcast.wear.records import Wear

QUARTER, YEAR = 3, 12
"""Months."""
MONTH_DAYS = QUARTER_DAYS / QUARTER
SURE, GROUPS = 5.0, 60
"""Standard errors of chance: of some 24 months in each of 60 groups none is so far off in 1,000."""
RARE = 0.05
"""Chance that quarters which differ as they do bring such a change."""
USUAL_SD, WORTH = 0.06, 4.0
"""Quarters differ so much in speed (sd of the log), by what is known before so many are seen."""
FEW_DAYS = 4
"""Ends on so few days a month are written later, several together."""
MOST = 500_000
"""Spells that are looked at."""


class Months(NamedTuple):
    """Worn ends of a group and those expected at its usual speed, by month, the newest first."""

    worn: np.ndarray
    expected: np.ndarray
    shape: float
    least: int
    """So many months at least tell a change: more than one where days are those of writing."""
    sure: float = SURE
    """Standard errors of chance, see `sure_of`"""


class Cells(NamedTuple):
    """Worn and expected ends of each class at each site."""

    site: np.ndarray
    """array (cells,) of names"""
    wears_as: np.ndarray
    worn: np.ndarray
    """array (cells, months) counts, the newest month first"""
    expected: np.ndarray
    """array (cells, months) the same at the usual speed of each machine's class"""
    shape: np.ndarray
    """array (cells,)"""
    least: int
    sure: float = SURE

    def where(self, chosen: np.ndarray) -> "Cells":
        """Some cells: bool array (cells,), True is kept."""
        site, wears_as, worn, expected, shape = (one[chosen] for one in self[:5])
        return Cells(site, wears_as, worn, expected, shape, self.least, self.sure)


def sure_of(groups: int) -> float:
    """Standard errors that so many groups do not bring by chance: a normal tail's share of each."""
    return float(np.sqrt(SURE**2 + 2 * np.log(max(groups / GROUPS, 1.0))))


def sampled_spells(history: History, wear: Wear) -> np.ndarray:
    """Row numbers of the spells that can be used: int array (some,).

    Of so many that it takes time those of every second machine, or third.
    """
    used = np.flatnonzero(used_spells(history, wear))
    step = max(-(-len(used) // MOST), 1)
    machine = coded(history.spells["machine"].to_numpy()[used]).codes
    return np.asarray(used[machine % step == 0])


def months_of(cells: Cells) -> Months:
    """All cells together."""
    weight = cells.worn.sum(axis=1) + 1e-9  # where none wore out, any mean will do
    shape = float(np.average(cells.shape, weights=weight))
    return Months(
        cells.worn.sum(axis=0), cells.expected.sum(axis=0), shape, cells.least, cells.sure
    )


def cells_of(spells: pd.DataFrame, as_of: pd.Timestamp) -> Cells:
    """Worn and expected ends by class and site; a machine's class is compared with itself alone.

    `spells`: machine, site, wears_as, start, end, cause, load (hazard taken), shape.
    """
    machines, sites, kinds = (
        np.unique(spells[name].to_numpy(str), return_inverse=True)
        for name in ("machine", "site", "wears_as")
    )
    both, group = np.unique(sites[1] * len(kinds[0]) + kinds[1], return_inverse=True)
    stratum = machines[1] * len(kinds[0]) + kinds[1]
    worn = spells["cause"].eq("worn").to_numpy()
    load, shape = (spells[name].to_numpy(float) for name in ("load", "shape"))
    usual = np.bincount(stratum, worn) / np.maximum(np.bincount(stratum, load), 1e-300)
    # Months before as-of at which each spell began and ended; the hazard falls between them.
    begin, end = (
        np.maximum((as_of - spells[name]).dt.days.to_numpy(float), 0) / MONTH_DAYS
        for name in ("start", "end")
    )
    first, last = np.floor(end).astype(int), np.floor(begin).astype(int)
    spell = np.repeat(np.arange(len(spells)), last - first + 1)
    month = np.arange(len(spell)) - np.repeat(np.cumsum(last - first + 1), last - first + 1)
    month += np.repeat(last + 1, last - first + 1)
    long = np.maximum(begin - end, 1e-9)[spell]
    gone = [
        np.clip((begin[spell] - at) / long, 0.0, 1.0) ** shape[spell] for at in (month + 1, month)
    ]
    gone[1] = np.where(month == first[spell], 1.0, gone[1])
    piece = (load * usual[stratum])[spell] * (gone[1] - gone[0])
    size = (len(both), int(last.max()) + 1)
    expected = np.bincount(group[spell] * size[1] + month, piece, np.prod(size)).reshape(size)
    ended = np.bincount((group * size[1] + first)[worn], minlength=np.prod(size)).reshape(size)
    weight = worn + 1e-9
    least = QUARTER if spells.loc[worn, "end"].nunique() < FEW_DAYS * size[1] else 1
    return Cells(
        sites[0][both // len(kinds[0])],
        kinds[0][both % len(kinds[0])],
        ended,
        expected,
        np.bincount(group, weight * shape) / np.bincount(group, weight),
        least,
        sure_of(len(both)),
    )


def log_speed(by: Months, newest: int, oldest: int) -> float:
    """Log of the speed in some months over that of the whole log."""
    worn, expected = (column[newest:oldest].sum() for column in (by.worn, by.expected))
    return float(np.log((worn + 0.5) / (expected + 0.5)) / by.shape)


def month_words(day: pd.Timestamp) -> str:
    """``March 2026``."""
    return f"{MONTH_NAMES[day.month - 1]} {day.year}"
