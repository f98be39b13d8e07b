"""The day the forecast stands on, and what lies beyond it.

As-of is the newest date in readings, changes, counts of stock and received goods that another
date supports: one of another row not more than 92 days older. Changes dated more than a week
after the last that was read of their machine's meter support nothing: work is often written down
ahead. Later dates that stand alone are slips and are set aside; so are a few of them together, a
whole round of readings say, if they lie most of a year or more ahead of a log that never paused
like that. Nothing here knows what day it is.
"""

import numpy as np
import pandas as pd

from wearcast.logbook.findings.drafts import Drafts, Finding, settle
from wearcast.logbook.rules.days import day_of_machines
from wearcast.logbook.schema.tables import SOME_DAY
from wearcast.told import Problem

FARTHEST = pd.Timedelta(days=92)
A_WEEK = pd.Timedelta(days=7)
A_YEAR_OFF = pd.Timedelta(days=300)
"""Dates so far ahead may have the wrong year: one round of readings, or one machine's."""
YEARS_OFF = pd.Timedelta(days=5 * 365)
"""No log goes on after so long, whatever it says."""
REMEDY = "Correct the date; if it is right, give it as as_of"
_LATER = "If they count, give a later --as-of, or take as_of out of settings"
_COUNTED_LATER = "If the shelf is to be as counted later, give the day of that count as as_of"
COUNTED = (("stock", "counted"), ("on_order", "received"))
DATED = (("readings", "date"), ("changes", "date"), ("stock", "counted"))


def newest_supported(drafts: Drafts) -> pd.Timestamp | None:
    """The newest date that is no slip and has come to pass; None without readings and changes."""
    happened = _happened(drafts)
    if all(each.empty for each in happened):
        return None
    every = [*happened, *(_at_depots(drafts, *each) for each in COUNTED)]
    days = np.sort(pd.unique(np.concatenate([each["date"].dropna().unique() for each in every])))
    if len(days) and not (np.diff(days) > FARTHEST.to_timedelta64()).any():
        return pd.Timestamp(days[-1])
    used = pd.concat(every)
    used = used.dropna(subset=["date"]).drop_duplicates().sort_values("date", kind="stable")
    if used.empty:
        return None
    newest = used["date"].iloc[-1]
    while len(pauses := np.flatnonzero(used["date"].diff().gt(FARTHEST))):
        before, after = used.iloc[: pauses[-1]], used.iloc[pauses[-1] :]
        if _go_on(before, after):
            break
        used = before
    return pd.Timestamp(used["date"].iloc[-1] if len(used) > 1 else newest)


def _at_depots(drafts: Drafts, table: str, column: str) -> pd.DataFrame:
    """Days on which somebody looked at a shelf, as days of no machine."""
    days = drafts[table].used[column]
    return pd.DataFrame({"machine": "", "date": days.where(days.gt(SOME_DAY))})


def _happened(drafts: Drafts) -> list[pd.DataFrame]:
    """Machine and date of readings and of changes that were not dated ahead."""
    ahead = dated_ahead(drafts)
    done = drafts["changes"].used
    done = done[~ahead] if ahead.any() else done
    return [drafts["readings"].used[["machine", "date"]], done[["machine", "date"]]]


def dated_ahead(drafts: Drafts) -> np.ndarray:
    """Used changes later by over a week than the last that was read of their machine's meter.

    Array (used,) of bool.
    """
    changes, rows = drafts["changes"].used, drafts["changes"].used_rows
    machines = drafts["changes"].coded("machine")
    read = day_of_machines(drafts["readings"], drafts["readings"].used_rows, "max")
    with_hours = rows & drafts["changes"].frame["hours"].notna().to_numpy()
    written = day_of_machines(drafts["changes"], with_hours, "max")
    days = [one.reindex(machines.names).to_numpy("datetime64[ns]") for one in (read, written)]
    of_machine = np.fmax(*days)[machines.codes[rows]]
    return np.asarray(changes["date"].to_numpy() > of_machine + A_WEEK.to_timedelta64())


def _go_on(before: pd.DataFrame, after: pd.DataFrame) -> bool:
    """Whether the dates after a long pause are believed."""
    pause = after["date"].iloc[0] - before["date"].iloc[-1]
    if len(after) == 1:
        return False
    paused_before = before["date"].diff().max() >= pause / 2
    if pause <= A_YEAR_OFF or len(after) >= len(before) or paused_before:
        return True
    rounds, machines = after["date"].nunique(), after["machine"].nunique()
    fleet = before["machine"].drop_duplicates()
    return pause <= YEARS_OFF and rounds > 1 and (machines > 1 or len(fleet) == 1)


def settle_as_of(
    drafts: Drafts, given: pd.Timestamp | None
) -> tuple[Drafts, pd.Timestamp | None, list[Problem]]:
    """The drafts without the rows beyond as-of, that day, and the note if it was asked for."""
    drafts = dict(drafts)
    as_of = given if given is not None else newest_supported(drafts)
    if as_of is None:
        return drafts, None, []
    drafts["changes"] = settle(drafts["changes"], _ahead_told(drafts, as_of, given is not None))
    passed: list[str] = []
    for table, column in DATED:
        used = drafts[table].used
        rows = used.index[used[column].gt(as_of)]
        if rows.empty:
            continue
        findings = _slips(rows, column, as_of)
        if given is not None:
            findings = [Finding(rows, column, "note", "ignored", "", quiet=True)]
            passed.append(f"{len(rows)} in {table}")
        drafts[table] = settle(drafts[table], findings)
    return drafts, as_of, [_passed(passed, as_of)] if passed else []


def _ahead_told(drafts: Drafts, as_of: pd.Timestamp, asked: bool) -> list[Finding]:
    """Changes dated ahead: set aside where they lie beyond as-of, else told."""
    dates = drafts["changes"].used["date"][dated_ahead(drafts)]
    ahead = dates.index[dates.le(as_of + FARTHEST)]  # farther on, the year is more like to be wrong
    beyond = dates[ahead].gt(as_of)
    wrong = "more than a week after the last reading of its machine"
    cure = "If it was done, write the reading of that day; if it is planned, take the row out"
    found = [Finding(ahead[~beyond], "date", "note", "kept", wrong, cure)]
    if not asked:
        blank = Finding(ahead[beyond], "date", "set aside", "cell", wrong, quiet=True)
        wrong += f"; as-of stays {as_of:%Y-%m-%d}"
        found += [Finding(ahead[beyond], "date", "set aside", "row", wrong, cure), blank]
    return [one for one in found if len(one.rows)]


def _slips(rows: pd.Index, column: str, as_of: pd.Timestamp) -> list[Finding]:
    """Rows set aside for their date, which then says nothing of when it was."""
    wrong = f"later than {as_of:%Y-%m-%d}, the newest date that other rows support"
    blank = Finding(rows, column, "set aside", "cell", wrong, quiet=True)
    return [Finding(rows, column, "set aside", "row", wrong, REMEDY), blank]


def _passed(counts: list[str], as_of: pd.Timestamp) -> Problem:
    """The one note on rows later than the day that was asked for."""
    words = f"rows later than the as-of date {as_of:%Y-%m-%d} were passed over: {', '.join(counts)}"
    counted = any(each.endswith(" stock") for each in counts)
    return Problem("logbook", "", (), "", "", "note", words, _COUNTED_LATER if counted else _LATER)
