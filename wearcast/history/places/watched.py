"""From when and until when each position was watched.

An edge is seen to last only while its machine's meter is read and somebody writes changes down:
a site that read its meters long before it wrote its first change was not watched before that one.
Whether a site that writes no more has stopped writing or had nothing to write is not decided
here: what runs goes on, and the hours up to its site's last change are kept beside.
"""

import numpy as np
import pandas as pd

from wearcast.history.meters import Meters
from wearcast.history.places.stations import Stations, station_row
from wearcast.history.readings.curve import first_days, hours_at, last_days
from wearcast.history.spells import RETIRED, RUNNING
from wearcast.history.steps import Floats, Ints, ends_of, per_group, starts_of
from wearcast.logbook.findings.coded import coded
from wearcast.logbook.findings.orders import with_columns

UNWATCHED_DAYS = 60
"""Readings that began so long before a site's first change do not show that edges lasted."""
LEAST_DAYS, GAPS = 14, 7.0
"""Nor do those that began so long, and so many of the site's usual times between days with changes
(chance of that: exp(-7), 1 in 1,000), before it."""
FEWEST_GAPS = 5
"""Such times of fewer are not known. All four are chosen here."""


def days_written(counted: pd.DataFrame, stations: Stations) -> pd.DataFrame:
    """First and last day (min, max) on which each site (index) wrote; how many (nunique)."""
    machine, day = counted["machine"].to_numpy(), counted["day"].to_numpy()
    sites = coded(stations.rows["site"].to_numpy())
    codes = sites.codes[station_row(stations, machine, day)]
    days = pd.Series(day).groupby(codes).agg(["min", "max", "nunique"])
    return days.set_axis(pd.Index(sites.names[days.index.to_numpy()], dtype=object))


def first_seen(
    counted: pd.DataFrame,
    wrote: pd.DataFrame,
    places: pd.DataFrame,
    meters: Meters,
    stations: Stations,
    new: Floats,
    as_of: int,
) -> pd.DataFrame:
    """How each place begins (index: place): day, run [h], new; day and run nan: never watched.

    A place is ``new`` if its machine came with unused parts (`new`, array (machines,), on that
    day) before anything was written of it; else it is watched from some day of an edge's life.
    `wrote` as from `days_written`.
    """
    machine, place = places["machine"].to_numpy(), counted["place"].to_numpy()
    day = counted["day"].to_numpy()
    unused = new[machine] <= per_group(place, starts_of(place), day, len(places), as_of)
    watched = _watched_since(wrote, meters, stations)[machine]
    day = np.where(unused, new[machine], watched)
    # What came new worked on its first day; what was watched since a change, from the day after.
    from_first = unused | (day <= first_days(meters.curve)[machine])
    evening = np.nan_to_num(day).astype(np.int64) - from_first
    run = np.nan_to_num(hours_at(meters.curve, machine, evening))
    return pd.DataFrame({"day": day, "run": np.where(np.isnan(day), np.nan, run), "new": unused})


def _watched_since(days: pd.DataFrame, meters: Meters, stations: Stations) -> Floats:
    """Array (machines,): day from which changes would have been written; nan: never.

    That is the machine's first day on its meter or its site's first written change, if that came
    later than can be luck. Where none of a machine's sites ever wrote one, the log's first takes
    the place.
    """
    first = first_days(meters.curve)
    wrote, usual = (
        days["min"],
        (days["max"] - days["min"]) / (days["nunique"] - 1).where(lambda n: n >= FEWEST_GAPS),
    )
    elsewhere = _later_if_long(first, np.full(len(first), wrote.min()), UNWATCHED_DAYS)
    machine = stations.machine
    at_site, gap = (
        stations.rows["site"].map(each).to_numpy(dtype=float) for each in (wrote, usual)
    )
    luck = np.clip(np.nan_to_num(GAPS * gap, nan=np.inf), LEAST_DAYS, UNWATCHED_DAYS)
    begin = _later_if_long(np.maximum(stations.since, first[machine]), at_site, luck)
    until = np.where(ends_of(machine), np.inf, np.roll(stations.since, -1))
    here = pd.Series(np.where(begin < until, begin, np.nan)).groupby(machine).min()
    own = here.reindex(range(len(first))).to_numpy(dtype=float)
    return np.asarray(np.where(np.isnan(own), elsewhere, own))


def _later_if_long(read: Floats, wrote: Floats, long: float | Floats) -> Floats:
    """The first day read or, if so many days later, the first written; nan without one."""
    begin = np.where(wrote - read > long, wrote, read)
    return np.where(np.isnan(wrote), np.nan, begin)


def last_seen(
    counted: pd.DataFrame, places: pd.DataFrame, meters: Meters, stations: Stations, as_of: int
) -> pd.DataFrame:
    """How each place ends (index: place): day, run [h], on_curve, retired.

    A place runs until as-of or, if its machine's meter is silent, as far as the curve reaches
    beyond the last reading; on a retired machine until it retired.
    """
    machine, place = places["machine"].to_numpy(), counted["place"].to_numpy()
    own = per_group(place, ends_of(place), counted["day"].to_numpy(), len(places), -1)
    retired = stations.retired[machine]
    gone = retired <= as_of
    until = np.where(gone, retired, np.fmin(last_days(meters.curve)[machine], as_of))
    until = np.maximum(until, own).astype(np.int64)
    run = np.nan_to_num(hours_at(meters.curve, machine, until))
    has_curve = ~np.isnan(first_days(meters.curve))[machine]
    return pd.DataFrame({"day": until, "run": run, "on_curve": has_curve, "retired": gone})


def spells_until_silence(
    cut: pd.DataFrame,
    wrote: pd.DataFrame,
    places: pd.DataFrame,
    meters: Meters,
    stations: Stations,
) -> pd.DataFrame:
    """The spells with ``heard``, the run hours up to the last change that their site wrote [h].

    Only what was at work to the last is cut there; every other spell is heard to its end.
    """
    last = np.flatnonzero(np.isin(cut["ended"], (RUNNING, RETIRED)))
    machine = places["machine"].to_numpy()[cut["place"].to_numpy()[last]]
    watched, finish = (cut[name].to_numpy() for name in ("watched", "finish"))
    silent = last_written(wrote, stations, machine, cut["end_day"].to_numpy()[last])
    heard = finish.copy()
    heard[last] = np.clip(_run_at(meters, machine, silent), watched[last], finish[last])
    return with_columns(cut, {"heard": heard})


def running_until_silence(
    carried: pd.DataFrame, wrote: pd.DataFrame, meters: Meters, stations: Stations, as_of: int
) -> pd.DataFrame:
    """What is carried at as-of with ``silent_day`` and the run hours by then and ``now`` [h]."""
    machine, today = carried["machine"].to_numpy(), np.full(len(carried), as_of)
    silent = last_written(wrote, stations, machine, today)
    now = np.nan_to_num(hours_at(meters.curve, machine, today))
    heard = np.minimum(_run_at(meters, machine, silent), now)
    return carried.assign(silent_day=silent, heard=heard, now=now)


def last_written(wrote: pd.DataFrame, stations: Stations, machine: Ints, day: Ints) -> Floats:
    """Day of the last change that the site of each machine on a day has written; nan: none.

    Arrays (rows,) of machine codes and day numbers; `wrote` as from `days_written`.
    """
    sites = coded(stations.rows["site"].to_numpy())
    last = wrote["max"].reindex(sites.names).to_numpy(dtype=float)
    return np.asarray(last[sites.codes][station_row(stations, machine, day)])


def _run_at(meters: Meters, machine: Ints, day: Floats) -> Floats:
    """Run hours at the end of each day [h]; 0 where it is nan or nothing is known."""
    hours = np.nan_to_num(hours_at(meters.curve, machine, np.nan_to_num(day).astype(np.int64)))
    return np.where(np.isnan(day), 0.0, hours)
