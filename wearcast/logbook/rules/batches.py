"""Changes that were written down together, later: their day is that of the writing.

Who writes at the end of the month what was done in it gives several changes of one position one
day, again and again, without hours or all at those of that day. Where that happens, equal rows
are as many deeds, and the hours between are not to be had from the days.
"""

import numpy as np
import pandas as pd

from wearcast.logbook.findings.coded import key_of, repeated

DAY, DEEDS = ["machine", "position", "date"], ["turn", "fit"]
OFTEN, LEAST = 0.05, 3
"""Share, and number, of a machine's days on which several things were done at one position: by
chance alone hardly any day is such. Chosen here."""


def batch_machines(changes: pd.DataFrame, place: np.ndarray) -> pd.Index:
    """The machines whose changes are written several at a time.

    Parameters
    ----------
    changes : DataFrame
        machine, position, date, action, part, cause, hours [h] (nan: not written).
    place : array (changes,) of int
        Code of machine and position.
    """
    alike = repeated(key_of([place, changes["date"].to_numpy()]))
    several = _deeds(changes[alike])
    unlike = several.drop_duplicates([*DAY, "action", "part", "cause"])
    days_with = unlike.groupby(DAY, sort=False).size().gt(1)
    found = days_with.groupby("machine").agg("sum")
    found = found[found.ge(LEAST)]
    if found.empty:
        return pd.Index([], dtype=object)
    theirs = changes[changes["machine"].isin(found.index) & changes["action"].isin(DEEDS)]
    theirs = theirs.drop_duplicates(DAY)
    days = theirs.groupby("machine").size().reindex(found.index)
    return pd.Index(found.index[found.ge(OFTEN * days)], dtype=object)


def _deeds(changes: pd.DataFrame) -> pd.DataFrame:
    """What was done without saying at which hours of its own."""
    return changes[without_own_hours(changes) & changes["action"].isin(DEEDS)]


def without_own_hours(changes: pd.DataFrame) -> pd.Series:
    """Changes without hours, or with those of another of their position and day; bool (rows,)."""
    same: pd.Series = changes.duplicated([*DAY, "hours"], keep=False)
    return same | changes["hours"].isna()
