"""One fleet of a world, forecast and held against the truth; one row an answer.

Every measure is a ratio of two sums over fleets: columns ``measure``, ``above``, ``below``. A cover
has a chance above and 1 below; a bias has what was said above and what is true below.
"""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from tests.studies.forecasts.scores import pinball, quantiles_of
from tests.studies.worlds import asked
from tests.studies.worlds.cases import MANY, Case, groups, inside, kind_of, true_life
from tests.studies.worlds.truth import PERIODS
from wearcast.told import GRAVE


def judge(case: Case) -> pd.DataFrame:
    """All measures of one fleet."""
    grave = any(one.weight >= GRAVE and one.severity == "note" for one in case.said.told)
    rows = [*use_rows(case), *life_rows(case), *asked.of_world(case)]
    rows.append(("told before any figure", float(grave), 1.0))
    return pd.DataFrame(rows, columns=["measure", "above", "below"])


def use_rows(case: Case) -> Iterator[tuple[str, float, float]]:
    """Mean over truth, cover of the 90 % range, loss and width, site x part and fleet x part."""
    said = case.said.forecast.set_index(["level", "where", "part", "period"])
    told = _quantiles(case.said.quantiles)
    for level, where, part, mine in groups(case.lived):
        for period in PERIODS:
            true = case.truth.pieces[period][:, mine].sum(axis=1)
            row = said.loc[(level, where, part, period)]
            key = f"{level}, {period}"
            if true.mean() >= MANY:
                yield f"cover, {key}", inside(true, row["p05"], row["p95"]), 1.0
                best = np.quantile(true, [0.05, 0.95])
                yield f"width over the truth's, {key}", row["p95"] - row["p05"], np.ptp(best)
            quantiles = told[level, where, part, period]
            yield (
                f"loss over the truth's, {key}",
                pinball(np.broadcast_to(quantiles, (len(true), 19)), true).mean(),
                pinball(np.broadcast_to(quantiles_of(true), (len(true), 19)), true).mean(),
            )
            if level == "fleet":
                kind = case.lived.fleet.parts[part].kind
                yield f"mean over truth, {period}, {kind}", row["mean"], true.mean()


def _quantiles(frame: pd.DataFrame) -> dict[tuple[str, ...], np.ndarray]:
    keys = ["level", "where", "part", "period"]
    return {
        key: rows.sort_values("q")["pieces"].to_numpy()
        for key, rows in frame[frame["period"].isin(PERIODS)].groupby(keys)
    }


def life_rows(case: Case) -> Iterator[tuple[str, float, float]]:
    """The mean life of an edge to wear-out and its 90 % range, wherever edges have worn."""
    floors = case.said.floors
    for row in floors[floors["worn"] > 0].itertuples():
        true = true_life(case.lived, row.wears_as, row.floor)
        yield "cover, hours_per_edge", float(row.low <= true <= row.high), 1.0
        kind = kind_of(case.lived, row.wears_as)
        yield f"hours_per_edge over truth, {kind}", row.hours_per_edge / true, 1.0


def summary(rows: pd.DataFrame) -> pd.DataFrame:
    """By measure: the ratio of the sums, and its standard error by leaving out a fleet.

    Parameters
    ----------
    rows : measure, above, below and ``seed`` of all fleets

    References
    ----------
    B. Efron and C. Stein, Ann. Stat. 9 (1981) 586-596: the jackknife.
    """
    sums = rows.groupby(["measure", "seed"], sort=False)[["above", "below"]].sum()
    return sums.groupby("measure", sort=False).apply(_ratio)


def _ratio(sums: pd.DataFrame) -> pd.Series:
    total = sums.sum()
    value = total["above"] / total["below"]
    left = (total["above"] - sums["above"]) / (total["below"] - sums["below"])
    count = len(sums)
    error = (
        np.sqrt((count - 1) / count * ((left - left.mean()) ** 2).sum()) if count > 1 else np.nan
    )
    return pd.Series({"value": value, "error": error, "fleets": count})
