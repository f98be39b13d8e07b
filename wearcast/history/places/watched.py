"""Until when each position was watched: only while its site writes changes does silence tell."""

import numpy as np
import pandas as pd

from wearcast.history.meters import Meters
from wearcast.history.places.stations import Stations, station_at
from wearcast.history.readings.curve import first_days, hours_at

WATCH_DAYS = 60
"""So long after a site's last written change its positions still count as watched."""


def last_seen(
    counted: pd.DataFrame, places: pd.DataFrame, meters: Meters, stations: Stations, as_of: int
) -> pd.DataFrame:
    """How each place ends (index: place): day, run [h], on_curve, retired.

    A place is watched until as-of, or, where its site has written no change for more than 60
    days, until the site's last one; a retired machine until it retired.
    """
    machine = places["machine"].to_numpy()
    day = counted["day"].to_numpy()
    at = station_at(stations, counted["machine"].to_numpy(), day, "site")
    site_last = pd.Series(day).groupby(np.asarray(at, dtype=object)).max()
    site = station_at(stations, machine, np.full(len(places), as_of), "site")
    last = pd.Series(site, dtype=object).map(site_last).fillna(-1.0).to_numpy(dtype=float)
    own = counted.groupby("place")["day"].max().reindex(places.index).fillna(-1).to_numpy()
    watched = np.where(as_of - last <= WATCH_DAYS, as_of, np.maximum(last, own))
    retired = stations.retired[machine]
    gone = retired <= as_of
    until = np.maximum(np.where(gone, np.minimum(watched, retired), watched), own).astype(np.int64)
    run = np.nan_to_num(hours_at(meters.curve, machine, until))
    has_curve = ~np.isnan(first_days(meters.curve))[machine]
    return pd.DataFrame({"day": until, "run": run, "on_curve": has_curve, "retired": gone})
