"""What every position carries at as-of, and how it came to be there."""

import numpy as np
import pandas as pd

from wearcast.history.places.stations import Stations
from wearcast.history.steps import Bools, Floats, Ints, ends_of, per_group, placed, starts_of


def running_places(
    places: pd.DataFrame,
    counted: pd.DataFrame,
    parts: pd.DataFrame,
    first_seen: pd.DataFrame,
    unclear: pd.Index,
    stations: Stations,
    new: Floats,
    as_of: int,
) -> pd.DataFrame:
    """One row a place of a machine still at work, in order of place.

    Columns: place, machine (code), position, part (code), edges, edge, pieces, age, begin (run
    hours when the edge at work began or, where no end was written, from when it was watched [h];
    nan: no matter), last_day. `new` is an array (machines,): the day number a machine's parts were
    new, nan where they were not. `first_seen` and `new` are those of
    `wearcast.history.places.watched.first_seen`; an end may be missing at an unclear place.
    """
    ends = np.flatnonzero(counted["ends"])
    place = counted["place"].to_numpy()
    last = counted.iloc[ends[ends_of(place[ends])]]
    at = pd.Index(last["place"]).get_indexer(places.index)
    written = at >= 0
    bare = _unwritten(places, counted)
    machine = places["machine"].to_numpy()
    surely = placed(last["known_start"], at, False) & placed(last["on_curve"], at, False)
    empty = ~placed(last["on"], at, True)
    begun = np.where(written, surely, first_seen["new"])
    waits = ~written & (new[machine] > as_of)
    age = np.select([empty, waits, begun], ["empty", "new", "known"], "unknown")
    unended = ~written & (age == "unknown") & ~places.index.isin(unclear)
    first_edge = np.where(waits | (~written & begun), 1.0, np.nan)
    part = np.where(written, placed(last["part"], at, -1), bare)
    edges = parts["edges"].to_numpy()[part]
    edge: np.ndarray = np.where(written, placed(last["edge"], at, np.nan), first_edge)
    table: pd.DataFrame = places.assign(
        place=places.index,
        part=part,
        edges=edges,
        edge=np.where(edges == 1, 1.0, edge),
        age=np.asarray(age, dtype=object),
        begin=np.where(
            (age == "known") | unended,
            np.where(written, placed(last["run"], at, np.nan), first_seen["run"]),
            np.nan,
        ),
        last_day=per_group(place, ends_of(place), counted["day"].to_numpy(), len(places)),
    )
    there = np.flatnonzero(_at_work(stations, as_of)[machine])
    return table.iloc[there].reset_index(drop=True)


def _at_work(stations: Stations, as_of: int) -> Bools:
    """Whether a machine is still there at as-of."""
    return np.asarray(~(stations.retired <= as_of))


def _unwritten(places: pd.DataFrame, counted: pd.DataFrame) -> Ints:
    """Array (places,): code of the part at a place none of whose lines ended a spell."""
    part = places["own"].to_numpy(copy=True)
    first = starts_of(counted["place"].to_numpy())
    part[counted["place"].to_numpy()[first]] = counted["part_before"].to_numpy()[first]
    return part
