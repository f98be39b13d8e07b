"""The day the forecast stands on, and what lies beyond it.

As-of is the newest date in readings and changes that another date supports: one of another row
not more than 92 days older. Later dates that stand alone are slips and are set aside. Nothing
here knows what day it is.
"""

import numpy as np
import pandas as pd

from wearcast.logbook.drafts import Drafts, Finding, settle
from wearcast.told import Problem

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


def settle_as_of(
    drafts: Drafts, given: pd.Timestamp | None
) -> tuple[Drafts, pd.Timestamp | None, list[Problem]]:
    """The drafts without the rows beyond as-of, that day, and the note if it was asked for."""
    drafts = dict(drafts)
    as_of = given if given is not None else newest_supported(drafts)
    if as_of is None:
        return drafts, None, []
    passed: list[str] = []
    for table, column in DATED:
        used = drafts[table].used
        rows = used.index[used[column].gt(as_of)]
        if rows.empty:
            continue
        finding = _slip(rows, column, as_of)
        if given is not None:
            finding = Finding(rows, column, "note", "ignored", "", quiet=True)
            passed.append(f"{len(rows)} in {table}")
        drafts[table] = settle(drafts[table], [finding])
    return drafts, as_of, [_passed(passed, as_of)] if passed else []


def _slip(rows: pd.Index, column: str, as_of: pd.Timestamp) -> Finding:
    wrong = f"later than {as_of:%Y-%m-%d}, the newest date that other rows support"
    return Finding(rows, column, "set aside", "row", wrong, "Correct the date")


def _passed(counts: list[str], as_of: pd.Timestamp) -> Problem:
    """The one note on rows later than the day that was asked for."""
    words = f"rows later than the as-of date {as_of:%Y-%m-%d} were passed over: {', '.join(counts)}"
    return Problem("logbook", "", (), "", "", "note", words, "")
