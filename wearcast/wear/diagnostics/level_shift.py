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

from wearcast.history.story import History
from wearcast.told import GRAVE, Problem
from wearcast.wear.diagnostics.doubts import note
from wearcast.wear.diagnostics.months import (
    MONTH_DAYS,
    QUARTER,
    RARE,
    USUAL_SD,
    WORTH,
    YEAR,
    Cells,
    Months,
    cells_of,
    log_speed,
    month_words,
    months_of,
    sampled_spells,
)
from wearcast.wear.diagnostics.speed_changes import with_load
from wearcast.wear.diagnostics.trend import tell_trend
from wearcast.wear.records import Wear

MATTERS = 1.07
"""A forecast less wrong than that is let pass."""
SITE_SD = 0.1
"""As `USUAL_SD`, of one site's quarters."""
FEWEST = 10
"""Worn ends on each side, seen or expected. All of these are chosen here."""


class Shift(NamedTuple):
    """What changed so many months ago."""

    months: int
    times: float
    """Speed since then over the speed before."""
    over_mean: float
    """The same over the speed of the whole log."""


def tell_level_shifts(history: History, wear: Wear) -> list[Problem]:
    """Findings about what wears otherwise than in most of the log: a few sites, else classes."""
    spells = with_load(history, wear, sampled_spells(history, wear))
    if not spells["cause"].eq("worn").any():
        return []
    cells = cells_of(spells, history.as_of)
    found = _at_sites(cells)
    sites = np.isin(cells.site, [site for site, _, _ in found])
    few = 2 * len(set(cells.site[sites])) < len(set(cells.site))
    if not found or not few or _in_all(cells.where(~sites)):
        found = [("", name, shift) for name, shift in _in_all(cells).items()]
    if not found:
        return tell_trend(cells)
    return [
        _told(f"{name} at {site}" if site else name, history.as_of, shift)
        for site, name, shift in found
    ]


def _at_sites(cells: Cells) -> list[tuple[str, str, Shift]]:
    """Site, what changed there and how: all, or its one class that did."""
    sites = shifts(cells, cells.site, SITE_SD)
    found = []
    for site in np.unique(cells.site).tolist():
        here = cells.where(cells.site == site)
        own = shifts(here, here.wears_as, SITE_SD)
        if len(own) == 1 or (own and site not in sites):
            found += [(site, name, shift) for name, shift in own.items()]
        elif site in sites:
            found.append((site, "all", sites[site]))
    return found


def _in_all(cells: Cells) -> dict[str, Shift]:
    """What changed at all sites: one class, or everything."""
    kinds = shifts(cells, cells.wears_as)
    return kinds if len(kinds) == 1 else shifts(cells, np.full(len(cells.site), "everything"))


def shifts(cells: Cells, of: np.ndarray, usual_sd: float = USUAL_SD) -> dict[str, Shift]:
    """The groups of cells in which something changed for good; `of`: array (cells,) of labels."""
    found = {}
    for name in np.unique(of).tolist():
        found[name] = _shift_of(months_of(cells.where(of == name)), usual_sd)
    return {name: shift for name, shift in found.items() if shift}


def _shift_of(by: Months, usual_sd: float) -> Shift | None:
    """What splits a group's ends best, if it surely is no chance, no quarter's whim, no season."""
    worn, expected = np.cumsum(by.worn)[:-1], np.cumsum(by.expected)[:-1]
    total = by.worn.sum()
    spread = np.sqrt(np.maximum(expected * (1 - expected / max(total, 1)), 1e-9))
    over_mean = np.exp(np.log((worn + 0.5) / (expected + 0.5)) / by.shape)
    told = np.maximum(over_mean, 1 / over_mean) >= MATTERS
    told &= (np.maximum(worn, expected) >= FEWEST) & (total - np.minimum(worn, expected) >= FEWEST)
    told[: by.least - 1] = False
    score = np.where(told, np.abs(worn - expected) / spread, 0.0)
    if not len(score) or score.max() < by.sure:
        return None
    months = int(np.argmax(score)) + 1
    log = log_speed(by, 0, months) - log_speed(by, months, len(by.worn))
    if _by_quarters(by, months, log, usual_sd) > RARE or _is_season(by, months, log):
        return None
    return Shift(months, float(np.exp(log)), float(over_mean[months - 1]))


def _by_quarters(by: Months, months: int, log: float, usual_sd: float) -> float:
    """Chance of such a difference where quarters scatter as they do on both sides."""
    starts = [
        *((at, max(at - QUARTER, 0)) for at in range(months, 0, -QUARTER)),
        *((min(at + QUARTER, len(by.worn)), at) for at in range(months, len(by.worn), QUARTER)),
    ]
    rows = [
        (start <= months, log_speed(by, end, start), by.expected[end:start].sum())
        for start, end in starts
        if by.expected[end:start].sum() >= 1
    ]
    frame = pd.DataFrame(rows, columns=["after", "log", "expected"])
    chance = 1 / (by.shape**2 * frame["expected"])
    off = frame["log"] - frame.groupby("after")["log"].transform("mean")
    free = max(len(frame) - frame["after"].nunique(), 0)
    seen = max(float((off**2).sum() - chance.sum() * free / len(frame)), 0.0)
    variance = (seen + WORTH * usual_sd**2) / (free + WORTH)
    counts = frame["after"].value_counts()
    ends = 1 / frame.groupby("after")["expected"].sum()
    error = np.sqrt((variance / counts).sum() + (ends / by.shape**2).sum())
    return 2 * float(stdtr(free + WORTH, -abs(log) / error))


def _is_season(by: Months, months: int, log: float) -> bool:
    """Whether the same months of the year before were as fast or slow as those since the change."""
    newest, oldest = YEAR, min(YEAR + months, len(by.worn))
    if months > YEAR or 2 * (oldest - newest) < months:
        return False
    year_before = log_speed(by, 0, months) - log_speed(by, newest, oldest)
    return year_before / log < 0.5


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
