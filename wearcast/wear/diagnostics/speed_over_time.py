"""A machine's wear speed quarter by quarter, against its own mean."""

from collections.abc import Sequence

import numpy as np
import pandas as pd
from scipy.special import gammaincinv

from wearcast.history.story import History
from wearcast.wear.diagnostics.speed_changes import ends_before, used_spells, with_load
from wearcast.wear.records import Wear

COLUMNS = ["machine", "start", "ends", "expected", "speed", "low", "high"]


def speed_over_time(history: History, wear: Wear, machines: Sequence[str]) -> pd.DataFrame:
    """Worn ends of each quarter against those that its hours and floors would give evenly.

    Parameters
    ----------
    history : History
    wear : Wear
    machines : sequence of str

    Returns
    -------
    DataFrame
        machine, start (of the quarter), ends (worn), expected (had the machine always worn as
        fast), speed (1: as on average over its log), low, high (90 % range: exact for a Poisson
        count, F. Garwood, Biometrika 28 (1936) 437-442; from memory); quarters in which less than
        half an end is expected are left out.
    """
    used = used_spells(history, wear) & history.spells["machine"].isin(machines)
    spells = with_load(history, wear, np.flatnonzero(used))
    rows = [_quarters(name, spells[spells["machine"].eq(name)]) for name in machines]
    return pd.concat(rows, ignore_index=True) if rows else pd.DataFrame(columns=COLUMNS)


def _quarters(name: str, own: pd.DataFrame) -> pd.DataFrame:
    first = own["start"].min().to_period("Q").start_time
    starts = pd.date_range(first, own["end"].max() + pd.offsets.QuarterEnd(1), freq="QS")
    ends = ends_before(own, starts)
    even = np.diff(ends.share, axis=0, append=1.0) * ends.worn
    worn = np.diff(ends.before, axis=0, append=ends.worn[None]).sum(axis=1)
    expected = even.sum(axis=1)
    # Hazard goes with speed to the power of the shape: that of the classes that ended.
    shape = (even @ ends.shapes) / np.maximum(expected, 1e-9)
    low, high = gammaincinv(np.maximum(worn, 1e-9), 0.05), gammaincinv(worn + 1.0, 0.95)
    told = expected >= 0.5
    speeds = [
        (np.array(one)[told] / expected[told]) ** (1 / shape[told]) for one in (worn, low, high)
    ]
    return pd.DataFrame(
        {"machine": name, "start": starts[told], "ends": worn[told], "expected": expected[told],
         "speed": speeds[0], "low": np.where(worn[told] > 0, speeds[1], 0.0), "high": speeds[2]}
    )  # fmt: skip
