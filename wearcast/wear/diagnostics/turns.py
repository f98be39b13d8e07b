"""Turns that are not written: hours an edge are then hours a part."""

import pandas as pd

from wearcast.told import Problem
from wearcast.wear.diagnostics.doubts import note

ENOUGH = 10
"""Ends of parts with several edges at one site without a turn among them: where edges are turned
at all, so many in a row are not luck."""
GRAVE = 100.0
"""They stand before any figure, see `wearcast.reports.doubts`."""


def told_of_no_turns(used: pd.DataFrame) -> list[Problem]:
    """One finding a wear class whose turns are missing at a site.

    Parameters
    ----------
    used : DataFrame
        Spells in the fit: wears_as, site, edges, ended.
    """
    ends = used[used["edges"].gt(1) & used["ended"].isin(["turn", "fit", "remove", "assumed fit"])]
    by = ends.assign(turned=ends["ended"].eq("turn")).groupby(["wears_as", "site"], sort=True)
    seen = by["turned"].agg(["sum", "size"]).reset_index()
    without = seen["sum"].eq(0) & seen["size"].ge(ENOUGH)
    return [
        note(
            f"no turn of {name} is written at {_where(mine, without)}, though it has several "
            f"edges: hours an edge, edges used and edges lost are wrong there if edges are turned; "
            f"parts, dates and cost are not",
            "Write the turns too, or set its edges to 1 if it is never turned",
            str(name),
            "wears_as",
            GRAVE,
        )
        for name, mine in seen.groupby("wears_as", sort=True)
        if without[mine.index].any()
    ]


def _where(seen: pd.DataFrame, without: pd.Series) -> str:
    """The sites without a turn; in one word where that is all of them."""
    sites = seen.loc[without[seen.index], "site"]
    return "any site" if len(sites) == len(seen) else ", ".join(map(str, sites))
