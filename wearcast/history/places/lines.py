"""The written changes of each place, in the order in which they happened.

A place is a position of a machine; it is one if the positions table or a change names it.
"""

import numpy as np
import pandas as pd

from wearcast.history.edges import ACTIONS, COUNTED, FIT, TURN, UNREAD, count_edges
from wearcast.history.meters import Meters
from wearcast.history.places.stations import Stations
from wearcast.history.readings.curve import REACH_DAYS, Curve, first_days, within
from wearcast.history.steps import Bools, Floats, Ints, codes_of, day_numbers
from wearcast.logbook.book import Logbook
from wearcast.logbook.findings.orders import order_of, with_columns
from wearcast.logbook.rules.batches import batch_machines, without_own_hours
from wearcast.logbook.schema.names import kind_of
from wearcast.logbook.schema.tables import EDGES_BY_KIND


def read_places(book: Logbook, stations: Stations) -> tuple[pd.DataFrame, Ints]:
    """One row a place, sorted: machine (code), position, carried (part; "" unknown), pieces.

    And the place of each change: array (changes,) of rows.
    """
    carried = book.positions.sort_values(["machine", "position", "part", "pieces"])
    carried = carried.drop_duplicates(["machine", "position"])
    carried = carried[["machine", "position", "part", "pieces"]].rename(columns={"part": "carried"})
    position, positions = pd.factorize(book.changes["position"])
    key, keys = pd.factorize(
        stations.of_change.astype(np.int64) * max(len(positions), 1) + position
    )
    machine, position = np.divmod(keys, max(len(positions), 1))
    written = pd.DataFrame(
        {"machine": stations.names.to_numpy()[machine], "position": positions.to_numpy()[position]},
        dtype=object,
    )
    places = written.merge(carried, "outer", ["machine", "position"])
    counted = book.changes[book.changes["pieces"].notna()]
    usual = counted.groupby(["machine", "position"])["pieces"].median().round()
    usual = usual.reindex(pd.MultiIndex.from_frame(places[["machine", "position"]]))
    pieces = places["pieces"].fillna(pd.Series(usual.to_numpy(float), places.index))
    places = places.assign(
        carried=places["carried"].fillna(""), pieces=pieces.fillna(1.0).astype(float)
    )
    places = places.sort_values(["machine", "position"], kind="stable", ignore_index=True)
    names = pd.MultiIndex.from_frame(places[["machine", "position"]])
    at = names.get_indexer(pd.MultiIndex.from_frame(written))
    places = places.assign(machine=codes_of(places["machine"], stations.names))
    return places, np.asarray(at, dtype=np.int64)[key]


def part_lines(book: Logbook, places: pd.DataFrame) -> pd.DataFrame:
    """Part (sorted), kind, wears_as, edges: of every part or position that a spell may name."""
    listed = book.parts[["part", "kind", "wears_as", "edges"]].drop_duplicates("part")
    columns = (book.changes["part"], places["carried"], places["position"])
    named = set().union(*(column.unique() for column in columns))
    rest = sorted(named - set(listed["part"]) - {""})
    kinds = [kind_of(name) for name in rest]
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


def with_parts(places: pd.DataFrame, parts: pd.DataFrame) -> pd.DataFrame:
    """The places with the codes (rows of `parts`) of the part carried and of the own one.

    ``carried`` is -1 where the positions table names none; ``own`` then stands for the position.
    """
    known = pd.Index(parts["part"])
    carried, named = (codes_of(places[name], known) for name in ("carried", "position"))
    return places.assign(carried=carried, own=np.where(carried >= 0, carried, named))


_CODES = ("place", "machine", "day", "part", "change")
"""Columns that four bytes hold: in each of millions of lines."""
_OF_ONE_LINE = ("change", "action", "part", "cause", "observed", "outfit", "batch")
"""Columns in which lines of one place, day and meter value may differ."""


def order_lines(
    book: Logbook,
    parts: pd.DataFrame,
    of_change: Ints,
    meters: Meters,
    stations: Stations,
    new: Floats,
) -> pd.DataFrame:
    """The dated changes of every place, in order of place and time.

    `of_change` is an array (changes,): the place of each; `new` an array (machines,): the day by
    which a machine had come with unused parts.

    Columns: change (row of the logbook's changes, which has the rest), place, machine (code), day,
    run [h], on_curve, early (bool: before the machine's first meter value), misread (bool: meter
    values were written around it), outfit, batch (bool: written with others, later), newcomer
    (bool: by then the machine had come with unused parts), action (code), part (code; -1: none
    named), cause, observed.
    """
    dated = book.changes["date"].notna().to_numpy()
    rows = np.flatnonzero(dated)
    changes = book.changes if dated.all() else book.changes.iloc[rows]
    observed = changes["observed"].to_numpy(dtype=bool)
    action = codes_of(changes["action"], pd.Index(ACTIONS))
    columns: dict[str, np.ndarray] = {
        "place": of_change[rows],
        "machine": stations.of_change[rows],
        "day": day_numbers(changes["date"]),
        "run": np.nan_to_num(meters.change_hours[rows]),
        "action": np.where(observed, action, UNREAD).astype(np.int8),
        "part": codes_of(changes["part"], pd.Index(parts["part"])),
        "cause": changes["cause"].to_numpy(),
        "observed": observed,
        "batch": _of_batches(changes, of_change[rows]),
        "change": rows,
    }
    order = order_of(_sort_keys(columns, changes))
    if order is not None:
        columns = {name: column[order] for name, column in columns.items()}
    columns |= {name: columns[name].astype(np.int32) for name in _CODES}
    machine, day = columns["machine"], columns["day"]
    fits = columns["action"] == FIT
    columns |= {
        "on_curve": within(meters.curve, machine, day),
        "early": day < meters.first_shown[machine],
        "misread": _within_reach(day, meters.first_shown[machine], meters.last_shown[machine]),
        "newcomer": new[machine] <= day,
        "outfit": fits & (day <= _begin_of_work(meters.curve, stations)[machine]),
    }
    return pd.DataFrame(columns, copy=False)


def _of_batches(changes: pd.DataFrame, place: Ints) -> Bools:
    """Which changes were written together, without hours of their own: array (changes,)."""
    names = batch_machines(changes, place)
    together = np.zeros(len(changes), dtype=bool)
    if len(names):
        rows = np.flatnonzero(changes["machine"].isin(names))
        together[rows] = without_own_hours(changes.iloc[rows])
    return together


def _sort_keys(columns: dict[str, np.ndarray], changes: pd.DataFrame) -> list[np.ndarray]:
    """What puts changes in order; those written together stand as they were written."""
    action, part, cause = (columns[name] for name in ("action", "part", "cause"))
    batch = columns["batch"]
    if batch.any():
        action, part = np.where(batch, 0, action), np.where(batch, -1, part)
        cause = np.where(batch, "", cause)
    place, day, run = (columns[name] for name in ("place", "day", "run"))
    written = (changes[name].to_numpy() for name in ("source", "row"))
    return [place, day, run, action, part, cause, *written]


def count_lines(lines: pd.DataFrame, places: pd.DataFrame, parts: pd.DataFrame) -> pd.DataFrame:
    """The lines with their edges; a turn that cannot stand without the fit of its day follows it.

    Columns as from `wearcast.history.edges.count_edges`, and moved (bool: such a turn).
    """
    counted = count_edges(lines, places, parts)
    doubted = np.flatnonzero(counted["assumed"] | counted["missed"])
    action, observed = (lines[name].to_numpy() for name in ("action", "observed"))
    at = doubted[(action[doubted] == TURN) & (doubted < len(lines) - 1)]
    at = at[(action[at + 1] == FIT) & observed[at + 1]]
    for name in ("place", "day", "run"):
        column = lines[name].to_numpy()
        at = at[column[at] == column[at + 1]]
    if not at.size:
        return with_columns(counted, {"moved": False})
    touched = np.zeros(len(lines), dtype=bool)
    touched[at] = True
    place = lines["place"].to_numpy()
    rows = np.flatnonzero(np.isin(place, place[at]))
    moved = np.zeros(len(rows), dtype=bool)
    at = np.flatnonzero(touched[rows])
    moved[at + 1] = True
    here = lines.iloc[rows]
    swapped = {name: _swapped(here[name].to_numpy(), at) for name in _OF_ONE_LINE}
    again = count_edges(with_columns(here, {**swapped, "moved": moved}), places, parts)
    counted = with_columns(counted, {"moved": False})
    return with_columns(
        counted,
        {
            name: _patched(counted[name].to_numpy(), rows, again[name].to_numpy())
            for name in (*_OF_ONE_LINE, *COUNTED, "moved")
        },
    )


def _patched(column: np.ndarray, rows: Ints, values: np.ndarray) -> np.ndarray:
    """A column, array (lines,), with other values in these rows."""
    column = column.copy()
    column[rows] = values
    return column


def _swapped(column: np.ndarray, at: Ints) -> np.ndarray:
    """A column, array (lines,), with these of its lines behind the next ones."""
    column = column.copy()
    column[at], column[at + 1] = column[at + 1], column[at]
    return column


def _within_reach(day: Ints, first: Floats, last: Floats) -> Bools:
    """Whether a day lies no more than 60 days before the first or after the last of some days."""
    return np.asarray((day >= first - REACH_DAYS) & (day <= last + REACH_DAYS))


def _begin_of_work(curve: Curve, stations: Stations) -> np.ndarray:
    """Array (machines,): the later of in_service and the first day of the curve; inf: neither."""
    days = np.fmax(first_days(curve), stations.in_service)
    return np.where(np.isnan(days), np.inf, days)
