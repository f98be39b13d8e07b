"""Turns that are not written, or written as new parts."""

import pandas as pd

from wearcast.told import GRAVE, Problem
from wearcast.wear.diagnostics.doubts import note

ENOUGH = 10
"""Ends of parts with several edges at one site without a turn among them: where edges are turned
at all, so many in a row are not luck."""


def tell_no_turns(used: pd.DataFrame) -> list[Problem]:
    """One finding a wear class whose turns are missing at a site.

    Parameters
    ----------
    used : DataFrame
        Spells in the fit: wears_as, site, edges, ended.
    """
    ends = used[used["edges"].gt(1) & used["ended"].isin(["turn", "fit", "remove", "assumed fit"])]
    by = ends.assign(turned=ends["ended"].eq("turn")).groupby(["wears_as", "site"], sort=True)
    seen = by.agg(
        turned=("turned", "sum"), ended=("turned", "size"), edges=("edges", "max")
    ).reset_index()
    without = seen["turned"].eq(0) & seen["ended"].ge(ENOUGH)
    return [
        note(
            f"no turn of {name} is written at {_where(mine, without)}, though it has "
            f"{mine['edges'].max():.0f} edges: if turns are not written, hours an edge, edges used "
            f"and edges lost are wrong there; if they are written as new parts, parts and cost are "
            f"up to {mine['edges'].max():.0f} times too high",
            "Write turns as turn and new parts as fit, or set its edges to 1 if it is never turned",
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
