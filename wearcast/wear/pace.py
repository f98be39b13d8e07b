"""A machine's pace, given the fit.

A machine has one log wear rate in common to all its classes (``m``) and a pace of its own in each:
``z`` multiplies the hazard. Given the parameters and ``m`` the posterior of ``z`` is
Gamma(1/v + d, rate 1/v + L e^(k m)), with d worn ends and L the summed D^k of the machine's spells
of one class; ``m`` itself has a density on a line, which is found by a few Newton steps. What
people are shown is the wear speed, e^m z^(1/k): how many times faster than the fleet it wears.
"""

from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pandas as pd
from scipy.sparse import csr_array

from wearcast.wear.causes import LAWS
from wearcast.wear.life import load, steepness
from wearcast.wear.posterior import ClassParams
from wearcast.wear.records import ClassSpells
from wearcast.wear.spells import sum_by

CELLS_AT_ONCE = 2_000_000
"""How many spell x draw numbers are held in memory at once."""
NEWTON_STEPS = 6


class MachineRows(NamedTuple):
    """Where the spells of each machine stand among those of a class."""

    machines: pd.Index
    begins: np.ndarray
    """int array (machines + 1,)"""


def machine_rows(group: ClassSpells) -> MachineRows:
    """The places of each machine's spells, looked up once for many machines."""
    begins = np.searchsorted(group.machine, np.arange(len(group.machines) + 1))
    return MachineRows(pd.Index(group.machines), begins)


def of_machines(group: ClassSpells, rows: MachineRows, wanted: tuple[str, ...]) -> ClassSpells:
    """The spells of some machines, and the effects that act on these; `rows` are the group's."""
    at = rows.machines.get_indexer(pd.Index(wanted))
    at = np.sort(at[at >= 0])
    begin, size = rows.begins[at], rows.begins[at + 1] - rows.begins[at]
    place = np.repeat(begin - (np.cumsum(size) - size), size) + np.arange(size.sum())
    effects = group.effects[place]
    acting, column = np.unique(effects.indices, return_inverse=True)
    return replace(
        group,
        machines=tuple(group.machines[one] for one in at),
        machine=np.repeat(np.arange(len(at)), size),
        effect_names=tuple(group.effect_names[one] for one in acting),
        effects=csr_array((effects.data, column, effects.indptr), shape=(len(place), len(acting))),
        **{
            name: getattr(group, name)[place]
            for name in ("hours", "cause", "chances", "site", "spell")
        },
    )


class Exposure(NamedTuple):
    """What machines went through in one class, by draw of the parameters."""

    worn: np.ndarray
    """array (machines, 1) worn ends d"""
    load: np.ndarray
    """array (machines, draws) summed D^k, L, as if nothing were common to the machine"""
    steep: np.ndarray
    """array (draws,) k, see `wearcast.wear.life.steepness`"""
    spread: np.ndarray
    """array (draws,) v; 0: no pace"""


def machine_exposure(
    group: ClassSpells,
    params: ClassParams,
    machines: tuple[str, ...],
) -> Exposure:
    """Worn ends and exposure of some machines, one column a draw; 0 for those without a spell.

    Parameters
    ----------
    group : ClassSpells
    params : ClassParams
        With the effects of the class.
    machines : tuple of str
        The order of the rows that come out.
    """
    draws = len(params.log_shape)
    worn, summed = np.zeros((len(machines), 1)), np.zeros((len(machines), draws))
    at = pd.Index(machines).get_indexer(pd.Index(group.machines))
    keep = (at >= 0)[group.machine] if len(group.machine) else np.zeros(0, dtype=bool)
    if keep.any():
        machine = np.unique(group.machine[keep], return_inverse=True)[1]
        rows = at[at >= 0]
        worn[rows, 0] = sum_by(machine, group.chances[keep, LAWS.index("worn")])
        hours, effects = group.hours[keep], group.effects[np.flatnonzero(keep)]
        step = max(1, CELLS_AT_ONCE // len(hours))
        for first in range(0, draws, step):
            part = slice(first, first + step)
            wear = np.log(hours @ np.exp(params.log_rates[part]).T)
            wear += effects @ params.effects[part].T
            summed[rows, part] = sum_by(machine, load(wear, params.log_shape[part]))
    return Exposure(worn, summed, steepness(params.log_shape), params.spread)


class Common(NamedTuple):
    """What is common to a machine's classes, by draw: Gaussian; arrays (machines, draws)."""

    mean: np.ndarray
    sd: np.ndarray


def common_rates(exposures: list[Exposure], sd: np.ndarray, machines: int) -> Common:
    """What each machine does to all its classes, given the parameters.

    Parameters
    ----------
    exposures : list of Exposure
        One a class, of the same machines.
    sd : array (draws,)
        How much machines differ, as the sd of a log rate; 0: not at all.
    machines : int
    """
    shape = (machines, len(sd))
    mean = np.zeros(shape)
    weight = 1 / np.maximum(sd, 1e-6) ** 2
    bend = np.broadcast_to(weight, shape)
    for _ in range(NEWTON_STEPS):
        slope, bend = -mean * weight, np.broadcast_to(weight, shape)
        for one in exposures:
            exposed = one.load * np.exp(one.steep * mean)
            grown = 1 + one.spread * exposed
            pull = (1 + one.spread * one.worn) * exposed / grown
            slope = slope + one.steep * (one.worn - pull)
            # At least what the ends themselves tell: keeps the step from running off.
            bend = bend + one.steep**2 * np.maximum(pull / grown, 0.0)
        mean = mean + np.clip(slope / bend, -0.5, 0.5)
    return Common(mean, 1 / np.sqrt(bend))
