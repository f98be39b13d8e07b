"""Run hours that grow or shrink from year to year: the forecast keeps them as they are now."""

import numpy as np

from wearcast.outlook.weeks.past import Past
from wearcast.told import GRAVE, Problem

WINDOW, YEAR = 13, 52
"""Weeks that are compared, and how far apart: a year, so that no season is taken for growth."""
FEWEST = 5
"""Machines that were read in both windows."""
TOLD, ERRORS = 1.25, 4.0
"""Growth from which it is told, if it is so many standard errors; chosen here."""


def tell_growing(past: Past) -> list[Problem]:
    """One finding where the same machines run much more, or less, than a year before."""
    now, before = (_mean(past, back) for back in (0, YEAR))
    both = (now > 0) & (before > 0)
    if both.sum() < FEWEST:
        return []
    now, before = now[both], before[both]
    growth = np.log(now.sum() / before.sum())
    # Leaving out a machine in turn.
    without = np.log((now.sum() - now) / (before.sum() - before))
    error = np.sqrt((len(now) - 1) * np.mean((without - without.mean()) ** 2))
    if abs(growth) < max(np.log(TOLD), ERRORS * error):
        return []
    ratio = float(np.exp(growth))
    change = f"{ratio - 1:.0%} more" if ratio > 1 else f"{1 - ratio:.0%} fewer"
    way = "low" if ratio > 1 else "high"
    return [
        Problem(
            source="",
            table="readings",
            rows=(),
            column="hours",
            value="",
            severity="note",
            wrong=f"the same machines ran {change} hours in the last {WINDOW} weeks than a year "
            "before; the forecast takes hours to stay as they are now: if they go on changing so, "
            f"parts and cost of the year are too {way} by about {abs(np.sqrt(ratio) - 1):.0%}",
            remedy="Write the hours that are meant as plans, if you know them",
            weight=GRAVE,
        )
    ]


def _mean(past: Past, back: int) -> np.ndarray:
    """Mean hours a week of each machine in a window: array (machines,); 0 if it was not read."""
    end = past.rate.shape[1] - back
    if end < WINDOW:
        return np.zeros(len(past.machines))
    rate, span = (one[:, end - WINDOW : end] for one in (past.rate, past.span))
    weight = np.where(np.isnan(rate), 0, np.minimum(span, WINDOW))
    total = weight.sum(axis=1)
    run = (np.nan_to_num(rate) * weight).sum(axis=1)
    return np.asarray(np.divide(run, total, out=np.zeros(len(total)), where=total > 0))
