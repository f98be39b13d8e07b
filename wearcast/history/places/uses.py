"""Pieces used in the past: each fit that replaced a part, whether written or assumed."""

import numpy as np
import pandas as pd

from wearcast.history.edges import FIT
from wearcast.history.places.stations import Stations, station_at
from wearcast.history.steps import dates_of


def count_uses(
    counted: pd.DataFrame,
    changes: pd.DataFrame,
    places: pd.DataFrame,
    parts: pd.DataFrame,
    stations: Stations,
) -> pd.DataFrame:
    """One row a use: machine, site, depot, position, part, date, pieces, cause.

    An initial outfit is no use; a fit on a position that was emptied is one. A fit uses the pieces
    written beside it, else those of its position.
    """
    fitted = counted["action"].eq(FIT) & counted["observed"] & ~counted["outfit"]
    rows = np.flatnonzero(fitted | counted["assumed"] | counted["missed"])
    machine, day, place, part, change, action, cause = (
        counted[name].to_numpy()[rows]
        for name in ("machine", "day", "place", "part", "change", "action", "cause")
    )
    usual = places["pieces"].to_numpy()[place]
    written = np.where(action == FIT, changes["pieces"].to_numpy()[change], np.nan)
    return pd.DataFrame(
        {
            "machine": stations.names.to_numpy()[machine],
            "site": station_at(stations, machine, day, "site"),
            "depot": station_at(stations, machine, day, "depot"),
            "position": places["position"].to_numpy()[place],
            "part": parts["part"].to_numpy()[part],
            "date": dates_of(day),
            "pieces": np.where(np.isnan(written), usual, written),
            "cause": cause,
        },
        copy=False,
    )
