"""The fitted wear, as frozen records.

Letters of the textbook: ``D`` wear (dimensionless), ``k`` shape, ``z`` pace (a hazard
multiplier), ``v`` the spread (variance) of the pace, ``r`` wear a run hour on a floor [1/h].
A *term* is a column of the one design matrix of a kind: ``log r = X @ beta``.
"""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from wearcast.told import Problem


@dataclass(frozen=True, slots=True, eq=False)
class ClassSpells:
    """The spells of one wear class that are in the fit, sorted by machine."""

    machines: tuple[str, ...]
    """Machines with a spell, sorted."""
    machine: np.ndarray
    """array (spells,) int: place in `machines`, ascending; each machine occurs."""
    hours: np.ndarray
    """array (spells, floors) hours on each floor [h]; each row has some."""
    end_mix: np.ndarray
    """array (spells, floors) share of each floor when the spell ended; rows sum to 1."""
    effects: np.ndarray
    """array (spells, effects) columns of the design beyond the floors, see `effect_names`."""
    effect_names: tuple[str, ...]
    """``front`` (+1/2 front, -1/2 rear), ``turning`` (0 never, 1 regularly; centred)."""
    cause: np.ndarray
    """array (spells,) int8, see `CAUSE_CODES`."""
    spell: np.ndarray
    """array (spells,) int: the row's label in the spells table."""


CAUSE_CODES = {"running": 0, "worn": 1, "damaged": 2, "planned": 3, "other": 4, "unknown": 4}


@dataclass(frozen=True, slots=True, eq=False)
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
    prior: dict[str, float] = field(default_factory=dict)
    """What a class or floor that is not in the block draws from, see `wearcast.wear.unseen`:
    ``kind_sd``, ``class_sd``, ``floor_sd``, ``sharing``, ``shaped``, ``paced`` (1 or 0), and by
    class ``hours[class]`` [h] and ``sd[class]``."""


@dataclass(frozen=True, slots=True, eq=False)
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


@dataclass(frozen=True, slots=True, eq=False, repr=False)
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
    spells: dict[str, ClassSpells]
    """By wear class, classes without a spell included: what the posterior of a machine's pace
    needs, given a set of parameters."""
    floor_table: pd.DataFrame
    """DataFrame: the rows of floors.csv (all but cost_per_100h)."""
    machine_table: pd.DataFrame
    """DataFrame: machine x wear class: machine, wears_as, pace, low, high, hazard, look."""
    edge_table: pd.DataFrame
    """DataFrame: site x wear class: site, wears_as, parts_spent, edges_used, edges_available,
    mean_edges_used."""
    fits: dict[str, Any]
    """Wear class -> statsmodels results (params, bse, cov_params, conf_int, llf, summary). Classes
    of one kind are fitted together and share one result, unless data only. Empty when the wear
    came from a rates file."""
    told: tuple[Problem, ...] = ()
    effect_table: pd.DataFrame = field(default_factory=pd.DataFrame)
    """One row a wear class and effect that the log can tell: wears_as, effect (``front``: life of
    a front part over that of a rear one; ``turning``: life with regular end-for-end turns over
    that without), life_ratio, low, high (90 %)."""
    place_effects: dict[tuple[str, str, str], tuple[float, ...]] = field(default_factory=dict)
    """(wear class, machine, position) -> its row of `ClassSpells.effects`; a place that is not
    there has zeros."""

    def __repr__(self) -> str:
        """How many things wear on how many floors."""
        return (
            f"<Wear of {len(self.classes)} classes on {len(self.floors)} floors,"
            f" {len(self.told)} findings>"
        )


@dataclass(frozen=True, slots=True, eq=False)
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
