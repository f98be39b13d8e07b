"""Planned hours that are not known for sure: drawn between their lowest and highest.

A proposal may give ``hours_low`` and ``hours_high`` beside the hours a week. What is not known
about a site's shifts is not known for all its machines alike, so one draw moves them together.
"""

from dataclasses import replace

import numpy as np
import pandas as pd

from wearcast.decisions.quoting.mixes import triangular
from wearcast.history.story import History
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import HoursDraws
from wearcast.outlook.weeks.plans import weeks_ahead
from wearcast.wear.streams import machine_stream

MOST_HOURS = 168.0


def scaled(plans: pd.DataFrame, factor: float) -> pd.DataFrame:
    """The plans with all hours multiplied, at most those of a week."""
    names = ("hours_per_week", "hours_low", "hours_high")
    return plans.assign(
        **{name: (plans[name].astype(float) * factor).clip(upper=MOST_HOURS) for name in names}
    )


def within_ranges(
    hours: HoursDraws, plans: pd.DataFrame, history: History, choices: Choices
) -> HoursDraws:
    """The hours, those of plans with a range drawn from it.

    A plan's hours are triangular between low and high with their peak at the hours planned; a
    blank end is the plan itself. Arrays (machines, draws, weeks) of hours are scaled week by week.
    """
    if plans[["hours_low", "hours_high"]].isna().all(axis=None):
        return hours
    low, peak, high = (_planned(plans, name, hours, history) for name in ("low", "", "high"))
    chance = _chances(hours.machines, history, choices)
    # Machines one by one: all at once would hold several copies of the hours.
    drawn = [
        each * (triangular(*_wide(chance[at], low[at], peak[at], high[at])) / _above_0(peak[at]))
        for at, each in enumerate(hours.hours)
    ]
    result = np.clip(np.stack(drawn), 0.0, MOST_HOURS).astype(np.float32)
    return replace(hours, hours=result)


def _wide(chance: np.ndarray, *ends: np.ndarray) -> list[np.ndarray]:
    """Chances (draws,) and ends (weeks,) as arrays of one shape (draws, weeks)."""
    shape = (len(chance), len(ends[0]))
    return [np.broadcast_to(chance[:, None], shape), *(np.broadcast_to(e, shape) for e in ends)]


def _above_0(planned: np.ndarray) -> np.ndarray:
    return np.where(planned > 0, planned, 1.0)


def _planned(plans: pd.DataFrame, end: str, hours: HoursDraws, history: History) -> np.ndarray:
    """Hours of each week by the plans' low, middle or high; array (machines, weeks)."""
    middle = plans["hours_per_week"].astype(float)
    wanted = plans[f"hours_{end}"].astype(float).fillna(middle) if end else middle
    weeks = hours.hours.shape[2]
    chosen = plans.assign(hours_per_week=wanted)
    ahead = weeks_ahead(history.machines, chosen, history.as_of, weeks)
    place = history.machines.index.get_indexer(pd.Index(hours.machines))
    return np.asarray((ahead.short + ahead.long)[place])


def _chances(machines: tuple[str, ...], history: History, choices: Choices) -> np.ndarray:
    """A chance a site and draw, evenly spread over the draws; array (machines, draws)."""
    sites = history.machines["site"].reindex(list(machines)).astype(str)
    of_site = {}
    for site in sorted(set(sites)):
        stream = machine_stream(choices.seed, site, "planned hours")
        even = (np.arange(choices.draws) + stream.random(choices.draws)) / choices.draws
        of_site[site] = stream.permutation(even)
    return np.stack([of_site[site] for site in sites])
