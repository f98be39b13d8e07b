"""Turned or thrown away: what happens when an edge ends and others are left.

The chance that the part is replaced early differs by site: beta-binomial, by wear class and by
whether the edge ended worn or damaged. A site with few ends leans on the fleet's distribution.
"""

import numpy as np
import pandas as pd
from scipy.special import betaln

from wearcast.wear.records import EdgeHabit

CAUSE_GROUPS = ("worn", "damaged")
_CHANCES = 1 / (1 + np.exp(-np.linspace(-6, 4, 81)))
_WEIGHTS = np.exp(np.linspace(np.log(1.0), np.log(300.0), 25))


def fit_habits(spells: pd.DataFrame, classes: pd.DataFrame) -> dict[tuple[str, str], EdgeHabit]:
    """The fleet's distribution and each site's counts, by wear class and cause group.

    Parameters
    ----------
    spells : DataFrame
        Spells in the fit: site, wears_as, edge, edges, cause, ended, replaced.
    classes : DataFrame
        Index: wear class; edges.
    """
    ends = _ends_with_edges_left(spells)
    habits = {}
    for name in classes.index[classes["edges"] > 1]:
        for cause in CAUSE_GROUPS:
            chosen = ends[ends["wears_as"].eq(name) & ends["cause"].eq(cause)]
            sites = chosen.groupby("site", sort=True)["replaced"].agg(["sum", "count"])
            habits[str(name), cause] = fit_habit(
                tuple(map(str, sites.index)),
                sites["sum"].to_numpy(float),
                sites["count"].to_numpy(float),
            )
    return habits


def _ends_with_edges_left(spells: pd.DataFrame) -> pd.DataFrame:
    """Ends of a known edge that was not the last one, the machine staying in use."""
    known = spells["edge"].notna() & (spells["edge"] < spells["edges"])
    return spells[known & ~spells["ended"].isin(["running", "retired"])]


def fit_habit(site: tuple[str, ...], replaced: np.ndarray, ends: np.ndarray) -> EdgeHabit:
    """The fleet's beta distribution of the chance to replace early, from counts by site.

    Its mean p and weight s (alpha = p s, beta = (1 - p) s) are the marginal likelihood's maximum
    on a grid, under p ~ Beta(0.6, 2.4) (common practice: most blades are turned) and log s normal
    around log 10 (sd 1), which speak only where there are few ends.
    """
    chance, weight = _CHANCES[:, None], _WEIGHTS[None, :]
    alpha, beta = chance * weight, (1 - chance) * weight
    fit = 0.6 * np.log(chance) + 2.4 * np.log1p(-chance) - 0.5 * (np.log(weight / 10)) ** 2
    for early, total in zip(replaced, ends, strict=True):
        fit = fit + betaln(alpha + early, beta + total - early) - betaln(alpha, beta)
    best = np.unravel_index(np.argmax(fit), fit.shape)
    return EdgeHabit(float(alpha[best]), float(beta[best]), site, replaced, ends)


def count_edges_used(spells: pd.DataFrame, classes: pd.DataFrame) -> pd.DataFrame:
    """How many edges of the spent parts were used, by site and wear class.

    Returns
    -------
    DataFrame, one row a site and wear class with more than one edge and a spent part
        ``site``, ``wears_as``, ``parts_spent``, ``edges_used``, ``edges_available``,
        ``mean_edges_used``. Parts whose edge is not known are left out.
    """
    many = classes.index[classes["edges"] > 1]
    spent = spells[
        spells["wears_as"].isin(many)
        & spells["replaced"].astype(bool)
        & spells["edge"].notna()
        & ~spells["ended"].isin(["running", "retired"])
    ]
    table = (
        spent.groupby(["site", "wears_as"], sort=True)
        .agg(
            parts_spent=("edge", "size"),
            edges_used=("edge", "sum"),
            edges_available=("edges", "sum"),
        )
        .reset_index()
    )
    return table.assign(mean_edges_used=table["edges_used"] / table["parts_spent"])
