"""Run hours and floor area ahead, by machine, floor and month: what costs are divided by."""

import numpy as np
import pandas as pd

from wearcast.history.quarters import YEAR_DAYS
from wearcast.history.story import History
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Draws
from wearcast.outlook.walking.clock import floor_stretches


def area_rates(machines: pd.DataFrame, choices: Choices) -> np.ndarray:
    """Floor area cleaned in a run hour; array (machines,) [m2/h], nan where unknown.

    Where `m2_per_hour` is not given, width x speed x work share stands for it if both settings
    are: the practical share is the user's own, since no figure for it can be assumed.
    """
    given = machines["m2_per_hour"].to_numpy(float)
    if choices.speed_km_h is None or choices.work_share is None:
        return given
    width_m = machines["width_cm"].to_numpy(float) / 100
    estimate = width_m * choices.speed_km_h * 1000 * choices.work_share
    return np.where(np.isnan(given), estimate, given)


MACHINES_AT_ONCE = 5_000
"""Machines whose days are laid out together: bounds what is held of them."""


def daily_hours(weekly_hours: np.ndarray, days: int = YEAR_DAYS) -> np.ndarray:
    """Mean run hours on each day after as-of [h]; arrays (machines, weeks), (machines, days)."""
    return np.repeat(weekly_hours / 7, 7, axis=1)[:, :days]


def hours_by_floor(draws: Draws, history: History, days: int = YEAR_DAYS) -> np.ndarray:
    """Mean run hours on each floor; array (machines, floors)."""
    stretches = floor_stretches(history.mixes, draws.machines, draws.floors, draws.as_of)
    on_floor = np.zeros((len(draws.machines), len(draws.floors)))
    for first in range(0, len(on_floor), MACHINES_AT_ONCE):
        some = slice(first, first + MACHINES_AT_ONCE)
        hours = daily_hours(draws.weekly_hours[some], days)
        day = np.arange(1, hours.shape[1] + 1)
        stretch = (stretches.until[some, None, :] < day[None, :, None]).sum(axis=2)
        for number in range(stretches.mix.shape[1]):
            within = np.where(stretch == number, hours, 0.0).sum(axis=1)
            on_floor[some] += within[:, None] * stretches.mix[some, number]
    return on_floor


def months_of(as_of: pd.Timestamp, days: int = YEAR_DAYS) -> np.ndarray:
    """The month that each day after as-of lies in, as ``2026-11``; array (days,)."""
    dates = as_of.to_datetime64().astype("datetime64[D]") + np.arange(1, days + 1)
    return np.asarray(dates.astype("datetime64[M]").astype(str))
