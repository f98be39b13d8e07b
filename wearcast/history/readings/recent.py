"""The recent rate: run hours a day over the last eight weeks that were really measured."""

import numpy as np
import pandas as pd

from wearcast.history.readings.curve import RECENT_DAYS
from wearcast.history.steps import Floats, Ints, ends_of, last_at_or_before, starts_of


def recent_rates(machine: Ints, hours: Floats, days: Ints) -> Floats:
    """Rate at each reading [h/day]; nan for a machine whose meter was never seen to run a day.

    Parameters
    ----------
    machine : array (readings,)
        Sorted.
    hours, days : arrays (readings,)
        Hours and days of the step into each reading; 0 for a step that measured nothing (the
        first reading of a machine or of a meter).

    Notes
    -----
    Counted back from the reading; where nothing was measured before it, ahead from it.
    """
    # Sums within a machine, so that no machine's rounding depends on the others.
    run = pd.Series(hours).groupby(machine).cumsum().to_numpy()
    lasted = pd.Series(days).groupby(machine).cumsum().to_numpy(dtype=np.int64)
    back = last_at_or_before(machine, lasted, machine, lasted - RECENT_DAYS)
    rows = np.arange(len(machine))
    first = np.maximum.accumulate(np.where(starts_of(machine), rows, 0))
    # The first reading of a machine carries no step, so its sums are where the machine begins.
    behind = _rate(run, lasted, np.where(back >= 0, back, first), rows)
    last = np.flatnonzero(ends_of(machine))
    last = last[np.searchsorted(last, rows)] if len(last) else rows
    reach = last_at_or_before(machine, lasted, machine, lasted + RECENT_DAYS)
    ahead = _rate(run, lasted, rows, np.where(reach > rows, reach, np.minimum(rows + 1, last)))
    return np.where(np.isnan(behind), ahead, behind)


def _rate(run: np.ndarray, lasted: np.ndarray, start: Ints, end: Ints) -> Floats:
    days = lasted[end] - lasted[start]
    return np.where(days > 0, (run[end] - run[start]) / np.where(days > 0, days, 1.0), np.nan)
