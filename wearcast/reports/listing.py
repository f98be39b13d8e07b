"""Parts of the tables that a person asks for: what is due soon, the cost by one thing."""

from typing import TYPE_CHECKING, NamedTuple

import pandas as pd

from wearcast.logbook.choices import Choices
from wearcast.reports.incomplete import guessed_share, lacks

if TYPE_CHECKING:
    from wearcast.decisions.quotes import QuoteResult


AT_ONCE = ("fit", "look")
"""Actions that need no date: a place stands empty, or the log cannot tell what is there."""


class Weeks(NamedTuple):
    """Which rows of the due list are due this week and which next week."""

    first: pd.Timestamp
    """Last day of this week."""
    second: pd.Timestamp
    """Last day of next week."""
    now: pd.Series
    then: pd.Series


def by_week(due: pd.DataFrame, choices: Choices) -> Weeks:
    """What is due this week (what needs no date among it) and next."""
    first, second = (choices.as_of + pd.Timedelta(days=days) for days in (7, 14))
    now = due["due_p50"].le(first) | due["next_action"].isin(AT_ONCE)
    return Weeks(first, second, now, ~now & due["due_p50"].le(second))


def silent_days(due: pd.DataFrame, machines: pd.DataFrame) -> pd.Series:
    """Days that each row's machine has not been read, 0 where that is not known."""
    known = machines.drop_duplicates("machine").set_index("machine")["silent_days"]
    return due["machine"].map(known).astype(float).fillna(0.0)


def due_soon(due: pd.DataFrame, choices: Choices) -> pd.DataFrame:
    """The due list's rows for the coming weeks and the site asked for, soonest first.

    A row belongs there if it is due within the weeks as likely as not, or if a position stands
    empty or cannot be told from the log and is to be looked at.
    """
    end = choices.as_of + pd.Timedelta(days=round(7 * choices.due_weeks))
    soon = due["due_p50"].le(end) | due["next_action"].isin(AT_ONCE)
    listed = of_site(due[soon], choices)
    order = ["due_p50", "due_p10", "site", "machine", "position"]
    return listed.sort_values(order, kind="stable").reset_index(drop=True)


def of_site(frame: pd.DataFrame, choices: Choices) -> pd.DataFrame:
    """The rows of the site asked for; all of them if none was."""
    return frame if choices.site is None else frame[frame["site"].eq(choices.site)]


def cost_by(cost: pd.DataFrame, level: str, whole: str = "fleet") -> pd.DataFrame:
    """The rows of the whole (the fleet, or the ``site`` of a site's own cost) and of one level."""
    shown = cost[cost["level"].isin([whole, level])]
    return shown.reset_index(drop=True)


def quote_table(result: "QuoteResult") -> pd.DataFrame:
    """The contract years and the whole contract below them, as in quote.csv."""
    table = pd.concat([result.frame, result.total], ignore_index=True)
    complete = "no" if lacks(result.missing) else "yes"
    return table.assign(complete=complete, guessed=guessed_share(result.missing))
