"""The frames of the history as the other rooms read them: names for codes, dates for days."""

import numpy as np
import pandas as pd

from wearcast.history.edges import UNREAD
from wearcast.history.exposure import FloorMix, hours_on_floors, shares_at
from wearcast.history.meters import Meters
from wearcast.history.places.stations import Stations, station_at
from wearcast.history.places.watched import last_written
from wearcast.history.quarters import quarter_of
from wearcast.history.readings.curve import Curve, last_hours
from wearcast.history.spells import ENDS, REPLACES, RETIRED, RUNNING
from wearcast.history.steps import Bools, Floats, Ints, dates_of, placed
from wearcast.logbook.book import Logbook
from wearcast.logbook.findings.coded import coded, key_of

_NEVER = np.datetime64("NaT", "ns")


def meter_table(curve: Curve) -> pd.DataFrame:
    """One row a knot: machine, date, hours, read."""
    return pd.DataFrame(
        {
            "machine": curve.names.to_numpy(dtype=object)[curve.machine],
            "date": dates_of(curve.day),
            "hours": curve.hours,
            "read": curve.read,
        },
        copy=False,
    )


def machine_table(book: Logbook, meters: Meters, stations: Stations, as_of: int) -> pd.DataFrame:
    """One row a machine, by name: where it works, what it ran, when it was last heard of."""
    names, curve = stations.names, meters.curve
    every = np.arange(len(names))
    now = {
        name: station_at(stations, every, np.full(len(names), as_of), name)
        for name in ("site", "depot", "m2_per_hour", "width_cm")
    }
    until = np.fmin(stations.retired, as_of)
    heard = [
        table["date"].groupby(codes).agg(["min", "max"]).reindex(every)
        for table, codes in (
            (book.readings, stations.of_reading),
            (book.changes, stations.of_change),
        )
    ]
    first, last = (
        [each[side].to_numpy(dtype="datetime64[ns]") for each in heard] for side in ("min", "max")
    )
    return pd.DataFrame(
        {
            "site": now["site"],
            "depot": now["depot"],
            "hours": np.nan_to_num(last_hours(curve)),
            "hours_per_week": 7.0 * meters.rate,
            "first_date": np.fmin(*first),
            "last_date": np.fmax(*last),
            "silent_days": np.maximum(until - meters.last_read, 0.0),
            "in_service": _dates(stations.in_service),
            "retired": _dates(stations.retired),
            "m2_per_hour": now["m2_per_hour"].astype(float),
            "width_cm": now["width_cm"].astype(float),
        },
        index=pd.Index(names, name="machine", dtype=object),
    )


def _dates(days: Floats) -> np.ndarray:
    """Timestamps of days; nan becomes NaT."""
    blank = np.isnan(days)
    dates = dates_of(np.where(blank, 0, days).astype(np.int64))
    return np.where(blank, _NEVER, dates)


def spell_table(
    cut: pd.DataFrame,
    changes: pd.DataFrame,
    wrote: pd.DataFrame,
    places: pd.DataFrame,
    parts: pd.DataFrame,
    stations: Stations,
    as_of: int,
) -> pd.DataFrame:
    """The spells with their names, site, wear class and dates.

    `wrote` as from `wearcast.history.places.watched.days_written`.
    """
    place, part, change, end, end_day, ended = (
        cut[name].to_numpy()
        for name in ("place", "part", "change", "end_change", "end_day", "ended")
    )
    machine = places["machine"].to_numpy()[place]
    partner = _partners(machine, coded(parts["kind"].to_numpy()).codes[part], end_day, place, ended)
    cause = placed(changes["cause"], end, "running")
    cause[ended == UNREAD] = ""
    return pd.DataFrame(
        {
            "machine": stations.names.to_numpy(dtype=object)[machine],
            "site": station_at(stations, machine, end_day, "site"),
            "position": places["position"].to_numpy(dtype=object)[place],
            "part": parts["part"].to_numpy(dtype=object)[part],
            "wears_as": parts["wears_as"].to_numpy(dtype=object)[part],
            "kind": parts["kind"].to_numpy(dtype=object)[part],
            "edge": cut["edge"].to_numpy(dtype=float),
            "edges": parts["edges"].to_numpy().astype(np.int32)[part],
            "start": np.where(cut["known_start"], dates_of(cut["start_day"].to_numpy()), _NEVER),
            "end": dates_of(end_day),
            "hours": cut["finish"].to_numpy() - cut["begin"].to_numpy(),
            "cause": cause,
            "ended": np.array(ENDS, object)[ended],
            "replaced": np.isin(ended, REPLACES),
            "pieces": places["pieces"].to_numpy(dtype=float)[place],
            "end_turns": cut["end_turns"].to_numpy(dtype=np.int32),
            "in_fit": cut["in_fit"].to_numpy(dtype=bool),
            "forward": cut["forward"].to_numpy(dtype=bool),
            "silent_since": _dates(last_written(wrote, stations, machine, end_day)),
            "source": changes["source"].to_numpy()[change],
            "row": changes["row"].to_numpy()[change],
            "by": placed(changes["by"], end, ""),
            "shift": placed(changes["shift"], end, ""),
            "end_quarter": quarter_of(end_day, as_of).astype(np.int32),
            "partner": partner,
        },
        copy=False,
    )


def _partners(machine: Ints, kind: Ints, day: Ints, place: Ints, ended: Ints) -> Bools:
    """Whether a spell ended on the day on which another position of its machine and kind did.

    Arrays (spells,): codes, but for the day of the end; `ended` as from `cut_spells`.
    """
    rows = np.flatnonzero(~np.isin(ended, (UNREAD, RUNNING, RETIRED)))
    group, days = pd.factorize(key_of([machine[rows], kind[rows], day[rows]]))
    place = place[rows]
    some = np.zeros(len(days), np.int64)
    some[group] = place
    several = np.zeros(len(days), dtype=bool)
    several[group[place != some[group]]] = True
    partner = np.zeros(len(ended), dtype=bool)
    partner[rows] = several[group]
    return partner


def spell_exposure(
    cut: pd.DataFrame, places: pd.DataFrame, mix: FloorMix
) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """Hours of each spell on each floor [h]: watched, from its begin on, and until silence.

    Of the latter two only the few rows that differ from the hours watched.
    """
    machine = places["machine"].to_numpy()[cut["place"]]
    begin, watched, heard, finish = (
        cut[name].to_numpy(dtype=float) for name in ("begin", "watched", "heard", "finish")
    )

    def between(first: Floats, last: Floats, rows: Ints) -> pd.DataFrame:
        hours = hours_on_floors(mix, machine[rows], first[rows], last[rows])
        return pd.DataFrame(hours, index=rows, columns=list(mix.floors))

    unwatched, unheard = np.flatnonzero(begin != watched), np.flatnonzero(heard != finish)
    return (
        pd.DataFrame(hours_on_floors(mix, machine, watched, finish), columns=list(mix.floors)),
        between(begin, finish, unwatched),
        between(watched, heard, unheard),
    )


def spell_end_mix(cut: pd.DataFrame, places: pd.DataFrame, mix: FloorMix) -> pd.DataFrame:
    """Floor shares in force when each spell ended."""
    machine = places["machine"].to_numpy()[cut["place"]]
    return pd.DataFrame(
        shares_at(mix, machine, cut["end_day"].to_numpy()), columns=list(mix.floors)
    )


def running_table(
    carried: pd.DataFrame, parts: pd.DataFrame, stations: Stations, as_of: int
) -> pd.DataFrame:
    """What each position carries at as-of, with its names, site and wear class."""
    machine = carried["machine"].to_numpy()
    part = carried["part"].to_numpy()
    today = np.full(len(carried), as_of)
    return pd.DataFrame(
        {
            "machine": stations.names.to_numpy(dtype=object)[machine],
            "site": station_at(stations, machine, today, "site"),
            "depot": station_at(stations, machine, today, "depot"),
            "position": carried["position"].to_numpy(dtype=object),
            "part": parts["part"].to_numpy(dtype=object)[part],
            "wears_as": parts["wears_as"].to_numpy(dtype=object)[part],
            "kind": parts["kind"].to_numpy(dtype=object)[part],
            "edges": carried["edges"].to_numpy(dtype=np.int64),
            "edge": carried["edge"].to_numpy(dtype=float),
            "pieces": carried["pieces"].to_numpy(dtype=float),
            "age": carried["age"].to_numpy(dtype=object),
            "last_position_date": _dates(carried["last_day"].to_numpy(dtype=float)),
            "silent_since": _dates(carried["silent_day"].to_numpy(dtype=float)),
        }
    )


def running_exposure(carried: pd.DataFrame, mix: FloorMix, until: str = "now") -> pd.DataFrame:
    """Hours on each floor of the edge now at work [h], up to a column of `carried` (run hours).

    Where its age is unknown: the hours watched without an end; 0 where it is new.
    """
    end = carried[until].to_numpy(dtype=float)
    begin = np.fmin(carried["begin"].to_numpy(dtype=float), end)
    hours = hours_on_floors(mix, carried["machine"].to_numpy(), begin, end)
    return pd.DataFrame(hours, columns=list(mix.floors))
