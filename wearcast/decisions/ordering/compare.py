"""Why a line's expected use moved since an earlier order: window, machines, hours or wear.

Expected use = days of the window x machines x hours of a machine and day x pieces an hour. The
move of a product is shared out among its factors by the logarithmic mean, which leaves no rest:
with L = (now - before) / log(now / before), a factor that went from f to g moved L log(g / f).
"""

import numpy as np
import pandas as pd

CAUSES = ("window", "machines", "hours", "wear")
NEEDED = ("expected_use", "from", "to", "machines", "hours_per_week")


def use_moves(now: pd.DataFrame, before: pd.DataFrame) -> pd.DataFrame:
    """Pieces by which expected use moved, by cause.

    Parameters
    ----------
    now, before : DataFrame, same index
        expected_use, from, to, machines (number that draw on the shelf), hours_per_week (of all
        of them); a figure that is missing or 0 leaves its row without causes.

    Returns
    -------
    DataFrame
        window, machines, hours (of a machine), wear (pieces an hour: newly fitted); pieces, which
        sum to the move; nan where they cannot be told apart.
    """
    new, old = _factors(now), _factors(before)
    known = (new > 0).all(axis=1) & (old > 0).all(axis=1)
    ratios = (new / old).where(known)
    logs = pd.DataFrame({cause: np.log(ratios[cause]) for cause in CAUSES}, index=now.index)
    step = now["expected_use"].astype(float) - before["expected_use"].astype(float)
    total = logs.sum(axis=1, min_count=len(CAUSES))
    # Where nothing moved on the whole the logarithmic mean is the use itself.
    mean = (step / total).where(total.abs() > 1e-12, now["expected_use"].astype(float))
    moved: pd.DataFrame = logs.mul(mean, axis=0)
    return moved


def _factors(lines: pd.DataFrame) -> pd.DataFrame:
    days = (lines["to"] - lines["from"]).dt.days + 1.0
    machines = lines["machines"].astype(float)
    hours = lines["hours_per_week"].astype(float) / 7 / machines.where(machines > 0)
    use = lines["expected_use"].astype(float)
    work = days * machines * hours
    return pd.DataFrame(
        {"window": days, "machines": machines, "hours": hours, "wear": use / work.where(work > 0)}
    )
