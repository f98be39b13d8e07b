"""What moves the price: the same contract with one thing otherwise, everything else the same.

Each draw's cost is multiplied by how its long-run cost changes (`long_run_cost`), so the draws of
wear, hours and chance are common to both and the difference is the change's own. What parts carry
at the start and whole pieces change a little less than the long run says.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pandas as pd

from wearcast.decisions.quoting.long_run_cost import Known, known_of, long_run_costs
from wearcast.decisions.quoting.proposals import Fleet

HOURS, WEAR, PRICES, FLOOR = 0.2, 0.2, 0.1, 0.1
"""Steps: a fifth, a fifth, a tenth; ten points of each machine's hours."""
COLUMNS = ["what", "where", "step", "mean", "at_risk", "mean_change", "risk_change"]


class _Change(NamedTuple):
    what: str
    where: str
    step: str
    known: Known
    parts: float = 1.0
    """Factor of the prices of parts."""


def what_moves(
    fleet: Fleet, mix: np.ndarray, parts: np.ndarray, labour: np.ndarray, risk: float
) -> pd.DataFrame:
    """The contract's price with one thing otherwise.

    Parameters
    ----------
    fleet : Fleet
    mix : int array (draws,), number of the floor mix that each draw took
    parts, labour : arrays (draws,), cost of the whole contract as walked
    risk : chance that the price at risk is enough

    Returns
    -------
    DataFrame
        what (hours, wear, floor, damage, edges, prices), where (the floor), step (in words); mean
        and at_risk of the whole contract then, mean_change and risk_change against what is quoted
        (all in currency); largest change of the mean first.
    """
    base = known_of(fleet, mix)
    was = long_run_costs(fleet, base)
    quoted = parts + labour
    rows = []
    for each in _changes(fleet, base):
        becomes = long_run_costs(fleet, each.known)
        cost = parts * each.parts * _times(becomes[0], was[0]) + labour * _times(becomes[1], was[1])
        mean, at_risk = cost.mean(), np.quantile(cost, risk)
        rows.append(
            (each.what, each.where, each.step, mean, at_risk, mean - quoted.mean(),
             at_risk - np.quantile(quoted, risk))
        )  # fmt: skip
    frame = pd.DataFrame(rows, columns=COLUMNS)
    order = frame["mean_change"].abs().sort_values(ascending=False, kind="stable").index
    return frame.loc[order].reset_index(drop=True)


def _times(new: np.ndarray, old: np.ndarray) -> np.ndarray:
    return np.asarray(np.divide(new, old, out=np.ones_like(new), where=old > 0))


def _changes(fleet: Fleet, base: Known) -> Iterator[_Change]:
    wear = base.wear
    for sign, words in ((1, "more"), (-1, "fewer")):
        hours = base.hours * (1 + sign * HOURS)
        yield _Change("hours", "", f"{100 * HOURS:g} % {words} hours", replace(base, hours=hours))
    for sign, words in ((1, "faster"), (-1, "slower")):
        fast = replace(wear, rate=wear.rate * (1 + sign * WEAR))
        step = f"edges wear {100 * WEAR:g} % {words}"
        yield _Change("wear", "", step, replace(base, wear=fast))
    for factor, words in ((2.0, "twice as much damage"), (0.0, "no damage")):
        torn = replace(wear, damage=wear.damage * factor)
        yield _Change("damage", "", words, replace(base, wear=torn))
    full = replace(wear, habit=np.zeros_like(wear.habit))
    yield _Change("edges", "", "every edge used", replace(base, wear=full))
    for sign, words in ((1, "dearer"), (-1, "cheaper")):
        step = f"parts {100 * PRICES:g} % {words}"
        yield _Change("prices", "", step, base, 1 + sign * PRICES)
    for number, floor in enumerate(fleet.history.floors):
        more = base.mix * (1 - FLOOR)
        more[..., number] += FLOOR
        step = f"{100 * FLOOR:g} points more hours on {floor}"
        yield _Change("floor", str(floor), step, replace(base, mix=more))
