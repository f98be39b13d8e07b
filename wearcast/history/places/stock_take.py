"""New parts written at every position of many machines on one day: a list of what is there."""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from wearcast.history.edges import FIT
from wearcast.history.steps import Bools, dates_of, starts_of
from wearcast.history.words import day_words, names_words, rows_by_source
from wearcast.logbook.findings.coded import key_of, repeated
from wearcast.told import GRAVE, Problem

FEWEST_MACHINES, FEWEST_PLACES, MOST_DAYS = 4, 2, 2
"""Machines, with so many positions each, that no day's work renews; and days from which on it is a
habit. All three are chosen here."""


def stock_takes(counted: pd.DataFrame) -> Bools:
    """Lines of days on which everything on many machines became new; array (lines,) of bool.

    Parameters
    ----------
    counted : DataFrame
        place, machine (code), day, action (code), cause, observed, outfit, batch (bools).
    """
    asked = counted["action"].eq(FIT) & counted["observed"]
    fits = (asked & ~(counted["outfit"] | counted["batch"])).to_numpy()
    rows = np.flatnonzero(fits)
    # At least `FEWEST_PLACES` of them are of one machine and day.
    several = repeated(key_of([counted[name].to_numpy()[rows] for name in ("machine", "day")]))
    lines = counted[["machine", "day", "cause"]].iloc[rows[several]]
    lines = lines[lines["cause"].ne("planned")]
    first = starts_of(counted["place"].to_numpy())
    seats = counted["machine"][first].value_counts()
    renewed = lines.groupby(["day", "machine"]).size()
    all_of = seats.reindex(renewed.index.get_level_values("machine")).to_numpy()
    whole = renewed[(renewed.to_numpy() == all_of) & (all_of >= FEWEST_PLACES)]
    machines = whole.groupby("day").size()
    days = machines.index[machines.ge(FEWEST_MACHINES)]
    told = np.zeros(len(counted), dtype=bool)
    if 0 < len(days) <= MOST_DAYS:
        told[lines.index[lines["day"].isin(days)]] = True
    return told


def tell_stock_takes(found: pd.DataFrame) -> Iterator[Problem]:
    """One finding a day and file on the lines that are `stock_takes`, with name of the machine."""
    for day, here in found.groupby("day"):
        date = day_words(pd.Timestamp(dates_of(np.array([day], np.int64))[0]))
        machines = sorted(set(here["name"]))
        for source, table, rows in rows_by_source(here):
            wrong = (
                f"new parts are written at every position of {len(machines)} machines on {date} "
                f"({names_words(machines, 3)}): if that was a list of what is there, each counts "
                f"as one used, lives look short, and what is at work looks new"
            )
            remedy = "Delete these rows if nothing was changed; if all was, leave them"
            yield Problem(source, table, rows, "action", "fit", "note", wrong, remedy, GRAVE)
