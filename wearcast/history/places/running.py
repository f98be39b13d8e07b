"""What every position carries at as-of, and how it came to be there."""

import numpy as np
import pandas as pd

from wearcast.history.meters import Meters
from wearcast.history.places.stations import Stations
from wearcast.history.readings.curve import first_days
from wearcast.history.steps import Bools, codes_of, placed


def running_places(
    places: pd.DataFrame,
    counted: pd.DataFrame,
    parts: pd.DataFrame,
    meters: Meters,
    stations: Stations,
    as_of: int,
    proposal: bool,
) -> pd.DataFrame:
    """One row a place of a machine still at work, in order of place.

    Columns: place, machine (code), position, part, edges, edge, pieces, age, begin (run hours
    when the edge at work began [h]; nan: no matter), begin_day (nan likewise), last_day.
    """
    last = counted[counted["ends"]].drop_duplicates("place", keep="last")
    at = pd.Index(last["place"]).get_indexer(places.index)
    written = at >= 0
    bare = _unwritten(places, counted, parts)
    machine = places["machine"].to_numpy()
    new_from = _new_from(meters, stations, as_of, proposal)[machine]
    surely = placed(last["known_start"], at, False) & placed(last["on_curve"], at, False)
    empty = ~placed(last["on"], at, True)
    begun = np.where(written, surely, new_from <= as_of)
    waits = ~written & (new_from > as_of)
    age = np.select([empty, waits, begun], ["empty", "new", "known"], "unknown")
    first_edge = np.where(waits | (~written & begun), 1.0, np.nan)
    edges = np.where(written, placed(last["edges"], at, 1), bare["edges"])
    begin_day = np.where(written, placed(last["day"], at, 0), new_from)
    edge: np.ndarray = np.where(written, placed(last["edge"], at, np.nan), first_edge)
    table: pd.DataFrame = places.assign(
        place=places.index,
        part=np.where(written, placed(last["part"], at, ""), bare["part"]),
        edges=edges,
        edge=np.where(edges == 1, 1.0, edge),
        age=np.asarray(age, dtype=object),
        begin=np.where(written & (age == "known"), placed(last["run"], at, np.nan), np.nan),
        begin_day=np.where(age == "known", begin_day, np.nan),
        last_day=counted.groupby("place")["day"].max().reindex(places.index),
    )
    there = np.flatnonzero(_at_work(stations, as_of)[machine])
    return table.iloc[there].reset_index(drop=True)


def _at_work(stations: Stations, as_of: int) -> Bools:
    """Whether a machine is still there at as-of."""
    return np.asarray(~(stations.retired <= as_of))


def _new_from(meters: Meters, stations: Stations, as_of: int, proposal: bool) -> np.ndarray:
    """Array (machines,): day on which a machine came with unused parts; nan: nobody knows.

    A machine whose in_service lies before its first reading had a life before the log.
    """
    begins = stations.in_service
    seen = begins >= first_days(meters.curve)
    ahead = begins > as_of
    if proposal:
        begins = np.where(np.isnan(begins), as_of + 1, begins)
        ahead = begins >= as_of
        begins = np.where(ahead, np.maximum(begins, as_of + 1), begins)
    return np.where(seen | ahead, begins, np.nan)


def _unwritten(places: pd.DataFrame, counted: pd.DataFrame, parts: pd.DataFrame) -> pd.DataFrame:
    """Part and edges of a place none of whose lines ended a spell."""
    first = counted.drop_duplicates("place").set_index("place")["part_before"]
    own = places["carried"].where(places["carried"].ne(""), places["position"])
    part = first.reindex(places.index).fillna(own)
    code = codes_of(part, pd.Index(parts["part"]))
    return pd.DataFrame({"part": part, "edges": parts["edges"].to_numpy()[code]})
