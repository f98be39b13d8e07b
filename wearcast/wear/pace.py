"""A machine's pace, given the fit.

Pace z multiplies the hazard. Given the parameters its posterior is Gamma(1/v + d, rate 1/v + L),
with d worn ends and L the summed D^k of the machine's spells of one class. What people are shown
is the wear speed, z^(1/k): how many times faster than the fleet the machine wears.
"""

from typing import NamedTuple

import numpy as np
import pandas as pd
from scipy.special import gammainc, gammaincinv

from wearcast.wear.blocks import ClassParams, class_params
from wearcast.wear.gather import spells_for
from wearcast.wear.likelihood import machine_counts, wear_path
from wearcast.wear.records import Block, ClassSpells

FAST, SLOW, SURE = 1.25, 0.8, 0.95
"""Worth a look: P(z > FAST) > SURE or P(z < SLOW) > SURE."""
CELLS_AT_ONCE = 2_000_000
"""How many spell x draw numbers are held in memory at once."""


class Exposure(NamedTuple):
    """What the machines of one class went through, by draw of the parameters."""

    worn: np.ndarray
    """array (machines,) worn ends d"""
    load: np.ndarray
    """array (machines, draws) summed D^k, L"""


def machine_exposure(group: ClassSpells, params: ClassParams) -> Exposure:
    """Worn ends and exposure of each machine of a class, one column a draw of the parameters."""
    draws, machines = len(params.log_shape), len(group.machines)
    load = np.empty((machines, draws))
    if machines == 0:
        return Exposure(np.zeros(0), load)
    starts = np.flatnonzero(np.diff(group.machine, prepend=-1))
    step = max(1, CELLS_AT_ONCE // len(group.machine))
    for first in range(0, draws, step):
        part = slice(first, first + step)
        wear = np.log(group.hours @ np.exp(params.log_rates[part]).T)
        wear += group.effects @ params.effects[part].T
        power = np.exp(np.minimum(np.exp(params.log_shape[part]) * wear, 300.0))
        load[:, part] = np.add.reduceat(power, starts, axis=0)
    return Exposure(machine_counts(spells_for(group, "worn")), load)


def _pace_mean_slopes(group: ClassSpells, params: ClassParams) -> tuple[np.ndarray, ...]:
    """Posterior mean pace m, its shape, and d log m by (log r, effects, log k, log v)."""
    spells = spells_for(group, "worn")
    shape, spread = np.exp(params.log_shape[0]), params.spread[0]
    path = wear_path(params.log_rates[0], params.effects[0], spells)
    power = np.minimum(shape * path.log_wear, 300.0)
    load = np.exp(power)
    starts = np.flatnonzero(np.diff(group.machine, prepend=-1))
    push = np.column_stack(
        [(shape * load)[:, None] * np.hstack([path.share, spells.effects]), power * load]
    )
    total, worn = np.add.reduceat(load, starts), machine_counts(spells)
    grown = 1 + spread * total
    by_load = -spread / grown
    by_spread = spread * worn / (1 + spread * worn) - spread * total / grown
    slopes = np.column_stack([by_load[:, None] * np.add.reduceat(push, starts, axis=0), by_spread])
    return (1 + spread * worn) / grown, 1 / spread + worn, slopes


def machine_paces(
    name: str, group: ClassSpells, block: Block, floors: tuple[str, ...]
) -> pd.DataFrame:
    """Pace of each machine of a class.

    The posterior at the estimate is widened by what the parameters themselves are uncertain about
    (first order), and kept a Gamma distribution.

    Returns
    -------
    DataFrame, one row a machine
        ``machine``, ``wears_as``, ``pace`` (wear speed z^(1/k)), ``low``, ``high`` (90 %),
        ``hazard`` (z), ``look`` (see `wearcast.logbook.tables.LOOKS`).
    """
    params = class_params(block.terms, block.mean[None], name, floors, group.effect_names)
    shape = float(np.exp(params.log_shape[0]))
    if params.spread[0] == 0 or not group.machines:
        z, stay = np.ones(len(group.machines)), np.full(len(group.machines), np.inf)
    else:
        z, stay, slopes = _pace_mean_slopes(group, params)
        terms = _class_terms(name, floors, group.effect_names)
        at = [block.terms.index(term) for term in terms]
        doubt = np.einsum("mi,ij,mj->m", slopes, block.cov[np.ix_(at, at)], slopes)
        stay = 1 / (1 / stay + doubt)
    low, high, look = _gamma_words(z, stay)
    return pd.DataFrame(
        {
            "machine": np.asarray(group.machines, dtype=object),
            "wears_as": name,
            "pace": z ** (1 / shape),
            "low": low ** (1 / shape),
            "high": high ** (1 / shape),
            "hazard": z,
            "look": look,
        }
    )


def _class_terms(name: str, floors: tuple[str, ...], effects: tuple[str, ...]) -> list[str]:
    """Terms of a class in the order of the slopes."""
    rates = [f"log rate[{name}, {floor}]" for floor in floors]
    return [
        *rates,
        *(f"{effect}[{name}]" for effect in effects),
        f"log shape[{name}]",
        f"log spread[{name}]",
    ]


def _gamma_words(z: np.ndarray, stay: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """5 % and 95 % points of Gamma(stay, mean z), and whether the machine is worth a look."""
    sure = np.isinf(stay)
    shape = np.where(sure, 1.0, stay)
    low, high = (np.where(sure, z, gammaincinv(shape, p) * z / shape) for p in (0.05, 0.95))
    above = np.where(sure, 0.0, 1 - gammainc(shape, FAST * shape / z))
    below = np.where(sure, 0.0, gammainc(shape, SLOW * shape / z))
    look = np.select([above > SURE, below > SURE], ["wears fast", "wears slow"], "")
    return low, high, look.astype(object)
