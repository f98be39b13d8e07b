"""How fast each machine wears its parts, with its range: rows of machines.csv."""

from collections.abc import Mapping

import numpy as np
import pandas as pd
from scipy.special import gammainc, gammaincc, gammaincinv, ndtri

from wearcast.wear.life import mean_hazard, speed_of
from wearcast.wear.pace import Common, Exposure, common_rates, machine_exposure
from wearcast.wear.posterior import Drawn, class_params, spread_out
from wearcast.wear.records import Block, ClassSpells
from wearcast.wear.streams import machine_stream

FAST, SLOW, SURE = 1.25, 0.8, 0.95
"""Worth a look: P(hazard > FAST) > SURE or P(hazard < SLOW) > SURE."""
PAIRS = 12
"""Half the number of parameter draws that the machine table is mixed over."""
MACHINES_AT_ONCE = 4_000
"""Machines whose mixtures are worked out together: bounds what is held of them."""
_COMMON, _COMMON_WEIGHTS = np.polynomial.hermite_e.hermegauss(3)
_COMMON_WEIGHTS = _COMMON_WEIGHTS / _COMMON_WEIGHTS.sum()
_AROUND = np.array([-3.0, -2.5, -2.1, -1.8, -1.5, -1.2, -0.8, 0.8, 1.2, 1.5, 1.8, 2.1, 2.5, 3.0])
"""Where the mixture is looked up, in standard deviations."""
_LOW, _HIGH = [3, 4], [9, 10]
_REST = [0, 1, 2, 5, 6, 7, 8, 11, 12, 13]
"""Of these, the pairs that 5 % and 95 % of a normal mixture lie between, and the others."""
_UNSEEN = np.array([0.0] * 5 + [0.5] * 5 + [1.0] * 4)
"""Chance below each that has not been looked at: on the side of 5 and 95 % where it must be."""


def machine_paces(
    classes: Mapping[str, ClassSpells],
    block: Block,
    floors: tuple[str, ...],
    carrying: Mapping[str, set[str]],
) -> pd.DataFrame:
    """Pace of each machine in each class that it carries or has a spell of.

    Parameters
    ----------
    classes : mapping of ClassSpells
    block : Block
        Of the law ``worn``.
    floors : tuple of str
    carrying : mapping of set of str
        Machines that carry a class now, by class.

    Returns
    -------
    DataFrame, one row a machine and class
        ``machine``, ``wears_as``, ``pace`` (wear speed e^m z^(1/k)), ``low``, ``high`` (90 %),
        ``hazard`` (its k-th power), ``look`` (see `wearcast.logbook.schema.tables.LOOKS`).

    Notes
    -----
    The intervals and the look mix the posteriors under draws of the parameters, so that what the
    parameters themselves are uncertain about is in them.
    """
    shown = {name: {*group.machines, *carrying.get(name, set())} for name, group in classes.items()}
    machines = tuple(sorted(set().union(*shown.values())))
    noise = _table_draws(block, len(machines))
    values = np.vstack([block.mean[None], noise])
    if not machines:
        none = np.zeros(0)
        return _pace_rows([], "", none, none, none, none, none.astype(object))
    params = {
        name: class_params(Drawn(block.terms, values), name, floors, group.effect_names)
        for name, group in classes.items()
        if shown[name]
    }
    exposures = {
        name: machine_exposure(classes[name], one, machines) for name, one in params.items()
    }
    sds = np.full(len(values), block.spreads["machine"].mean if "machine" in block.spreads else 0.0)
    common = common_rates(list(exposures.values()), sds, len(machines))
    at = {machine: row for row, machine in enumerate(machines)}
    tables = []
    for name, exposure in exposures.items():
        rows = np.array([at[machine] for machine in sorted(shown[name])], dtype=int)
        for some in np.array_split(rows, max(-(-len(rows) // MACHINES_AT_ONCE), 1)):
            paces = _class_paces(name, machines, some, exposure, common, block.machine_variance)
            tables.append(paces)
    return pd.concat(tables, ignore_index=True)


def _class_paces(
    name: str,
    machines: tuple[str, ...],
    rows: np.ndarray,
    exposure: Exposure,
    common: Common,
    variance: float,
) -> pd.DataFrame:
    """The rows of one class, against the machine of mean hazard; the first draw is the estimate."""
    names = [machines[row] for row in rows]
    still = np.ones(len(rows))
    if exposure.spread[0] == 0 and common.sd.max() < 1e-5:
        blank = np.full(len(rows), "", dtype=object)
        return _pace_rows(names, name, still, still, still, still, blank)
    steep = float(exposure.steep[0])
    mean, sd = common.mean[rows], common.sd[rows]
    usual = mean_hazard(variance, exposure.steep)
    stay, pull = _gamma_of(exposure, rows, mean)
    hazard = (stay / pull)[:, 0] * np.exp(steep * (mean[:, 0] - usual[0]))
    parts = []
    for node in _COMMON:
        moved = mean[:, 1:] + node * sd[:, 1:]
        parts.append(
            (
                moved - usual[1:],
                *(one[:, 1:] for one in _gamma_of(exposure, rows, mean + node * sd)),
            )
        )
    moved, stay, pull = (np.concatenate(pieces, axis=1) for pieces in zip(*parts, strict=True))
    weights = np.repeat(_COMMON_WEIGHTS, mean.shape[1] - 1) / (mean.shape[1] - 1)
    steeps = np.tile(exposure.steep[1:], len(_COMMON))
    pull = pull * np.exp(-steeps * moved)
    low, high, look = _mixed_words(stay, pull, steeps, weights)
    return _pace_rows(names, name, speed_of(hazard, steep), low, high, hazard, look)


def _pace_rows(
    machines: list[str],
    name: str,
    pace: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
    hazard: np.ndarray,
    look: np.ndarray,
) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "machine": np.asarray(machines, dtype=object),
            "wears_as": name,
            "pace": pace,
            "low": low,
            "high": high,
            "hazard": hazard,
            "look": look,
        }
    )


def _gamma_of(
    exposure: Exposure, rows: np.ndarray, common: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Shape and rate of each machine's posterior pace, by draw: arrays (rows, draws).

    Without a pace (v = 0) a gamma distribution that is as good as a point at 1.
    """
    one_over = 1 / np.maximum(exposure.spread, 1e-9)
    return (
        one_over + exposure.worn[rows],
        one_over + exposure.load[rows] * np.exp(exposure.steep * common),
    )


def _table_draws(block: Block, machines: int) -> np.ndarray:
    """Draws of a block's parameters in pairs around the mean; the same for the same block.

    The numbers of each term lie evenly (a Latin hypercube), so that so few draws have as much
    doubt in them as many would. How doubtful the parameters are is itself estimated from so many
    machines: their tails are a t distribution's, the prior of log v counting as two machines more
    (a machine tells log v with a variance of 2, the prior of variance 1 as much as two).
    """
    rng = machine_stream(0, "", f"machine table {block.name}")
    even = (np.arange(PAIRS) + 0.5) / PAIRS
    normal = ndtri(0.5 + even / 2)
    normal /= np.sqrt(np.mean(normal**2))
    noise = rng.permuted(np.tile(normal[:, None], len(block.mean)), axis=0)
    noise *= rng.choice([-1.0, 1.0], noise.shape)
    if machines:
        free = machines + 2
        noise *= np.sqrt(free / (2 * gammaincinv(free / 2, rng.permutation(even))))[:, None]
    return spread_out(block, np.vstack([noise, -noise]))


def _mixed_words(
    stay: np.ndarray, pull: np.ndarray, steep: np.ndarray, weights: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """5 % and 95 % points of the wear speed over all draws, and whether to look."""
    logs = np.log(stay / pull) / steep
    middle = logs @ weights
    swing = np.sqrt((logs - middle[:, None]) ** 2 @ weights + (1 / stay / steep**2) @ weights)
    points = middle[:, None] + swing[:, None] * _AROUND
    # Straight lines need the two points that p lies between, which are nearly always these.
    below = np.repeat(_UNSEEN[None], len(points), axis=0)

    def see(rows: np.ndarray, places: list[int]) -> None:
        for place in places:
            # A spread without bound (data only) makes swings that no number holds.
            hazard = np.exp(np.minimum(points[rows, place, None] * steep, 300.0))
            below[rows, place] = gammainc(stay[rows], pull[rows] * hazard) @ weights

    see(np.arange(len(points)), _LOW + _HIGH)
    around = (below[:, _LOW] < 0.05) == (True, False)
    around &= (below[:, _HIGH] < 0.95) == (True, False)
    see(np.flatnonzero(~around.all(axis=1)), _REST)
    low, high = (np.exp(np.minimum(_look_up(p, below, points), 300.0)) for p in (0.05, 0.95))
    fast, slow = np.zeros((2, len(points)), dtype=bool)
    # Where a point beyond the bound in every draw is not sure, the bound is not.
    some = (points[:, _LOW[1]] > np.log(FAST) / steep.max()) | (below[:, _LOW[1]] < 1 - SURE)
    fast[some] = gammaincc(stay[some], FAST * pull[some]) @ weights > SURE
    some = (points[:, _HIGH[0]] < np.log(SLOW) / steep.max()) | (below[:, _HIGH[0]] > SURE)
    slow[some] = gammainc(stay[some], SLOW * pull[some]) @ weights > SURE
    look = np.select([fast, slow], ["wears fast", "wears slow"], "").astype(object)
    return low, high, look


def _look_up(p: float, chance: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Where each row's rising chance passes p, by straight lines."""
    after = np.clip((chance < p).sum(axis=1), 1, chance.shape[1] - 1)
    row = np.arange(len(chance))
    c0, c1 = chance[row, after - 1], chance[row, after]
    part = np.clip((p - c0) / np.maximum(c1 - c0, 1e-12), 0, 1)
    return np.asarray(points[row, after - 1] * (1 - part) + points[row, after] * part)
