"""Which days ahead a machine works, and which of them are planned.

Plans and service dates are daily; the forecast is weekly: what comes out are shares of a week.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

SHORT_PLAN_DAYS = 182
"""A plan shorter than half a year gives the very hours meant; a longer one a new level, around
which the site's season goes on."""


@dataclass(frozen=True, slots=True)
class WeeksAhead:
    """Shares and planned hours of each week ahead, each array (machines, weeks)."""

    free: np.ndarray
    """Share of the week at work without a plan."""
    short: np.ndarray
    """Hours of short plans in the week [h]."""
    long: np.ndarray
    """Hours of plans for half a year or more [h], before season."""
    planned: np.ndarray
    """bool array (machines,) True where any plan speaks of the time ahead."""


def weeks_ahead(
    machines: pd.DataFrame, plans: pd.DataFrame, as_of: pd.Timestamp, weeks: int
) -> WeeksAhead:
    """Days at work and planned hours, week by week.

    Parameters
    ----------
    machines : DataFrame
        Index: machine; in_service and retired (first and last day at work, NaT: none).
    plans : DataFrame
        machine, start, end (last day; NaT: open), hours_per_week. Of two plans that overlap the
        one that starts later holds.
    as_of : Timestamp
    weeks : int
    """
    days = 7 * weeks
    day = np.arange(1, days + 1)
    begin = _days_after(machines["in_service"], as_of, fill=-(10**6))
    last = _days_after(machines["retired"], as_of, fill=10**6)
    at_work = (day >= begin[:, None]) & (day <= last[:, None])
    hours, is_short = _planned_days(machines.index, plans, as_of, day)
    planned = ~np.isnan(hours)
    daily = np.where(planned & at_work, np.nan_to_num(hours) / 7.0, 0.0)
    return WeeksAhead(
        free=_by_week(at_work & ~planned) / 7.0,
        short=_by_week(np.where(is_short, daily, 0.0)),
        long=_by_week(np.where(is_short, 0.0, daily)),
        planned=planned.any(axis=1),
    )


def _planned_days(
    machines: pd.Index, plans: pd.DataFrame, as_of: pd.Timestamp, day: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Planned hours a week on each day (nan: none), and whether by a short plan."""
    hours = np.full((len(machines), len(day)), np.nan)
    short = np.zeros(hours.shape, dtype=bool)
    ordered = plans.sort_values(["machine", "start", "hours_per_week"], kind="stable")
    place = machines.astype(str).get_indexer(pd.Index(ordered["machine"].astype(str)))
    ordered, place = ordered[place >= 0], place[place >= 0]
    begin = _days_after(ordered["start"], as_of, fill=-(10**6))
    end = _days_after(ordered["end"], as_of, fill=10**6)
    row, column = np.nonzero((day >= begin[:, None]) & (day <= end[:, None]))
    # Rows come in order of start, so a later plan is written over an earlier one.
    hours[place[row], column] = ordered["hours_per_week"].to_numpy(dtype=float)[row]
    short[place[row], column] = (end - begin + 1 < SHORT_PLAN_DAYS)[row]
    return hours, short


def _days_after(dates: pd.Series, as_of: pd.Timestamp, fill: int) -> np.ndarray:
    """Whole days from as-of to each date."""
    days = (pd.to_datetime(dates) - as_of).dt.days
    return days.fillna(fill).to_numpy(dtype=np.int64)


def _by_week(daily: np.ndarray) -> np.ndarray:
    result: np.ndarray = daily.reshape(len(daily), -1, 7).sum(axis=2).astype(float)
    return result
