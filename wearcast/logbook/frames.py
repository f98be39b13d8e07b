"""Checked drafts become the frames of a logbook: complete, plain, in an order of their own."""

import numpy as np
import pandas as pd

from wearcast.logbook.catalogue import fill_catalogue, with_suppliers
from wearcast.logbook.findings.drafts import Draft, Drafts
from wearcast.logbook.findings.orders import order_of, with_columns
from wearcast.logbook.rules.gaps import gap_rows
from wearcast.logbook.rules.names import known_machines, usual_depot
from wearcast.logbook.schema.tables import BY_NAME, SOME_DAY, Table

FRAMES = (
    *("machines", "readings", "changes", "floors", "parts", "price_breaks"),
    *("positions", "stock", "on_order", "suppliers", "plans", "depots"),
)
"""The frames of a logbook."""


_FILLED = ("cause", "depot", "site")
"""Columns of texts in which a blank gets a meaning here."""


def clean_frames(drafts: Drafts, proposal: bool) -> dict[str, pd.DataFrame]:
    """A frame for each name in `FRAMES`."""
    machines = known_machines(drafts, proposal)
    frames = {name: _plain(draft.used) for name, draft in drafts.items()}
    frames["machines"] = _with_machines(frames["machines"], sorted(machines))
    frames["changes"] = _with_gaps(frames["changes"], gap_rows(drafts, machines))
    frames |= _with_depots(frames, usual_depot(drafts))
    frames["on_order"] = _with_arrivals(frames["on_order"])
    # A table with rows of its own alone, none of them left out, has the codes of its draft.
    whole = {
        name: draft if draft.used_rows.all() and len(frames[name]) == len(draft.frame) else None
        for name, draft in drafts.items()
    }
    frames = {name: _in_order(frame, BY_NAME[name], whole[name]) for name, frame in frames.items()}
    parts, frames["price_breaks"] = fill_catalogue(drafts)
    frames["parts"] = with_suppliers(parts, frames["suppliers"])
    return {name: frames[name] for name in FRAMES}


def _plain(rows: pd.DataFrame) -> pd.DataFrame:
    """Rows of a draft without its inner columns."""
    plain = rows.copy(deep=False)  # what stays is shared, not copied
    for name in ("origin", "state", "run"):
        del plain[name]
    return plain


def _in_order(frame: pd.DataFrame, table: Table, whole: Draft | None) -> pd.DataFrame:
    """The frame in an order that depends on its own values alone.

    `whole` is its draft, if the names in the frame are those of all rows of the draft.
    """
    texts = [*table.texts, "source"]
    columns = [*(column.name for column in table.columns), "source", "row"]
    order = order_of(
        [
            whole.coded(name)
            if whole and name in texts and name not in _FILLED
            else frame[name].to_numpy()
            for name in columns
        ]
    )
    ordered = frame.copy(deep=False) if order is None else frame.take(order)
    ordered.index = pd.RangeIndex(len(ordered))
    other = [name for name in texts if ordered[name].dtype != object]
    return ordered.astype(dict.fromkeys(other, object)) if other else ordered


def _with_machines(frame: pd.DataFrame, known: list[str]) -> pd.DataFrame:
    """A row for every known machine; a blank site is ``main``."""
    own = set(frame["machine"])
    missing = [name for name in known if name not in own]
    full = frame.reindex([*frame.index, *(-1 - np.arange(len(missing)))])
    new = full.index[len(frame) :]
    full.loc[new, "machine"] = missing
    texts = [*BY_NAME["machines"].texts, "source"]
    full[texts] = full[texts].astype(object).where(full[texts].notna(), "")
    full["row"] = full["row"].fillna(0).astype(np.int64)
    full["site"] = full["site"].where(full["site"].ne(""), "main")
    return full


def _with_gaps(changes: pd.DataFrame, gaps: pd.DataFrame) -> pd.DataFrame:
    """The changes, and a row with observed False for each set-aside one whose place is known."""
    cause = changes["cause"].where(changes["cause"].ne(""), "worn")
    changes = with_columns(changes, {"cause": cause, "observed": True})
    if gaps.empty:
        return changes
    empty = _plain(gaps).assign(action="", part="", cause="", hours=np.nan, observed=False)
    return pd.concat([changes, empty])


def _with_arrivals(orders: pd.DataFrame) -> pd.DataFrame:
    """The open orders, and which of them came; a day that nobody wrote down is blank."""
    received = orders["received"]
    known = received.where(received.ne(SOME_DAY))
    return orders.assign(received=known, arrived=received.notna())


def _with_depots(frames: dict[str, pd.DataFrame], usual: str) -> dict[str, pd.DataFrame]:
    """Tables with blank depots filled."""
    return {
        table: frames[table].assign(
            depot=frames[table]["depot"].where(frames[table]["depot"].ne(""), usual)
        )
        for table in ("machines", "stock", "on_order")
    }
