"""The written changes of each place, in the order in which they happened.

A place is a position of a machine; it is one if the positions table or a change names it.
"""

import numpy as np
import pandas as pd

from wearcast.history.edges import ACTION_ORDER, count_edges
from wearcast.history.meters import Meters
from wearcast.history.places.stations import Stations
from wearcast.history.readings.curve import REACH_DAYS, Curve, first_days, within
from wearcast.history.steps import Bools, Floats, Ints, codes_of, day_numbers
from wearcast.logbook.book import Logbook
from wearcast.logbook.schema.tables import EDGES_BY_KIND

KIND_WORDS = {
    "blade": ("blade", "squeegee"),
    "brush": ("brush", "roller"),
    "pad": ("pad",),
}


def read_places(book: Logbook, names: pd.Index) -> pd.DataFrame:
    """One row a place, sorted: machine (code), position, carried (part; "" unknown), pieces."""
    carried = book.positions.sort_values(["machine", "position", "part", "pieces"])
    carried = carried.drop_duplicates(["machine", "position"])
    carried = carried[["machine", "position", "part", "pieces"]].rename(columns={"part": "carried"})
    written = book.changes[["machine", "position"]].drop_duplicates()
    places = written.merge(carried, "outer", ["machine", "position"])
    usual = book.changes.groupby(["machine", "position"])["pieces"].median().round()
    usual = usual.reindex(pd.MultiIndex.from_frame(places[["machine", "position"]]))
    pieces = places["pieces"].fillna(pd.Series(usual.to_numpy(float), places.index))
    places = places.assign(
        carried=places["carried"].fillna(""), pieces=pieces.fillna(1.0).astype(float)
    )
    places = places.sort_values(["machine", "position"], kind="stable", ignore_index=True)
    return places.assign(machine=codes_of(places["machine"], names))


def part_lines(book: Logbook, places: pd.DataFrame) -> pd.DataFrame:
    """Part (sorted), kind, wears_as, edges: of every part or position that a spell may name."""
    listed = book.parts[["part", "kind", "wears_as", "edges"]].drop_duplicates("part")
    named = set(book.changes["part"]) | set(places["carried"]) | set(places["position"])
    rest = sorted(named - set(listed["part"]) - {""})
    kinds = [_kind_of(name) for name in rest]
    bare = pd.DataFrame(
        {
            "part": pd.Series(rest, dtype=object),
            "kind": pd.Series(kinds, dtype=object),
            "wears_as": pd.Series(rest, dtype=object),
            "edges": pd.Series([float(EDGES_BY_KIND[kind]) for kind in kinds], dtype=float),
        }
    )
    both = pd.concat([frame for frame in (listed, bare) if len(frame)] or [listed])
    return both.sort_values("part", kind="stable", ignore_index=True)


def _kind_of(name: str) -> str:
    """The kind that the words of a name tell; a part without a catalogue line has no other."""
    words = name.lower()
    found = (kind for kind, signs in KIND_WORDS.items() if any(sign in words for sign in signs))
    return next(found, "other")


_TOLD = ("position", "part", "cause", "pieces", "by", "shift", "observed", "source", "row")


def order_lines(
    book: Logbook, places: pd.DataFrame, meters: Meters, stations: Stations, new: Floats
) -> pd.DataFrame:
    """The dated changes of every place, in order of place and time.

    Columns: place, machine (code), position, carried, pieces, order (0, 1 ... over all), day,
    run [h], on_curve, early (bool: before the machine's first meter value), misread (bool: meter
    values were written around it), outfit, newcomer (bool: by then the machine had come with
    unused parts; `new`, array (machines,), says when), action, part, cause, by, shift,
    observed, source, row.
    """
    changes = book.changes
    place = pd.MultiIndex.from_arrays([stations.names[places["machine"]], places["position"]])
    lines = pd.DataFrame(
        {
            "place": place.get_indexer(pd.MultiIndex.from_frame(changes[["machine", "position"]])),
            "machine": codes_of(changes["machine"], stations.names),
            "day": day_numbers(changes["date"]),
            "run": np.nan_to_num(meters.change_hours),
            "action": changes["action"].where(changes["observed"], "").to_numpy(dtype=object),
            **{name: changes[name].to_numpy() for name in _TOLD},
        }
    )[changes["date"].notna().to_numpy()]
    lines = lines.assign(rank=lines["action"].map(ACTION_ORDER))
    by = ["place", "day", "run", "rank", "part", "cause", "source", "row"]
    lines = lines.sort_values(by, kind="stable", ignore_index=True)
    machine, day = lines["machine"].to_numpy(), lines["day"].to_numpy()
    return lines.assign(
        order=np.arange(len(lines)),
        carried=places["carried"].to_numpy()[lines["place"]],
        on_curve=within(meters.curve, machine, day),
        early=day < meters.first_shown[machine],
        misread=_within_reach(day, meters.first_shown[machine], meters.last_shown[machine]),
        newcomer=new[machine] <= day,
        outfit=lines["action"].eq("fit") & (day <= _begin_of_work(meters.curve, stations)[machine]),
    )


def count_lines(lines: pd.DataFrame, parts: pd.DataFrame) -> pd.DataFrame:
    """The lines with their edges; a turn that cannot stand without the fit of its day follows it.

    Columns as from `wearcast.history.edges.count_edges`, and moved (bool: such a turn).
    """
    counted = count_edges(lines, parts)
    alone = counted["action"].eq("turn") & (counted["assumed"] | counted["missed"])
    fitted = (lines["action"].eq("fit") & lines["observed"]).shift(-1, fill_value=False)
    moved = (alone & fitted).to_numpy()
    for name in ("place", "day", "run"):
        moved = moved & lines[name].eq(lines[name].shift(-1)).to_numpy()
    at = np.flatnonzero(moved)
    if not at.size:
        return counted.assign(moved=False)
    order = np.arange(len(lines))
    order[at], order[at + 1] = at + 1, at
    behind = lines.assign(moved=moved).iloc[order].reset_index(drop=True)
    return count_edges(behind.assign(order=lines["order"]), parts)


def _within_reach(day: Ints, first: Floats, last: Floats) -> Bools:
    """Whether a day lies no more than 60 days before the first or after the last of some days."""
    return np.asarray((day >= first - REACH_DAYS) & (day <= last + REACH_DAYS))


def _begin_of_work(curve: Curve, stations: Stations) -> np.ndarray:
    """Array (machines,): the later of in_service and the first day of the curve; inf: neither."""
    days = np.fmax(first_days(curve), stations.in_service)
    return np.where(np.isnan(days), np.inf, days)


def unclear_places(book: Logbook, places: pd.DataFrame, names: pd.Index) -> pd.Index:
    """Places with a set-aside change whose date could not be read: it may lie in any spell."""
    undated = book.changes[book.changes["date"].isna()]
    place = pd.MultiIndex.from_arrays([names[places["machine"]], places["position"]])
    return pd.Index(
        np.unique(place.get_indexer(pd.MultiIndex.from_frame(undated[["machine", "position"]])))
    )
