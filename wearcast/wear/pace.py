"""A machine's pace, given the fit.

Pace z multiplies the hazard. Given the parameters its posterior is Gamma(1/v + d, rate 1/v + L),
with d worn ends and L the summed D^k of the machine's spells of one class. What people are shown
is the wear speed, z^(1/k): how many times faster than the fleet the machine wears.
"""

from typing import NamedTuple

import numpy as np
import pandas as pd
from scipy.special import gammainc, gammaincc
from scipy.stats import chi2, norm

from wearcast.wear.blocks import ClassParams, class_block, class_params, spread_out
from wearcast.wear.fitting.likelihood import machine_counts
from wearcast.wear.gather import spells_for
from wearcast.wear.records import Block, ClassSpells
from wearcast.wear.streams import machine_stream

FAST, SLOW, SURE = 1.25, 0.8, 0.95
"""Worth a look: P(z > FAST) > SURE or P(z < SLOW) > SURE."""
PAIRS = 20
"""Half the number of parameter draws that the machine table is mixed over."""
_AROUND = np.array([-3.0, -2.5, -2.1, -1.8, -1.5, -1.2, -0.8, 0.8, 1.2, 1.5, 1.8, 2.1, 2.5, 3.0])
"""Where the mixture is looked up, in standard deviations."""
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


def machine_paces(
    name: str,
    group: ClassSpells,
    block: Block,
    floors: tuple[str, ...],
    others: tuple[str, ...] = (),
) -> pd.DataFrame:
    """Pace of each machine of a class; `others` carry the class but have no spell in the fit.

    The intervals and the look mix the posteriors under draws of the parameters, so that what the
    parameters themselves are uncertain about is in them.

    Returns
    -------
    DataFrame, one row a machine
        ``machine``, ``wears_as``, ``pace`` (wear speed z^(1/k)), ``low``, ``high`` (90 %),
        ``hazard`` (z, posterior mean at the estimate), ``look`` (see
        `wearcast.logbook.schema.tables.LOOKS`).
    """
    block = class_block(block, name, floors, group.effect_names)
    point = class_params(block.terms, block.mean[None], name, floors, group.effect_names)
    shape, alike = float(np.exp(point.log_shape[0])), point.spread[0] == 0
    machines = [*group.machines, *others]
    hazard = np.ones(len(machines))
    low, high = hazard, hazard
    look = np.full(len(hazard), "", dtype=object)
    if len(hazard) and not alike:
        stay, pull = _gamma_of(group, point, len(others))
        hazard = (stay / pull)[:, 0]
        draws = _table_draws(block, len(group.machines))
        drawn = class_params(block.terms, draws, name, floors, group.effect_names)
        low, high, look = _mixed_words(
            *_gamma_of(group, drawn, len(others)), np.exp(drawn.log_shape)
        )
    return pd.DataFrame(
        {
            "machine": np.asarray(machines, dtype=object),
            "wears_as": name,
            "pace": hazard ** (1 / shape),
            "low": low,
            "high": high,
            "hazard": hazard,
            "look": look,
        }
    )


def _gamma_of(
    group: ClassSpells, params: ClassParams, others: int
) -> tuple[np.ndarray, np.ndarray]:
    """Shape and rate of each machine's posterior pace, by draw: arrays (machines, draws)."""
    worn, load = machine_exposure(group, params)
    worn, load = np.append(worn, np.zeros(others)), np.pad(load, ((0, others), (0, 0)))
    return 1 / params.spread + worn[:, None], 1 / params.spread + load


def _table_draws(block: Block, machines: int) -> np.ndarray:
    """Draws of a block's parameters in pairs around the mean; the same for the same block.

    The numbers of each term lie evenly (a Latin hypercube), so that so few draws have as much
    doubt in them as many would. How doubtful the parameters are is itself estimated from so many
    machines: their tails are a t distribution's, the prior of log v counting as two machines more
    (a machine tells log v with a variance of 2, the prior of variance 1 as much as two).
    """
    rng = machine_stream(0, "", f"machine table {block.name}")
    even = (np.arange(PAIRS) + 0.5) / PAIRS
    normal = norm.ppf(0.5 + even / 2)
    normal /= np.sqrt(np.mean(normal**2))
    noise = rng.permuted(np.tile(normal[:, None], len(block.mean)), axis=0)
    noise *= rng.choice([-1.0, 1.0], noise.shape)
    if machines:
        free = machines + 2
        noise *= np.sqrt(free / chi2.ppf(rng.permutation(even), free))[:, None]
    return spread_out(block, np.vstack([noise, -noise]))


def _mixed_words(
    stay: np.ndarray, pull: np.ndarray, shape: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """5 % and 95 % points of the wear speed over all draws, and whether to look."""
    logs = np.log(stay / pull) / shape
    middle = logs.mean(axis=1)
    swing = np.sqrt(logs.var(axis=1) + (1 / stay / shape**2).mean(axis=1))
    points = middle[:, None] + swing[:, None] * _AROUND
    # A spread without bound (data only) makes swings that no number holds.
    hazard = np.exp(np.minimum(points[:, :, None] * shape, 300.0))
    below = gammainc(stay[:, None], pull[:, None] * hazard).mean(axis=2)
    low, high = (np.exp(np.minimum(_look_up(p, below, points), 300.0)) for p in (0.05, 0.95))
    fast = gammaincc(stay, FAST * pull).mean(axis=1) > SURE
    slow = gammainc(stay, SLOW * pull).mean(axis=1) > SURE
    look = np.select([fast, slow], ["wears fast", "wears slow"], "").astype(object)
    return low, high, look


def _look_up(p: float, chance: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Where each row's rising chance passes p, by straight lines."""
    after = np.clip((chance < p).sum(axis=1), 1, chance.shape[1] - 1)
    row = np.arange(len(chance))
    c0, c1 = chance[row, after - 1], chance[row, after]
    part = np.clip((p - c0) / np.maximum(c1 - c0, 1e-12), 0, 1)
    return np.asarray(points[row, after - 1] * (1 - part) + points[row, after] * part)
