"""What the past says about every machine's hours: level, season, trend and noise.

Two passes: the first finds the level that all is relative to and how large seasons are; the
second, given those, how restless the weeks are, and then everything anew. Term 0 is the level,
then come the waves of the season, then the slope if there is one.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.outlook.weeks.level import Filtered, Unrest, filter_weeks, left_over, own_noise
from wearcast.outlook.weeks.past import Past
from wearcast.outlook.weeks.season import (
    Tree,
    draw_child,
    draw_fleet,
    plausible_trees,
    season_terms,
    size_tree,
)
from wearcast.outlook.weeks.unrest import USUAL, measure_unrest, without_level

TREND_WEEKS = 104
DAMPING = 0.97
"""Share of a trend left a week later: half of it is gone in 23 weeks."""


@dataclass(frozen=True, slots=True)
class KnownHours:
    """What the past says about every machine's hours."""

    machines: tuple[str, ...]
    as_of: pd.Timestamp
    weeks: int
    """How long the fleet's past is."""
    usual: np.ndarray
    """array (machines,) level of the hours a week, free of season [h]; nan: no readings"""
    unrest: Unrest
    noise: np.ndarray
    """array (machines,) week noise, sd as a share of the usual hours"""
    filtered: Filtered
    """Term 0 is the level, then season, then the slope if there is one."""
    precision: np.ndarray
    """array (machines, terms - 1, terms - 1) of season and slope, the level integrated out"""
    pull: np.ndarray
    tree: Tree
    """How strongly season and slope scatter: the likeliest."""
    trees: tuple[Tree, ...]
    """Trees with other sizes of the season that the past leaves plausible, see `weights`."""
    weights: np.ndarray
    """array (trees,) how plausible; sum to 1"""

    @property
    def trend(self) -> bool:
        """Whether the past is long enough for a slope."""
        return self.weeks >= TREND_WEEKS


def learn_hours(past: Past, site: np.ndarray, as_of: pd.Timestamp) -> KnownHours:
    """Level, season, trend and noise of all machines from their past.

    Parameters
    ----------
    past : Past
    site : int array (machines,)
    as_of : Timestamp
    """
    trend = past.rate.shape[1] - 1 >= TREND_WEEKS
    terms = _past_terms(past.rate.shape[1], as_of, trend)
    first_look = _learn(past, past.usual, site, terms, USUAL, trend, as_of)
    usual = past.usual * _level(first_look)
    relative = _relative(past, usual)
    unrest = measure_unrest(past, relative, terms, site, first_look.tree)
    return _learn(past, usual, site, terms, unrest, trend, as_of)


def _learn(
    past: Past,
    usual: np.ndarray,
    site: np.ndarray,
    terms: np.ndarray,
    unrest: Unrest,
    trend: bool,
    as_of: pd.Timestamp,
) -> KnownHours:
    """One pass, given the usual hours that all is relative to."""
    relative = _relative(past, usual)
    span = np.where(np.isnan(relative), 0, past.span)
    filtered = filter_weeks(relative, span, past.first, terms, unrest.memory, unrest.walk)
    precision, pull, square, _ = without_level(filtered, slice(None))
    scale = unrest.noise**2
    tree = size_tree(precision / scale, pull / scale, site, trend)
    square = left_over(precision, pull, square, tree.whole / scale)
    noise = own_noise(square, filtered.readings, unrest.noise)
    precision, pull = precision / noise[:, None, None] ** 2, pull / noise[:, None] ** 2
    trees, weights = plausible_trees(tree, precision, pull, site)
    return KnownHours(
        machines=past.machines,
        as_of=as_of,
        weeks=past.rate.shape[1] - 1,
        usual=usual,
        unrest=unrest,
        noise=noise,
        filtered=filtered,
        precision=precision,
        pull=pull,
        tree=tree,
        trees=trees,
        weights=weights,
    )


def _relative(past: Past, usual: np.ndarray) -> np.ndarray:
    """Hours a week over usual hours; nan where there are none."""
    base = np.where(usual > 0, usual, np.nan)
    return past.rate / base[:, None]


def _past_terms(weeks: int, as_of: pd.Timestamp, trend: bool) -> np.ndarray:
    """Regressors of the past weeks: level, season, slope (0 at as-of)."""
    back = np.arange(weeks - 1, -1, -1)
    slope = [-back[:, None].astype(float)] if trend else []
    season = season_terms(_day_number(as_of) - 7.0 * back - 3.0)
    return np.concatenate([np.ones((weeks, 1)), season, *slope], axis=1)


def terms_ahead(weeks: int, as_of: pd.Timestamp, trend: bool) -> np.ndarray:
    """Season and slope of the weeks ahead: array (weeks, terms) of log hours; the slope fades."""
    ahead = np.arange(1, weeks + 1)
    fading = DAMPING * (1.0 - DAMPING**ahead) / (1.0 - DAMPING)
    slope = [fading[:, None]] if trend else []
    season = season_terms(_day_number(as_of) + 7.0 * ahead - 3.0)
    return np.concatenate([season, *slope], axis=1)


def _day_number(date: pd.Timestamp) -> float:
    return float((date - pd.Timestamp(2000, 1, 1)).days)


def _level(known: KnownHours) -> np.ndarray:
    """Best single value of each machine's level, in usual hours; 1 where nothing is known."""
    terms = known.pull.shape[1]
    site = np.zeros(len(known.pull), dtype=int)
    nil = np.zeros((1, terms))
    fleet = draw_fleet(known.tree, known.precision, known.pull, site, nil)
    parent = np.broadcast_to(fleet, (len(site), 1, terms))
    both = known.tree.site + known.tree.machine
    own = draw_child(both, known.precision, known.pull, parent, np.zeros(parent.shape))[:, 0]
    weight = known.filtered.precision[:, 0, 0]
    pull = known.filtered.pull[:, 0] - np.einsum(
        "mt,mt->m", known.filtered.precision[:, 0, 1:], own
    )
    level = np.divide(pull, weight, out=np.ones_like(pull), where=weight > 0)
    result: np.ndarray = np.clip(level, 0.2, 5.0)
    return result
