"""Turns and new parts that are not written, or written as what they are not."""

import pandas as pd

from wearcast.history.spells import HANDLED
from wearcast.told import GRAVE, Problem
from wearcast.wear.diagnostics.doubts import note

ENOUGH = 10
"""Ends of parts with several edges at one site without a turn among them: where edges are turned
at all, so many in a row are not luck; chosen here."""
MISSING, MISSING_OFTEN = 4, 0.05
"""So many turns after a last edge at a site, of so many new parts, are told; chosen here."""


def tell_no_turns(used: pd.DataFrame) -> list[Problem]:
    """One finding a wear class whose turns are missing at a site.

    Parameters
    ----------
    used : DataFrame
        Spells in the fit: wears_as, site, edges, ended.
    """
    ended = used["edges"].gt(1) & used["ended"].isin(HANDLED)
    ends = used.loc[ended, ["wears_as", "site", "edges", "ended"]]
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


def tell_missing_fits(used: pd.DataFrame) -> list[Problem]:
    """One finding for the sites where too many turns come after the last edge.

    Only what leaves no edge to turn to shows itself: about half as many fits again are missing
    unseen. Less than 1 in 20 is let pass, as that moves no figure by more.

    Parameters
    ----------
    used : DataFrame
        Spells: site, edges, ended.
    """
    ended = used["edges"].gt(1) & used["ended"].isin(["fit", "assumed fit"])
    parts = used.loc[ended, ["site", "ended"]]
    by = parts.assign(missing=parts["ended"].eq("assumed fit")).groupby("site", sort=True)
    seen = by.agg(missing=("missing", "sum"), parts=("missing", "size"))
    found = seen[seen["missing"].ge(MISSING) & seen["missing"].ge(MISSING_OFTEN * seen["parts"])]
    if found.empty:
        return []
    shown = [
        f"{site} ({missing} of {parts})"
        for site, missing, parts in found.head(5).itertuples(name=None)
    ]
    more = f" and {len(found) - 5} more sites" if len(found) > 5 else ""
    return [
        note(
            f"parts are turned after their last edge too often to be slips, at {', '.join(shown)}"
            f"{more}: if new parts were not written there, more are missing unseen and the "
            f"forecast is too low; if rows are written twice, two positions share one name or a "
            f"part has more edges than the parts table says, it is too high",
            "Look at these rows: each new part is a fit, each position has a name of its own",
            "turn",
            "action",
            GRAVE,
        )
    ]


def _where(seen: pd.DataFrame, without: pd.Series) -> str:
    """The sites without a turn; in one word where that is all of them."""
    sites = seen.loc[without[seen.index], "site"]
    return "any site" if len(sites) == len(seen) else ", ".join(map(str, sites))
