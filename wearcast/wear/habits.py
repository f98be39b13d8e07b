"""Turned or thrown away: what happens when an edge ends and others are left.

The chance that the part is replaced early differs by site, by the number of the edge and by why it
ended: beta-binomial, by wear class and law of the end. A site with few ends leans on all sites; an
edge number with few on the other numbers. Sites that always use exactly three of four edges are
seen as such.
"""

import numpy as np
import pandas as pd
from scipy.special import betaln

from wearcast.logbook.findings.coded import coded
from wearcast.wear.causes import LAW_OF, LAWS
from wearcast.wear.records import EdgeHabit

_WEIGHTS = np.exp(np.linspace(np.log(1.0), np.log(300.0), 25))
OF_HABITS = ("site", "wears_as", "edge", "edges", "cause", "ended", "replaced")
"""What a spell tells of habits."""
LEAN = 4.0
"""An edge number leans on all numbers of its class by so many ends."""
PRIOR = (0.6, 2.4)
"""Beta distribution of the chance to replace early; common practice, no source: most are turned."""


def fit_habits(spells: pd.DataFrame, classes: pd.DataFrame) -> dict[tuple[str, str], EdgeHabit]:
    """All sites' chances and each site's counts, by wear class and law of the end.

    Parameters
    ----------
    spells : DataFrame
        Spells in the fit: the columns of `OF_HABITS`.
    classes : DataFrame
        Index: wear class; edges.
    """
    ends = ends_with_edges_left(spells)
    law = ends["cause"].map(LAW_OF).replace("any", "worn")
    return {
        (str(name), which): fit_habit(
            ends[ends["wears_as"].eq(name) & law.eq(which)], int(classes.loc[name, "edges"])
        )
        for name in classes.index[classes["edges"] > 1]
        for which in LAWS
    }


def ends_with_edges_left(spells: pd.DataFrame) -> pd.DataFrame:
    """Ends of a known edge that was not the last one, the machine staying in use."""
    known = spells["edge"].notna() & (spells["edge"] < spells["edges"])
    return spells[known & ~spells["ended"].isin(["running", "retired"])]


def fit_habit(ends: pd.DataFrame, edges: int) -> EdgeHabit:
    """The habit of one class: edge numbers first, then how alike sites are.

    Parameters
    ----------
    ends : DataFrame
        site, edge, replaced: ends with edges left.
    edges : int
    """
    sites = coded(ends["site"].to_numpy())
    site, place = sites.names, sites.codes.astype(np.int64)
    shape = (len(site), edges - 1)
    number = ends["edge"].to_numpy(float).astype(int) - 1
    cell = place * shape[1] + np.minimum(number, shape[1] - 1)
    total = np.bincount(cell, minlength=shape[0] * shape[1]).reshape(shape).astype(float)
    early = np.bincount(cell, ends["replaced"].to_numpy(float), shape[0] * shape[1]).reshape(shape)
    usual = usual_chances(early, total)
    return EdgeHabit(tuple(usual.tolist()), site_weight(early, total, usual),
                     tuple(site.tolist()), early, total)  # fmt: skip


def usual_chances(early: np.ndarray, total: np.ndarray) -> np.ndarray:
    """Chance by edge number over all sites, shrunk to that of all numbers; array (edges - 1,).

    `early` and `total`: arrays (sites, edges - 1) of counts of ends.
    """
    pooled = (early.sum() + PRIOR[0]) / (total.sum() + sum(PRIOR))
    return np.asarray((early.sum(axis=0) + LEAN * pooled) / (total.sum(axis=0) + LEAN))


def site_weight(early: np.ndarray, total: np.ndarray, usual: np.ndarray) -> float:
    """By how many ends a site leans on the usual chances: the marginal likelihood's maximum.

    `early` and `total`: arrays (sites, edges - 1) of counts; `usual`: array (edges - 1,) of
    chances.

    On a grid, with log weight normal around log 10 (sd 1), which speaks only where there is
    little to go by.
    """
    usual = np.clip(usual, 1e-4, 1 - 1e-4)
    alpha = _WEIGHTS[:, None, None] * usual
    beta = _WEIGHTS[:, None, None] * (1 - usual)
    fit = (betaln(alpha + early, beta + total - early) - betaln(alpha, beta)).sum(axis=(1, 2))
    return float(_WEIGHTS[np.argmax(fit - 0.5 * np.log(_WEIGHTS / 10) ** 2)])


NO_HABIT = EdgeHabit((), 10.0, (), np.zeros((0, 0)), np.zeros((0, 0)))
"""Where nobody has seen an edge end: common practice."""


def draw_habit(
    habit: EdgeHabit, site: str, edges: int, rng: np.random.Generator, draws: int
) -> np.ndarray:
    """Chance to replace early at a site; array (edges - 1, draws), by edge number."""
    usual = np.array(habit.usual) if habit.usual else np.full(edges - 1, PRIOR[0] / sum(PRIOR))
    usual = np.clip(usual, 1e-4, 1 - 1e-4)
    early = total = np.zeros(len(usual))
    if site in habit.site:
        at = habit.site.index(site)
        early, total = habit.replaced[at], habit.ends[at]
    alpha = habit.weight * usual + early
    beta = habit.weight * (1 - usual) + total - early
    return np.asarray(rng.beta(alpha[:, None], beta[:, None], (len(usual), draws)))


def paired_shares(spells: pd.DataFrame) -> dict[str, float]:
    """Share of a class's ends at which the machine's other edge of the class was handled too.

    Parameters
    ----------
    spells : DataFrame
        wears_as, ended, partner (bool: another position of the machine ended on that day).
    """
    ended = spells[~spells["ended"].isin(["running", "retired"])]
    shares = ended.groupby("wears_as", sort=True)["partner"].mean()
    return {str(name): float(share) for name, share in shares.items()}
