"""On which days a machine is heard of first and last."""

from typing import Literal

import numpy as np
import pandas as pd

from wearcast.logbook.findings.drafts import Draft


def day_of_machines(draft: Draft, rows: np.ndarray, side: Literal["min", "max"]) -> pd.Series:
    """The first or the last date of each machine in these rows; index: machine, sorted.

    `rows` is an array (rows,) of bool, True in such a row.
    """
    machines = draft.coded("machine")
    dates = draft.frame["date"]
    whole = rows.all()
    codes = machines.codes if whole else machines.codes[rows]
    days = (dates if whole else dates[rows]).groupby(codes).agg(side)
    return days.set_axis(pd.Index(machines.names[days.index.to_numpy()], dtype=object))
