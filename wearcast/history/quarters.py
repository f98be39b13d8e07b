"""In which quarters the watched hours of each spell ran, counted backwards from as-of."""

import numpy as np
import pandas as pd

from wearcast.history.readings.curve import Curve, hours_at
from wearcast.history.steps import Ints

QUARTER_DAYS = 91
"""Thirteen weeks, so that every quarter has the same weekdays."""
YEAR_DAYS = 4 * QUARTER_DAYS


def quarter_of(day: Ints, as_of: int) -> Ints:
    """Quarter of each day: 0 is the 91 days that end with as-of, 1 the 91 before, and so on."""
    return np.asarray((as_of - day) // QUARTER_DAYS, dtype=np.int64)


def spell_quarters(
    cut: pd.DataFrame, places: pd.DataFrame, curve: Curve, as_of: int
) -> pd.DataFrame:
    """One row a spell and quarter in which it ran: spell, quarter, hours [h].

    Parameters
    ----------
    cut : DataFrame
        Spells as `wearcast.history.spells.cut_spells` gives them, index 0..n-1.
    places : DataFrame
        machine (code) of each place.
    """
    machine = places["machine"].to_numpy()[cut["place"]]
    last = quarter_of(cut["end_day"].to_numpy(), as_of)
    first = np.maximum(quarter_of(cut["start_day"].to_numpy(), as_of), last)
    count = first - last + 1
    spell = np.repeat(np.arange(len(cut)), count)
    quarter = np.arange(len(spell)) - np.repeat(np.cumsum(count) - count - last, count)
    # The meter of a machine is looked up once a quarter, not once a spell.
    ends = np.arange(quarter.min(initial=0), quarter.max(initial=0) + 2)
    every = np.arange(len(curve.names))
    day = as_of - QUARTER_DAYS * np.tile(ends, len(every))
    at_end = np.nan_to_num(hours_at(curve, np.repeat(every, len(ends)), day))
    at = machine[spell] * len(ends) + quarter - ends[0]
    opens, closes = at_end[at + 1], at_end[at]
    begin, finish = (cut[name].to_numpy()[spell] for name in ("watched", "finish"))
    hours = np.minimum(finish, closes) - np.maximum(begin, opens)
    ran = hours > 0
    return pd.DataFrame(
        {
            "spell": spell[ran].astype(np.int32),
            "quarter": quarter[ran].astype(np.int32),
            "hours": hours[ran],
        },
        copy=False,
    )
