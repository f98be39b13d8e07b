"""What to look at before a line is sent: counts that do not add up, orders in doubt."""

from collections import defaultdict
from collections.abc import Hashable
from typing import Any

import pandas as pd

from wearcast.decisions.ordering.policy import Place
from wearcast.decisions.ordering.reasons import day_words
from wearcast.decisions.ordering.supply import Supply

Row = dict[Hashable, Any]


def check_words(lines: pd.DataFrame, supply: Supply) -> list[str]:
    """What to check on each line, in words; blank where nothing stands out."""
    about: defaultdict[Place, list[str]] = defaultdict(list)
    for row in supply.orders.to_dict("records"):
        words = _order_words(row)
        if words:
            about[row["depot"], row["part"]].append(words)
    return [
        "; ".join([*_count_words(line, supply), *about[line["depot"], line["part"]]])
        for line in lines.to_dict("records")
    ]


def _count_words(line: Row, supply: Supply) -> list[str]:
    """What the counts say."""
    if line["status"] == "not counted":
        return ["not counted: count the shelf first"]
    words = []
    gap = line["count_gap"]
    if pd.notna(gap) and abs(gap) >= 1:
        expected = line["expected_count"]
        missing = f"{-gap:.0f} missing or not written down"
        words.append(
            f"expected {expected:.0f}, counted {expected + gap:.0f}: "
            + (missing if gap < 0 else f"{gap:.0f} more than written down")
        )
    place = (line["depot"], line["part"])
    if float(supply.stock["at_as_of"].get(place, 0.0)) < 0:
        words.append("more was fitted since the count than lay there: count again")
    return words


def _order_words(row: Row) -> str:
    """What an open order leaves in doubt."""
    pieces, due = f"{row['pieces']:.0f} on order", day_words(row["due"])
    if row["fate"] == "doubtful":
        return f"{pieces} were due on {due} and the shelf was counted later: not counted in"
    if row["fate"] == "assumed":
        return f"{pieces} were due on {due}, after the count: taken as received"
    if row["fate"] == "late":
        return f"{pieces} are past due since {due}: ask when they come"
    if row["undated"]:
        where = "on the shelf" if row["fate"] == "received" else "in the count"
        return f"{pieces} came on a day nobody wrote down: taken as {where}"
    return ""


def doubtful_pieces(lines: pd.DataFrame, supply: Supply) -> pd.Series:
    """Pieces on order that are past due and not counted in, line by line."""
    doubtful = supply.orders[supply.orders["fate"] == "doubtful"]
    pieces = doubtful.groupby(["depot", "part"])["pieces"].sum()
    places = pd.MultiIndex.from_frame(lines[["depot", "part"]])
    return pd.Series(pieces.reindex(places).fillna(0.0).to_numpy(float), index=lines.index)
