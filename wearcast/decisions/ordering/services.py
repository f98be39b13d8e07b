"""How surely nothing runs short: each line, each supplier, depot, and the whole order.

A line without a shortage in 95 of 100 cases does not make an order without one in 95 of 100: the
lines are looked at together, draw by draw, as machines, hours and wear rates are common to them.
"""

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.runout import services

SERVICE = ("what", "who", "lines", "no_shortage", "pieces_from_shelf", "level")


def with_services(lines: pd.DataFrame) -> pd.DataFrame:
    """The lines with both services of what is there, coming and ordered.

    A shelf that is empty before its order comes, or before an open one does, has run short, even
    where the pieces are enough in the end; ``runs_dry`` says so draw by draw.
    """
    dry = [
        latest < day if pieces > 0 else dips
        for latest, dips, day, pieces in zip(
            lines["latest"],
            lines["dips"],
            _days_to_order(lines),
            lines["order_pieces"],
            strict=True,
        )
    ]
    pairs = [
        services(need, there + pieces, early)
        for need, there, pieces, early in zip(
            lines["need"], lines["there"], lines["order_pieces"], dry, strict=True
        )
    ]
    cycle, shelf = zip(*pairs, strict=True)
    return lines.assign(runs_dry=dry, service_cycle=cycle, service_pieces=shelf)


def _days_to_order(lines: pd.DataFrame) -> pd.Series:
    """Days from as-of to the day on which each line goes out."""
    return (lines["order_on"] - lines["from"]).dt.days + 1


def order_service(lines: pd.DataFrame) -> pd.DataFrame:
    """The service of the whole order, then of each supplier and depot.

    Returns
    -------
    DataFrame
        what (``order``, ``supplier`` or ``depot``), who, lines (with any need, of a counted
        shelf), no_shortage (chance that none of them runs short until the next order has come),
        pieces_from_shelf (share of the pieces needed), level (mean of the lines' own levels).
    """
    known = lines[lines["on_hand"].notna() & lines["expected_use"].gt(0)]
    if known.empty:
        return pd.DataFrame(columns=list(SERVICE))
    rows = [("order", "all", known)]
    for what in ("supplier", "depot"):
        rows += [(what, str(who), group) for who, group in known.groupby(what, sort=True)]
    return pd.DataFrame([_together(*row) for row in rows], columns=list(SERVICE))


def _together(what: str, who: str, lines: pd.DataFrame) -> tuple[object, ...]:
    need = np.stack(list(lines["need"]))
    there = (lines["there"] + lines["order_pieces"]).to_numpy(float)[:, None]
    dry = np.stack(list(lines["runs_dry"]))
    fine = float(np.mean(((need <= there) & ~dry).all(axis=0)))
    shelf = float(np.minimum(need, there).sum() / need.sum())
    return what, who, len(lines), fine, shelf, float(lines["service_level"].mean())
