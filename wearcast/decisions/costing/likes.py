"""What a machine, site or floor costs an hour against its like.

The like of a machine are the machines that carry the same parts; the like of a site is what its
machines would cost if each cost what its like at other sites do; the like of a floor are the
other floors.
"""

import numpy as np
import pandas as pd

FEWEST = 2
"""Other machines that make a like."""
KNOWN = 0.5
"""Share of a site's hours that must have a like elsewhere. Both are chosen here."""
COLUMNS = ["level", "where", "per_100h", "low", "high", "like", "times", "above"]


def against_like(cost: pd.DataFrame, slots: pd.DataFrame) -> pd.DataFrame:
    """Cost in 100 run hours of each machine, site and floor, and what its like cost.

    Parameters
    ----------
    cost : DataFrame
        As of `wearcast.decisions.money.year_cost`.
    slots : DataFrame
        machine, site, position, part: what each machine carries.

    Returns
    -------
    DataFrame
        level, where, per_100h, low and high (8 of 10 futures) and like [currency per 100 h], times
        (per_100h over like) and above (low is above like); places without a like are left out.
    """
    rows = cost[cost["kind"].eq("all") & cost["per_100h"].gt(0)]
    rows = rows.assign(hours=100 * rows["mean"] / rows["per_100h"])
    machines = _of(rows, "machine")
    carried = slots.sort_values(["machine", "position"], kind="stable")
    sets = carried.groupby("machine")["part"].agg(tuple).astype(str)
    sites = carried.groupby("machine")["site"].first()
    machines = machines.assign(
        carries=machines["where"].map(sets), site=machines["where"].map(sites)
    )
    found = [
        machines.assign(like=_rest(machines, ["carries"], FEWEST)),
        _of(rows, "floor").pipe(lambda floors: floors.assign(like=_rest(floors, ["level"], 1))),
        _with_sites_like(_of(rows, "site"), machines),
    ]
    whole = pd.concat([one for one in found if len(one)] or [rows.assign(like=np.nan)[:0]])
    low, high = range_per_100h(whole)
    times = whole["per_100h"] / whole["like"]
    whole = whole.assign(low=low, high=high, times=times, above=low > whole["like"])
    return whole.loc[whole["like"].gt(0), COLUMNS].reset_index(drop=True)


def ranked(cost: pd.DataFrame, level: str) -> pd.DataFrame:
    """The places of a level that cost something, the dearest in 100 machine hours first."""
    rows = cost[cost["level"].eq(level) & cost["kind"].eq("all") & cost["per_100h"].gt(0)]
    return rows.sort_values(["per_100h", "where"], ascending=[False, True])


def range_per_100h(rows: pd.DataFrame | pd.Series) -> tuple[pd.Series, pd.Series]:
    """Low and high cost of 100 run hours in 8 of 10 futures; of a row, two numbers."""
    share = rows["per_100h"] / rows["mean"]
    return rows["p10"] * share, rows["p90"] * share


def _of(rows: pd.DataFrame, level: str) -> pd.DataFrame:
    return rows[rows["level"].eq(level)]


def _rest(rows: pd.DataFrame, by: list[str], fewest: int) -> pd.Series:
    """What the others of a row's group cost in 100 h; nan where they are fewer."""
    groups = rows.groupby(by, dropna=False)
    money = groups["mean"].transform("sum") - rows["mean"]
    hours = groups["hours"].transform("sum") - rows["hours"]
    others = groups["mean"].transform("size") - 1
    return (100 * money / hours.where(hours > 0)).where(others >= fewest)


def _with_sites_like(sites: pd.DataFrame, machines: pd.DataFrame) -> pd.DataFrame:
    """The sites, with what they would cost in 100 h if their machines cost what their like do.

    The machines that have a like elsewhere tell it; the others, which may carry dearer parts, count
    on neither side.
    """
    every = machines.groupby("carries")[["mean", "hours"]].transform("sum")
    here = machines.groupby(["carries", "site"])[["mean", "hours"]].transform("sum")
    left = every - here
    like = 100 * left["mean"] / left["hours"].where(left["hours"] > 1e-9)
    hours = machines["hours"].where(like.notna(), 0.0)
    known = machines.assign(
        likes=like.fillna(0.0) * hours / 100,
        own=machines["mean"].where(like.notna(), 0.0),
        had=hours,
    )
    sums = known.groupby("site")[["likes", "own", "had", "hours"]].sum()
    sums = sums[sums["had"] > KNOWN * sums["hours"]]
    return sites.assign(like=sites["per_100h"] * sites["where"].map(sums["likes"] / sums["own"]))
