"""What became of every open order: on the shelf, in its count, coming, late, or in doubt.

A date means the end of that day, so what came on the day of a count is in it. An order that is
past due and not marked as received came on its due day if the shelf was last counted before;
if the shelf was counted later, it may lie there already or never have come: it is not counted in.
"""

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.counts import SHELF

ON_SHELF = ("received", "assumed")
COMING = ("coming", "late")
_KEPT = [*SHELF, "pieces", "due", "source", "row", "fate", "date", "undated"]


def orders_by_fate(orders: pd.DataFrame, counted: pd.Series, as_of: pd.Timestamp) -> pd.DataFrame:
    """Every open order with what became of it.

    Parameters
    ----------
    orders : DataFrame
        The logbook's open orders.
    counted : Series of days (index: depot, part)
        The newest count of each shelf.
    as_of : day

    Returns
    -------
    DataFrame
        depot, part, pieces, due, source, row; fate: ``received`` (after the count, on the shelf),
        ``in count`` (received before it), ``assumed`` (due since the count, taken as received),
        ``doubtful`` (past due, counted later: not counted in), ``late`` (past due, still
        expected), ``coming``; date (it came, or is due), undated (bool: received, no day given).
    """
    about = orders.join(counted.rename("counted"), on=SHELF)
    counted, due = about["counted"], about["due"]
    arrived = about["arrived"] & ~about["received"].gt(as_of)
    came = about["received"].fillna(due)
    came = came.where(came <= as_of, as_of)
    late = ~arrived & due.le(as_of)
    fate = np.select(
        [
            arrived & came.gt(counted),
            arrived,
            late & due.gt(counted),
            late & due.lt(counted),
            late,
        ],
        ["received", "in count", "assumed", "doubtful", "late"],
        "coming",
    )
    undated = arrived & about["received"].isna() & counted.lt(as_of)
    return about.assign(fate=fate, date=came.where(arrived, due), undated=undated).reindex(
        columns=_KEPT
    )
