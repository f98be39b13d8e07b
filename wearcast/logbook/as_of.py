"""The day the forecast stands on, and what lies beyond it.

As-of is the newest date in readings and changes that another date supports: one of another row
not more than 92 days older. Later dates that stand alone are slips and are set aside. Nothing
here knows what day it is.
"""

import numpy as np
import pandas as pd

from wearcast.logbook.drafts import Draft, Drafts, Finding, settle

FARTHEST = pd.Timedelta(days=92)
DATED = (("readings", "date"), ("changes", "date"), ("stock", "counted"))


def newest_supported(drafts: Drafts) -> pd.Timestamp | None:
    """The newest date of readings and changes that does not stand alone; None without any."""
    used = pd.concat([drafts[table].used[["machine", "date"]] for table in ("readings", "changes")])
    used = used.dropna(subset=["date"]).drop_duplicates()
    days = np.sort(used["date"].to_numpy())
    if not len(days):
        return None
    supported = np.diff(days) <= FARTHEST.to_timedelta64()
    last = np.flatnonzero(supported)
    return pd.Timestamp(days[last[-1] + 1] if last.size else days[-1])


def settle_as_of(drafts: Drafts, given: pd.Timestamp | None) -> tuple[Drafts, pd.Timestamp | None]:
    """The as-of date and the drafts without the rows beyond it."""
    drafts = dict(drafts)
    as_of = given if given is not None else newest_supported(drafts)
    if as_of is None:
        return drafts, None
    for table, column in DATED:
        drafts[table] = settle(
            drafts[table], _beyond(drafts[table], column, as_of, given is not None)
        )
    return drafts, as_of


def _beyond(draft: Draft, column: str, as_of: pd.Timestamp, given: bool) -> list[Finding]:
    """Rows later than as-of: ignored if the day was asked for, else set aside as slips."""
    used = draft.used
    rows = used.index[used[column].gt(as_of)]
    if rows.empty:
        return []
    day = f"{as_of:%Y-%m-%d}"
    if given:
        count = "1 row" if len(rows) == 1 else f"{len(rows)} rows"
        wrong = f"{count} later than the as-of date {day} passed over"
        return [Finding(rows, column, "note", "ignored", wrong, "", "")]
    wrong = f"later than {day}, the newest date that other rows support"
    return [Finding(rows, column, "set aside", "row", wrong, "Correct the date")]
