"""Hours run in a row's period, summed to a meter; and hours run that were taken for a meter.

The sum begins at nought with the first row of a machine: what ran before nobody wrote down.
"""

from dataclasses import replace

import numpy as np
import pandas as pd

from wearcast.errors import UnusableTable
from wearcast.logbook.findings.drafts import Draft, Finding, settle
from wearcast.logbook.schema.spelling import listed
from wearcast.told import row_words

FEWEST = 6
"""Readings of a machine from which its course is judged."""
OFTEN = 0.25
"""Share of steps that fall from which a column is no meter; a meter falls where it is replaced."""
HOURS_A_DAY = 24.0


def summed(readings: Draft) -> Draft:
    """The readings with hours run as meter readings, each the sum of all up to its day.

    Hours run of a machine that also has a meter are set aside.
    """
    used = readings.used
    if not used["run"].any():
        return readings
    metered = set(used.loc[~used["run"], "machine"])
    both = used.index[used["run"] & used["machine"].isin(metered)]
    wrong = "hours run of a machine whose meter is read too; the meter counts"
    findings = [Finding(both, "hours", "note", "ignored", wrong)] if len(both) else []
    readings = settle(readings, findings)
    run = readings.used[readings.used["run"]].sort_values(["machine", "date"], kind="stable")
    frame = readings.frame.copy()
    frame.loc[run.index, "hours"] = run.groupby("machine")["hours"].cumsum()
    return replace(readings, frame=frame)


def refuse_hours_run(readings: Draft) -> None:
    """Stop where what should be a meter falls again and again, as hours of a week do.

    Raises
    ------
    UnusableTable
        If most machines' readings look like hours run.
    """
    used = readings.used[~readings.used["run"]].drop_duplicates(["machine", "date"])
    used = used.sort_values(["machine", "date"], kind="stable")
    several = used[used.groupby("machine")["hours"].transform("size").ge(FEWEST)]
    if several.empty:
        return
    steps = several.groupby("machine")
    days = steps["date"].diff().dt.days.to_numpy()
    falls = steps["hours"].diff().lt(0).to_numpy()
    fits = several["hours"].to_numpy() <= HOURS_A_DAY * np.where(np.isnan(days), 31, days)
    alike = pd.DataFrame({"machine": several["machine"], "falls": falls, "fits": fits})
    shares = alike.groupby("machine").mean()
    shares["falls"] *= alike.groupby("machine").size() / (alike.groupby("machine").size() - 1)
    no_meter = shares.index[shares["falls"].gt(OFTEN) & shares["fits"].gt(1 - OFTEN)]
    if len(no_meter) * 2 <= len(shares):
        return
    rows = several[several["machine"].isin(no_meter)]
    first = rows.index[0]
    raise UnusableTable(
        f"{rows['source'].loc[first]}, readings, {row_words(rows['row'][:3])} and on: these look"
        f" like hours run, not a meter: the hours of {listed(sorted(no_meter), 3)} fall again and"
        " again. If they are hours run, write run for that heading in a table columns (readings,"
        " your heading, run); if they are a meter, correct the readings that fall, then run again."
    )
