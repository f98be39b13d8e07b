"""Pieces used in the past: each fit that replaced a part, whether written or assumed."""

import numpy as np
import pandas as pd

from wearcast.history.places.stations import Stations, station_at
from wearcast.history.steps import dates_of


def count_uses(counted: pd.DataFrame, places: pd.DataFrame, stations: Stations) -> pd.DataFrame:
    """One row a use: machine, site, depot, position, part, date, pieces, cause.

    An initial outfit is no use; a fit on a position that was emptied is one. A fit uses the pieces
    written beside it, else those of its position.
    """
    fitted = counted["action"].eq("fit") & counted["observed"] & ~counted["outfit"]
    rows = np.flatnonzero(fitted | counted["assumed"] | counted["missed"])
    columns = ("machine", "day", "place", "pieces", "action", "position", "part", "cause")
    used = pd.DataFrame({name: counted[name].to_numpy()[rows] for name in columns}, copy=False)
    machine, day = used["machine"].to_numpy(), used["day"].to_numpy()
    usual = places["pieces"].to_numpy()[used["place"]]
    written = used["pieces"].where(used["action"].eq("fit")).to_numpy(dtype=float)
    return pd.DataFrame(
        {
            "machine": stations.names.to_numpy()[machine],
            "site": station_at(stations, machine, day, "site"),
            "depot": station_at(stations, machine, day, "depot"),
            "position": used["position"].to_numpy(dtype=object),
            "part": used["part"].to_numpy(dtype=object),
            "date": dates_of(day),
            "pieces": np.where(np.isnan(written), usual, written),
            "cause": np.asarray(used["cause"], dtype=object),
        },
        copy=False,
    )
