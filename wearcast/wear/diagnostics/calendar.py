"""Sites where parts are changed on a calendar, whoever comes every few weeks and sees to all."""

import numpy as np
import pandas as pd

from wearcast.history.spells import HANDLED
from wearcast.history.words import day_words, names_words
from wearcast.told import GRAVE, Problem
from wearcast.wear.diagnostics.doubts import note

FEWEST_DAYS, ENDS_A_DAY = 4, 3
"""Days with changes, and changes on each."""
APART, EVEN, OFTEN = 21.0, 0.35, 0.8
"""Days between visits from which a quarter has few of them; how far off their usual length they
may be, and how many are not."""
FEWEST_PLACES, SELDOM = 8, 120
"""Positions replaced on one day, and days of log for each such day from which it is seldom."""
TOGETHER = 3
"""Days on which one position was changed twice: then days are those of writing, and say nothing.
All are chosen here."""


def tell_calendar(spells: pd.DataFrame) -> list[Problem]:
    """One finding for the sites whose changes all fall on days at even distances.

    Parameters
    ----------
    spells : DataFrame
        site, machine, position, end, ended.
    """
    asked = ["site", "machine", "position", "end"]
    ends = spells.loc[spells["ended"].isin(HANDLED), asked]
    twice = ends[ends.duplicated(["machine", "position", "end"])]
    late = twice.groupby("site")["end"].nunique()
    ends = ends[~ends["site"].isin(late.index[late.ge(TOGETHER)])]
    apart = {str(site): _days_apart(own["end"]) for site, own in ends.groupby("site", sort=True)}
    found = {site: days for site, days in apart.items() if days >= APART}
    if not found:
        return []
    days = float(np.median(list(found.values())))
    return [
        note(
            f"changes at {names_words(list(found))} all fall on days about {days:.0f} apart, as if "
            "somebody came then and saw to everything: the forecast spreads them evenly, so a year "
            "holds, but what falls before the next order or into a quarter may be a visit more or "
            "less than its range says",
            "Count the visits that the window holds",
            ", ".join(found),
            "date",
            GRAVE,
        )
    ]


def tell_campaigns(spells: pd.DataFrame, as_of: pd.Timestamp) -> list[Problem]:
    """One finding for the sites where all was replaced as planned on a day or two of the log.

    Parameters
    ----------
    spells : DataFrame
        site, machine, position, end, ended, cause, replaced.
    as_of : Timestamp
    """
    every = spells[["site", "machine", "position"]].drop_duplicates(["machine", "position"])
    places = every.groupby("site").size()
    replaced = spells["cause"].eq("planned") & spells["replaced"].astype(bool)
    planned = spells.loc[replaced, ["site", "end"]]
    counts = planned.groupby(["site", "end"], sort=True).size()
    share = counts / places.reindex(counts.index.get_level_values("site")).to_numpy()
    days = counts[share.ge(OFTEN) & counts.ge(FEWEST_PLACES)].reset_index()
    seen = (as_of - spells.groupby("site")["start"].min()).dt.days
    often = days.groupby("site").size()
    rare = often.index[often.mul(SELDOM).lt(seen.reindex(often.index))]
    if rare.empty:
        return []
    last = days.loc[days["site"].isin(rare), "end"].max()
    sites = [str(site) for site in rare]
    return [
        note(
            f"all was replaced as planned at once at {names_words(sites)}, last on "
            f"{day_words(last)}: the forecast spreads such ends evenly over time, so "
            "a quarter in which it is done again uses more than its range says, one without it "
            "less; if it was done for once, all of them are too high",
            "Count whether the window holds such a day",
            ", ".join(sites),
            "cause",
            GRAVE,
        )
    ]


def _days_apart(ends: pd.Series) -> float:
    """Days between the days with changes; 0 where these are not even, or hold single changes."""
    days = np.unique(ends.dt.normalize().to_numpy())
    if len(days) < FEWEST_DAYS or len(ends) < ENDS_A_DAY * len(days):
        return 0.0
    gaps = np.diff(days) / np.timedelta64(1, "D")
    usual = float(np.median(gaps))
    return usual if np.mean(np.abs(gaps / usual - 1) <= EVEN) >= OFTEN else 0.0
