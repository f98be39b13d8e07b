"""The fitted wear, as frozen records.

Letters of the textbook: ``D`` wear (dimensionless), ``k`` shape, ``z`` pace (a hazard
multiplier), ``v`` the spread (variance) of the pace, ``r`` wear a run hour on a floor [1/h].
A *term* is a column of the one design matrix of a kind: ``log r = X @ beta``.
"""

from dataclasses import dataclass

import numpy as np

from wearcast.told import Problem


@dataclass(frozen=True, slots=True)
class Block:
    """A joint Gaussian posterior: everything that one kind of part (or end) shares."""

    name: str
    """``wear: blade``, ``damaged: blade``, ``removed: blade`` ..."""
    terms: tuple[str, ...]
    """Names of the parameters: ``log rate[class, floor]``, ``front[class]``, ``turning[class]``,
    ``log shape[class]``, ``log spread[class]``."""
    mean: np.ndarray
    """array (terms,)"""
    cov: np.ndarray
    """array (terms, terms)"""
    llf: float
    """Log-likelihood at the estimate, without the prior."""


@dataclass(frozen=True, slots=True)
class EdgeHabit:
    """How often an edge's end becomes a replacement although edges are left."""

    alpha: float
    beta: float
    """Fleet's beta distribution; nan-free."""
    site: tuple[str, ...]
    replaced: np.ndarray
    """array (sites,) ends that replaced the part early"""
    ends: np.ndarray
    """array (sites,) ends with edges left"""


@dataclass(frozen=True, slots=True)
class Wear:
    """How fast things wear, with everything needed to draw from it."""

    classes: tuple[str, ...]
    """Wear classes, sorted."""
    kinds: tuple[str, ...]
    """Kind of each class."""
    floors: tuple[str, ...]
    blocks: tuple[Block, ...]
    habits: dict[tuple[str, str], EdgeHabit]
    """By (wear class, cause group: ``worn`` or ``damaged``)."""
    spells: object
    """Compact arrays of the spells in the fit (see `wearcast.wear.pace`): what the posterior of a
    machine's pace needs, given a set of parameters."""
    floor_table: object
    """DataFrame: the rows of floors.csv (all but cost_per_100h)."""
    machine_table: object
    """DataFrame: machine x wear class: machine, wears_as, pace, low, high, hazard, look."""
    edge_table: object
    """DataFrame: site x wear class: site, wears_as, parts_spent, edges_used, edges_available,
    mean_edges_used."""
    fits: object
    """dict: wear class -> statsmodels results (params, bse, cov_params, conf_int, llf, summary)."""
    told: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class WearDraws:
    """Wear of the running positions, one set of parameters a draw."""

    rate: np.ndarray
    """array (slots, draws, floors) wear a run hour [1/h], position and turning terms included"""
    shape: np.ndarray
    """array (slots, draws)"""
    pace: np.ndarray
    """array (slots, draws) hazard multiplier z; one value a machine and wear class"""
    damage: np.ndarray
    """array (slots, draws, floors) damage ends a run hour [1/h]"""
    removal: np.ndarray
    """array (slots, draws) planned and other ends a run hour [1/h]"""
    replaced_worn: np.ndarray
    """array (slots, draws) chance that a worn edge's end replaces the part though edges are left"""
    replaced_damaged: np.ndarray
    """array (slots, draws) the same at a damaged end"""
