"""The fitted wear, as frozen records.

Letters of the textbook: ``D`` wear (dimensionless), ``k`` shape, ``z`` pace (a hazard
multiplier), ``v`` the spread (variance) of the pace, ``r`` wear a run hour on a floor [1/h].
A *term* is a column of the one design matrix: ``log r = X @ beta``.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd
from scipy.sparse import csr_array

from wearcast.told import Problem
from wearcast.wear.priors import CellPrior, Centre


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
    """array (spells, floors) share of each floor when the spell ended; rows sum to 1. Once all is
    fitted it has no rows, nor have the `end_effects`."""
    effect_names: tuple[str, ...]
    """The effects that act on the class, see `wearcast.wear.covariates`."""
    effects: csr_array
    """array (spells, effects): how far each acts on a spell's wear."""
    end_effects: csr_array
    """array (spells, effects): the same when the spell ended."""
    cause: np.ndarray
    """array (spells,) int8, see `wearcast.wear.causes.CODES`."""
    chances: np.ndarray
    """array (spells, laws) chance that the end followed each law of `wearcast.wear.causes.LAWS`:
    1 or 0 where the cause is known, between them where it is not; 0 for running ones."""
    site: np.ndarray
    """array (spells,) of str."""
    spell: np.ndarray
    """array (spells,) int: the row's label in the spells table."""


@dataclass(frozen=True, slots=True)
class Spread:
    """How much the levels of one effect differ: sds of logs, with how plausible each is."""

    sds: tuple[float, ...]
    chances: tuple[float, ...]

    @property
    def mean(self) -> float:
        """The sd to be expected."""
        return float(np.dot(self.sds, self.chances))


@dataclass(frozen=True, slots=True, eq=False)
class Given:
    """Terms of a few sites, Gaussian given the terms that all sites share."""

    on: np.ndarray
    """int array (shared,) places of the shared terms in the block"""
    follow: np.ndarray
    """array (terms, shared) how far they move with each of those"""
    cov: np.ndarray
    """array (terms, terms) what is left when those are known"""


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """A joint Gaussian posterior: everything that one law of ends shares over all classes."""

    name: str
    """``worn`` or ``torn``, see `wearcast.wear.causes`."""
    terms: tuple[str, ...]
    """Names of the parameters: ``log rate[class, floor]``, ``log shape[class]``,
    ``log spread[class]``, then the levels of the effects, ``site[Tram Barn]`` ..."""
    mean: np.ndarray
    """array (terms,)"""
    cov: np.ndarray
    """array (joint, joint) of the terms that are told together: all, but in a large fleet"""
    llf: float
    """Log-likelihood at the estimate, without the prior."""
    shaped: bool = False
    """Whether classes have a shape; without it the hazard is constant."""
    paced: bool = False
    """Whether machines have a pace of their own."""
    cells: dict[str, CellPrior] = field(default_factory=dict)
    """By kind: what a class or floor that is not in the block draws from."""
    centres: dict[str, Centre] = field(default_factory=dict)
    """By class: what is known of it before any data."""
    spreads: dict[str, Spread] = field(default_factory=dict)
    """By effect: how much its levels differ."""
    given: tuple[Given, ...] = ()
    """Of a large fleet: the terms behind the joint ones, site by site, in order."""

    @property
    def machine_variance(self) -> float:
        """Variance of what machines do to all their classes, as a log rate."""
        spread = self.spreads.get("machine")
        return float(np.dot(np.square(spread.sds), spread.chances)) if spread else 0.0


@dataclass(frozen=True, slots=True)
class OffLaw:
    """How edges are taken off for planned and other reasons: a law of the run hours by site.

    The cumulative hazard after ``h`` hours is ``(g h)^c``. Where few were taken off, ``c`` is 1
    and ``g`` has a gamma distribution; where many were, their ages tell ``c`` (a schedule has a
    high one) and (log g, log c) is Gaussian.
    """

    alpha: float
    """Of the gamma distribution of ``g`` over sites, in every class: variance of log about
    1/alpha."""
    usual: dict[str, float]
    """By class: mean of ``g`` over sites [1/h]."""
    ends: dict[tuple[str, str], float]
    """By (class, site): edges taken off."""
    hours: dict[tuple[str, str], float]
    """By (class, site): hours at work [h]."""
    aged: dict[tuple[str, str], tuple[float, float, float, float, float]]
    """By (class, site) where ages tell a law: mean of log g and of log c, their variances and
    covariance."""


@dataclass(frozen=True, slots=True, eq=False)
class EdgeHabit:
    """How often an edge's end becomes a replacement although edges are left, by edge number."""

    usual: tuple[float, ...]
    """Chance at the end of the first edge, the second ... over all sites; one less than edges."""
    weight: float
    """How far sites are alike: a site leans on the usual by so many ends."""
    site: tuple[str, ...]
    replaced: np.ndarray
    """array (sites, edges - 1) ends that replaced the part early"""
    ends: np.ndarray
    """array (sites, edges - 1) ends with edges left"""


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Wear:
    """How fast things wear, with everything needed to draw from it."""

    classes: tuple[str, ...]
    """Wear classes, sorted."""
    kinds: tuple[str, ...]
    """Kind of each class."""
    floors: tuple[str, ...]
    worn: Block
    torn: Block
    off: OffLaw
    habits: dict[tuple[str, str], EdgeHabit]
    """By (wear class, law of the end, see `wearcast.wear.causes.LAWS`)."""
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
    fits: Mapping[str, Any]
    """Wear class -> statsmodels results (params, bse, cov_params, conf_int, llf, summary). All
    classes are fitted together and share one result, unless data only. Empty when the wear came
    from a rates file."""
    told: tuple[Problem, ...] = ()
    effect_table: pd.DataFrame = field(default_factory=pd.DataFrame)
    """One row a wear class and effect that the log can tell: wears_as, effect (``front``: life of
    a front part over that of a rear one; ``turning``: life with regular end-for-end turns over
    that without), life_ratio, low, high (90 %)."""
    place_effects: dict[tuple[str, str, str], tuple[float, ...]] = field(default_factory=dict)
    """(wear class, machine, position) -> its values of `wearcast.wear.covariates.PLACE_EFFECTS`;
    a place that is not there has zeros."""
    paired: dict[str, float] = field(default_factory=dict)
    """Wear class -> share of its ends at which the other edge of the machine is turned too."""
    unwritten: tuple[str, ...] = ()
    """Machines of which nobody wrote a change."""
    silent: tuple[str, ...] = ()
    """Sites that most likely did not write down what they changed, up to as-of."""

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
    """array (slots, draws, floors) wear a run hour [1/h], all effects included"""
    shape: np.ndarray
    """array (slots, draws)"""
    pace: np.ndarray
    """array (slots, draws) hazard multiplier z; one value a machine and wear class"""
    damage: np.ndarray
    """array (slots, draws, floors) damage ends a run hour [1/h]"""
    off_rate: np.ndarray
    """array (slots, draws) ``g`` of `OffLaw` [1/h]"""
    off_shape: np.ndarray
    """array (slots, draws) its ``c``"""
    habit: np.ndarray
    """array (habits, laws, edges, draws) chance that an end replaces the part though edges are
    left, by law of the end (`wearcast.wear.causes.LAWS`) and edge"""
    habit_of: np.ndarray
    """int array (slots,) row of each slot, by class and site, in `habit` and `stress`"""
    stress: np.ndarray
    """array (habits, draws, quarters) factor on hours ahead: quarters in which all of a class wears
    faster or slower at a site, 91 days each from as-of"""
    site_lift: np.ndarray
    """array (slots, draws) what the site and its operator do, as a log; in `rate` already"""
    machine_lift: np.ndarray
    """array (slots, draws) what the machine does to all its classes; in `rate` already"""
    twin: np.ndarray
    """int array (slots,) a slot whose edge is handled together with this one's; -1: none"""
