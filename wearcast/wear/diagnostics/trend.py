"""Does everything wear faster, or slower, from year to year.

A change of level is told by `wearcast.wear.diagnostics.level_shift`; one that goes on a little each
month has no day. The quarters of the last year are held against the same ones of the year before,
so that no season is taken for it.
"""

import numpy as np
from scipy.special import stdtr

from wearcast.told import GRAVE, Problem
from wearcast.wear.diagnostics.doubts import note
from wearcast.wear.diagnostics.months import (
    QUARTER,
    RARE,
    SURE,
    USUAL_SD,
    WORTH,
    YEAR,
    Cells,
    Months,
    log_speed,
    months_of,
)

FEWEST = 2
"""Quarters that were seen a year before, too."""
MATTERS = 1.08
"""Change in a year from which it is told. Both are chosen here."""


def tell_trend(cells: Cells) -> list[Problem]:
    """One finding if wear as a whole goes on changing."""
    log = year_on_year(months_of(cells))
    if abs(log) < np.log(MATTERS):
        return []
    return [
        note(
            f"everything wears {abs(np.expm1(log)):.0%} {'faster' if log > 0 else 'slower'} in the "
            "last year than in the same quarters of the year before, more than chance or the usual "
            "quarter would bring: the forecast takes wear to stay as it is now, so if it goes on "
            f"changing so, the year's parts are too {'few' if log > 0 else 'many'} by about "
            f"{abs(np.expm1(log / 2)):.0%}",
            "Look what goes on changing: floors that age, down pressure, who looks at the edges",
            "",
            "cause",
            GRAVE,
        )
    ]


def year_on_year(by: Months) -> float:
    """Log of the speed of the last year over the year before; 0 where that may be chance."""
    pairs = [
        (log_speed(by, at, at + QUARTER) - log_speed(by, at + YEAR, at + YEAR + QUARTER), *both)
        for at in range(0, YEAR, QUARTER)
        if min(both := [by.expected[one : one + QUARTER].sum() for one in (at, at + YEAR)]) >= 1
    ]
    if len(pairs) < FEWEST:
        return 0.0
    logs, newer, older = np.array(pairs).T
    chance = (1 / newer + 1 / older) / by.shape**2
    free = len(logs) - 1
    mean = float(logs.mean())
    seen = max(float(((logs - mean) ** 2).sum() - chance.mean() * free), 0.0) / 2
    variance = (seen + WORTH * USUAL_SD**2) / (free + WORTH)
    luck = chance.sum() / len(logs) ** 2
    error = np.sqrt(2 * variance / len(logs) + luck)
    sure = abs(mean) >= SURE * np.sqrt(luck) and 2 * stdtr(free + WORTH, -abs(mean) / error) <= RARE
    return mean if sure else 0.0
