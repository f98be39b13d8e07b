"""The shelf at as-of from its counts, and the newest count held against the one before.

Counts of one day are added up: a part may lie in two places. Of counts of several days the newest
is the shelf; what was fitted since is taken off and what came since is added. The one before it,
with what was fitted and what came in between, says how many should have been counted.
"""

import pandas as pd

SHELF = ["depot", "part"]


def newest_counts(stock: pd.DataFrame, as_of: pd.Timestamp) -> pd.DataFrame:
    """The newest count of every shelf, and the one before it.

    Parameters
    ----------
    stock : DataFrame
        The logbook's counts; a blank ``counted`` is as-of.
    as_of : day

    Returns
    -------
    DataFrame (index: depot, part)
        on_hand (pieces counted), counted (day), before (pieces at the count before; nan: none),
        counted_before (day; NaT: none).
    """
    dated = stock.assign(counted=stock["counted"].fillna(as_of))
    by_day = dated.groupby([*SHELF, "counted"], as_index=False)["on_hand"].sum()
    earlier = by_day.groupby(SHELF)[["on_hand", "counted"]].shift()
    by_day = by_day.assign(before=earlier["on_hand"], counted_before=earlier["counted"])
    newest: pd.DataFrame = by_day.groupby(SHELF).tail(1).set_index(SHELF)
    return newest


def pieces_between(moves: pd.DataFrame, after: pd.Series, until: pd.Series) -> pd.Series:
    """Pieces of each shelf that moved after one day and up to another, by shelf.

    Parameters
    ----------
    moves : DataFrame
        depot, part, date, pieces.
    after, until : Series of days (index: depot, part); NaT: nothing counts
    """
    days = pd.DataFrame({"after": after, "until": until})
    dated = moves[[*SHELF, "date", "pieces"]].join(days, on=SHELF)
    between = dated["date"].gt(dated["after"]) & dated["date"].le(dated["until"])
    pieces = dated[between].groupby(SHELF)["pieces"].sum().astype(float)
    return pieces.reindex(after.index).fillna(0.0)


def shelf_counts(
    counts: pd.DataFrame,
    fitted: pd.DataFrame,
    received: pd.DataFrame,
    as_of: pd.Timestamp,
    began: pd.Timestamp,
) -> pd.DataFrame:
    """Every counted shelf at as-of, and what should have been counted.

    Parameters
    ----------
    counts : DataFrame
        From `newest_counts`.
    fitted, received : DataFrame
        depot, part, date, pieces: what was fitted, and what came.
    as_of, began : day
        The second is the log's first; a count before it is held against nothing.

    Returns
    -------
    DataFrame (index: depot, part)
        at_as_of (pieces, below zero where more was fitted than lay there), counted, fitted and
        received (pieces since the count), expected (pieces at the newest count by the one before;
        nan: no count before), found (pieces counted).
    """
    newest, before = counts["counted"], counts["counted_before"]
    before = before.mask(before < began)
    today = pd.Series(as_of, index=counts.index)
    taken, came = (pieces_between(moves, newest, today) for moves in (fitted, received))
    expected = (
        counts["before"].where(before.notna())
        - pieces_between(fitted, before, newest)
        + pieces_between(received, before, newest)
    )
    return pd.DataFrame(
        {
            "at_as_of": counts["on_hand"] - taken + came,
            "counted": newest,
            "fitted": taken,
            "received": came,
            "expected": expected.clip(lower=0.0),
            "found": counts["on_hand"],
        }
    )
