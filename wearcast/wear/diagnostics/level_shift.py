"""Did a wear class, or a site, begin to wear faster or slower, and is it so still.

A new supplier's blades, another detergent, a floor renewed: the fit follows what stays from quarter
to quarter only in part (`STAYS` of `wearcast.wear.covariates`), a change of the last weeks hardly,
and looking back over whole quarters does not show it in time. Worn ends of each machine and class
are laid against its own hazard, month by month back from as-of; what splits them best is told where
neither chance nor the usual scatter of quarters nor the season brings it.
"""

from typing import NamedTuple

import numpy as np
import pandas as pd
from scipy.special import stdtr

from wearcast.history.quarters import QUARTER_DAYS
from wearcast.history.story import History
from wearcast.logbook.findings.coded import coded
from wearcast.logbook.schema.vocabulary import MONTH_NAMES
from wearcast.told import GRAVE, Problem
from wearcast.wear.diagnostics.doubts import note
from wearcast.wear.diagnostics.speed_changes import used_spells, with_load
from wearcast.wear.records import Wear

QUARTER, YEAR = 3, 12
"""Months."""
MONTH_DAYS = QUARTER_DAYS / QUARTER
SURE = 5.0
"""Standard errors of chance: of some 24 months in each of 60 groups none is so far off in 1,000."""
RARE = 0.05
"""Chance that quarters which differ as they do bring such a change."""
USUAL_SD, WORTH = 0.1, 4.0
"""Quarters differ so much in speed (sd of the log), by what is known before so many are seen."""
MATTERS = 1.1
"""A forecast less wrong than that is let pass."""
FEW_DAYS = 4
"""Ends on so few days a month are written later, several together."""
MOST = 500_000
"""Spells that are looked at."""
FEWEST = 10
"""Worn ends on each side. All of these are chosen here."""


class _Months(NamedTuple):
    """Worn ends of a group and those expected at its usual speed, by month, the newest first."""

    worn: np.ndarray
    expected: np.ndarray
    shape: float
    least: int
    """So many months at least tell a change: more than one where days are those of writing."""


class Shift(NamedTuple):
    """What changed so many months ago."""

    months: int
    times: float
    """Speed since then over the speed before."""
    over_mean: float
    """The same over the speed of the whole log."""


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

    def where(self, chosen: np.ndarray) -> "Cells":
        """Some cells: bool array (cells,), True is kept."""
        site, wears_as, worn, expected, shape = (one[chosen] for one in self[:5])
        return Cells(site, wears_as, worn, expected, shape, self.least)


def tell_level_shifts(history: History, wear: Wear) -> list[Problem]:
    """Findings about what wears otherwise than in most of the log: a few sites, else classes."""
    used = np.flatnonzero(used_spells(history, wear))
    some = some_machines(history.spells["machine"].to_numpy()[used])
    spells = with_load(history, wear, used[some])
    if not spells["cause"].eq("worn").any():
        return []
    cells = cells_of(spells, history.as_of)
    found = _at_sites(cells)
    sites = np.isin(cells.site, [site for site, _, _ in found])
    few = 2 * len(set(cells.site[sites])) < len(set(cells.site))
    if not found or not few or _in_all(cells.where(~sites)):
        found = [("", name, shift) for name, shift in _in_all(cells).items()]
    return [
        _told(f"{name} at {site}" if site else name, history.as_of, shift)
        for site, name, shift in found
    ]


def _at_sites(cells: Cells) -> list[tuple[str, str, Shift]]:
    """Site, what changed there and how: all, or its one class that did."""
    sites = shifts(cells, cells.site)
    found = []
    for site in np.unique(cells.site).tolist():
        here = cells.where(cells.site == site)
        own = shifts(here, here.wears_as)
        if len(own) == 1 or (own and site not in sites):
            found += [(site, name, shift) for name, shift in own.items()]
        elif site in sites:
            found.append((site, "all", sites[site]))
    return found


def some_machines(machine: np.ndarray) -> np.ndarray:
    """All spells; of so many that it takes time those of every second machine, or third.

    Array (spells,) of names to one of bool: True is kept.
    """
    step = max(-(-len(machine) // MOST), 1)
    return np.asarray(coded(machine).codes % step == 0)


def _in_all(cells: Cells) -> dict[str, Shift]:
    """What changed at all sites: one class, or everything."""
    kinds = shifts(cells, cells.wears_as)
    return kinds if len(kinds) == 1 else shifts(cells, np.full(len(cells.site), "everything"))


def shifts(cells: Cells, of: np.ndarray) -> dict[str, Shift]:
    """The groups of cells in which something changed for good; `of`: array (cells,) of labels."""
    found = {}
    for name in np.unique(of).tolist():
        here = cells.where(of == name)
        weight = here.worn.sum(axis=1) + 1e-9  # where none wore out, any mean will do
        shape = float(np.average(here.shape, weights=weight))
        by = _Months(here.worn.sum(axis=0), here.expected.sum(axis=0), shape, cells.least)
        found[name] = _shift_of(by)
    return {name: shift for name, shift in found.items() if shift}


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
    )


def _shift_of(by: _Months) -> Shift | None:
    """What splits a group's ends best, if it surely is no chance, no quarter's whim, no season."""
    worn, expected = np.cumsum(by.worn)[:-1], np.cumsum(by.expected)[:-1]
    total = by.worn.sum()
    spread = np.sqrt(np.maximum(expected * (1 - expected / max(total, 1)), 1e-9))
    over_mean = np.exp(np.log((worn + 0.5) / (expected + 0.5)) / by.shape)
    told = np.maximum(over_mean, 1 / over_mean) >= MATTERS
    told &= (np.minimum(worn, expected) >= FEWEST) & (total - worn >= FEWEST)
    told[: by.least - 1] = False
    score = np.where(told, np.abs(worn - expected) / spread, 0.0)
    if not len(score) or score.max() < SURE:
        return None
    months = int(np.argmax(score)) + 1
    log = _log_speed(by, 0, months) - _log_speed(by, months, len(by.worn))
    if _by_quarters(by, months, log) > RARE or _is_season(by, months, log):
        return None
    return Shift(months, float(np.exp(log)), float(over_mean[months - 1]))


def _log_speed(by: _Months, newest: int, oldest: int) -> float:
    """Log of the speed in some months over that of the whole log."""
    worn, expected = (column[newest:oldest].sum() for column in (by.worn, by.expected))
    return float(np.log((worn + 0.5) / (expected + 0.5)) / by.shape)


def _by_quarters(by: _Months, months: int, log: float) -> float:
    """Chance of such a difference where quarters scatter as they do on both sides."""
    starts = [
        *((at, max(at - QUARTER, 0)) for at in range(months, 0, -QUARTER)),
        *((min(at + QUARTER, len(by.worn)), at) for at in range(months, len(by.worn), QUARTER)),
    ]
    rows = [
        (start <= months, _log_speed(by, end, start), by.expected[end:start].sum())
        for start, end in starts
        if by.expected[end:start].sum() >= 1
    ]
    frame = pd.DataFrame(rows, columns=["after", "log", "expected"])
    chance = 1 / (by.shape**2 * frame["expected"])
    off = frame["log"] - frame.groupby("after")["log"].transform("mean")
    free = max(len(frame) - frame["after"].nunique(), 0)
    seen = max(float((off**2).sum() - chance.sum() * free / len(frame)), 0.0)
    variance = (seen + WORTH * USUAL_SD**2) / (free + WORTH)
    counts = frame["after"].value_counts()
    ends = 1 / frame.groupby("after")["expected"].sum()
    error = np.sqrt((variance / counts).sum() + (ends / by.shape**2).sum())
    return 2 * float(stdtr(free + WORTH, -abs(log) / error))


def _is_season(by: _Months, months: int, log: float) -> bool:
    """Whether the same months of the year before were as fast or slow as those since the change."""
    newest, oldest = YEAR, min(YEAR + months, len(by.worn))
    if months > YEAR or 2 * (oldest - newest) < months:
        return False
    year_before = _log_speed(by, 0, months) - _log_speed(by, newest, oldest)
    return year_before / log < 0.5


def month_words(day: pd.Timestamp) -> str:
    """``March 2026``."""
    return f"{MONTH_NAMES[day.month - 1]} {day.year}"


def _told(what: str, as_of: pd.Timestamp, shift: Shift) -> Problem:
    day = as_of - pd.Timedelta(days=shift.months * MONTH_DAYS)
    return note(
        f"{what} wears about {shift.times:.2g} times as fast since {month_words(day)} "
        f"as before, more than chance or the usual quarter would bring: if this stays, "
        f"{shift.over_mean:.2g} times as much is used as over the whole log; the forecast goes "
        "part of that way, with wide ranges",
        "Look what changed then: the part or its supplier, the detergent, a floor, how it is used; "
        "or the season, in a log of a year or less",
        what,
        "cause",
        GRAVE,
    )
