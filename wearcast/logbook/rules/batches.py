"""Changes that were written down together, later: their day is that of the writing.

Who writes at the end of the month what was done in it gives several changes of one position one
day, again and again. Where that happens, equal rows are as many deeds, and the hours between are
not to be had from the days.
"""

import pandas as pd

from wearcast.logbook.findings.coded import coded, key_of, repeated

OFTEN, LEAST = 0.05, 3
"""Share, and number, of a machine's days on which several things were done at one position: by
chance alone hardly any day is such. Chosen here."""


def batch_machines(changes: pd.DataFrame) -> pd.Index:
    """The machines whose changes are written several at a time.

    Parameters
    ----------
    changes : DataFrame
        machine, position, date, action, part, cause, hours [h] (nan: not written).
    """
    day = ["machine", "position", "date"]
    texts = [coded(changes[name].to_numpy()) for name in day[:2]]
    alike = repeated(key_of([*texts, changes["date"].to_numpy()]))
    several = _deeds(changes[alike])
    unlike = several.drop_duplicates([*day, "action", "part", "cause"])
    days_with = unlike.groupby(day, sort=False).size().gt(1)
    found = days_with.groupby("machine").agg("sum")
    found = found[found.ge(LEAST)]
    if found.empty:
        return pd.Index([], dtype=object)
    theirs = _deeds(changes[changes["machine"].isin(found.index)]).drop_duplicates(day)
    days = theirs.groupby("machine").size().reindex(found.index)
    return pd.Index(found.index[found.ge(OFTEN * days)], dtype=object)


def _deeds(changes: pd.DataFrame) -> pd.DataFrame:
    """What was done without saying at how many hours."""
    return changes[changes["hours"].isna() & changes["action"].isin(["turn", "fit"])]
