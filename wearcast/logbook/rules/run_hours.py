"""Hours run in a row's period, summed to a meter; and hours run that were taken for a meter.

The sum begins at nought with the first row of a machine: what ran before nobody wrote down.
"""

from dataclasses import replace

import numpy as np

from wearcast.errors import UnusableTable
from wearcast.logbook.findings.drafts import Draft, Finding, settle
from wearcast.logbook.findings.orders import order_of
from wearcast.logbook.schema.spelling import listed
from wearcast.told import row_words

FEWEST = 6
"""Readings of a machine from which its course is judged."""
OFTEN = 0.25
"""Share of steps that fall from which a column is no meter; a meter falls where it is replaced.
Both are chosen here."""
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
    frame, machines = readings.frame, readings.coded("machine")
    rows = np.flatnonzero(readings.used_rows & ~frame["run"].to_numpy())
    day = frame["date"].to_numpy("datetime64[D]").astype(np.int64)
    order = order_of([machines.codes[rows], day[rows]])
    rows = rows if order is None else rows[order]
    machine, day = machines.codes[rows], day[rows]
    once = np.append(True, (machine[1:] != machine[:-1]) | (day[1:] != day[:-1]))[: len(rows)]
    sizes = np.bincount(machine[once], minlength=len(machines.names))
    several = once & (sizes[machine] >= FEWEST)
    no_meter = _no_meters(machine[several], day[several], frame["hours"].to_numpy()[rows[several]])
    if not no_meter.any() or no_meter.sum() * 2 <= (sizes >= FEWEST).sum():
        return
    here = frame.iloc[rows[several & np.append(no_meter, False)[machine]]]
    names = sorted(machines.names[np.flatnonzero(no_meter)])
    first = here.index[0]
    raise UnusableTable(
        f"{here['source'].loc[first]}, readings, {row_words(here['row'][:3])} and on: these look"
        f" like hours run, not a meter: the hours of {listed(names, 3)} fall again and"
        " again. If they are hours run, write run for that heading in a table columns (readings,"
        " your heading, run); if they are a meter, correct the readings that fall, then run again."
    )


def _no_meters(machine: np.ndarray, day: np.ndarray, hours: np.ndarray) -> np.ndarray:
    """Which machines' readings fall too often for a meter: array (machines,) of bool.

    Arrays (rows,) in order of machine (a code) and day [days]; hours as read [h].
    """
    begins = np.append(True, machine[1:] != machine[:-1])[: len(machine)]
    days = np.where(begins, 31, np.diff(day, prepend=0))
    falls = ~begins & (np.diff(hours, prepend=0.0) < 0)
    sizes = np.maximum(np.bincount(machine), 2)
    often = np.bincount(machine, falls) / sizes * (sizes / (sizes - 1)) > OFTEN
    fit = np.bincount(machine, hours <= HOURS_A_DAY * days) / sizes > 1 - OFTEN
    return np.asarray(often & fit)
