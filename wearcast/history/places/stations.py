"""Where a machine works: its site and depot, which may change on a date."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.history.steps import (
    EVER,
    Floats,
    Ints,
    codes_of,
    day_numbers,
    last_at_or_before,
    starts_of,
)
from wearcast.logbook.book import Logbook


@dataclass(frozen=True, slots=True)
class Stations:
    """Rows of the machines table, sorted by machine and since; the first row holds from ever."""

    names: pd.Index
    """Every machine that the logbook knows, sorted."""
    of_reading: np.ndarray
    of_change: np.ndarray
    """arrays (readings,) and (changes,) of int32: machine (code) of each"""
    machine: Ints
    since: Ints
    rows: pd.DataFrame
    in_service: Floats
    """array (machines,) day; nan: not given"""
    retired: Floats
    """array (machines,) last day at work; nan: none"""


def read_stations(book: Logbook) -> Stations:
    """The machines table as stations; a machine that only other tables name gets a bare row."""
    tables = (book.readings, book.changes, book.machines, book.positions)
    coded = [pd.factorize(table["machine"]) for table in tables]
    names = pd.Index(sorted(set().union(*(seen for _, seen in coded))))
    of_reading, of_change = (
        np.asarray(names.get_indexer(pd.Index(seen))[codes], np.int32) for codes, seen in coded[:2]
    )
    rows = book.machines.assign(
        code=codes_of(book.machines["machine"], names),
        day=day_numbers(book.machines["since"]),
    )
    lacking = names.difference(book.machines["machine"])
    if len(lacking):
        bare = pd.DataFrame({"machine": lacking, "code": names.get_indexer(lacking), "day": EVER})
        rows = pd.concat([rows, bare.assign(site="", depot="main")], ignore_index=True)
    by = ["code", "day", "site", "depot"]
    rows = rows.sort_values(by, kind="stable", ignore_index=True)
    machine = rows["code"].to_numpy(dtype=np.int64)
    since = np.where(starts_of(machine), EVER, rows["day"].to_numpy(dtype=np.int64))
    days = {
        name: _days(rows[name]).groupby(machine).agg(pick).to_numpy(dtype=float)
        for name, pick in (("in_service", "min"), ("retired", "max"))
    }
    return Stations(
        names, of_reading, of_change, machine, since, rows, days["in_service"], days["retired"]
    )


def _days(dates: pd.Series) -> pd.Series:
    days = day_numbers(dates.astype("datetime64[ns]"))
    return pd.Series(np.where(dates.notna(), days, np.nan))


def station_at(stations: Stations, machine: Ints, day: Ints, column: str) -> np.ndarray:
    """A column of the machines table as it held for each machine on a day.

    `machine` (codes), `day` (day numbers) and what is returned are arrays (rows,).
    """
    return np.asarray(stations.rows[column].to_numpy()[station_row(stations, machine, day)])


def station_row(stations: Stations, machine: Ints, day: Ints) -> Ints:
    """The row of the machines table that held for each machine on a day: array (rows,).

    `machine` (codes) and `day` (day numbers) are arrays (rows,).
    """
    if len(stations.machine) == len(stations.names):
        return machine  # none ever moved
    return last_at_or_before(stations.machine, stations.since, machine, day)
