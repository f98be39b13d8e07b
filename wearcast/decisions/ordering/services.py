"""How surely nothing runs short: each line, each supplier, depot, and the whole order.

A line without a shortage in 95 of 100 cases does not make an order without one in 95 of 100: the
lines are looked at together, draw by draw, as machines, hours and wear rates are common to them.
"""

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.runout import services

SERVICE = ("what", "who", "lines", "no_shortage", "pieces_from_shelf", "level")


def with_services(lines: pd.DataFrame) -> pd.DataFrame:
    """The lines with both services of what is there, coming and ordered."""
    pairs = [
        services(need, there + pieces)
        for need, there, pieces in zip(
            lines["need"], lines["there"], lines["order_pieces"], strict=True
        )
    ]
    cycle, shelf = zip(*pairs, strict=True)
    return lines.assign(service_cycle=cycle, service_pieces=shelf)


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
    fine = float(np.mean((need <= there).all(axis=0)))
    shelf = float(np.minimum(need, there).sum() / need.sum())
    return what, who, len(lines), fine, shelf, float(lines["service_level"].mean())
