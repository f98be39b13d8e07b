"""Where each edge at work stands at as-of: its wear so far, and which edge of the part it is.

Letters: ``D`` wear (dimensionless), ``k`` shape, ``z`` pace, as in `wearcast.wear.records`.
What the log does not know is drawn as it would be found in the long run: the age of an edge that
is met at a time without meaning has a density in proportion to its chance to be still good.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.wear.records import WearDraws
from wearcast.wear.streams import machine_stream

GRID = 65
SURELY_GONE = 14.0
"""A cumulative hazard after which an edge is gone for practical purposes: exp(-14) = 8e-7."""


@dataclass(frozen=True, slots=True)
class Start:
    """State of the edges at as-of."""

    wear: np.ndarray
    """array (slots, draws) wear so far ``D``"""
    edge: np.ndarray
    """array (slots, draws) int16, 1 is the first"""


@dataclass(frozen=True, slots=True)
class Speeds:
    """Speeds in the floor mix at as-of, each array (slots, draws), all in 1/h."""

    wear: np.ndarray
    damage: np.ndarray
    removal: np.ndarray


def start_states(
    running: pd.DataFrame, exposure: pd.DataFrame, wear: WearDraws, speeds: Speeds, seed: int
) -> Start:
    """Wear so far and edge of every position carried at as-of.

    Parameters
    ----------
    running, exposure : DataFrame
        As in `wearcast.history.story.History`: positions carried, and their hours on each floor.
    wear : WearDraws
    speeds : Speeds
    seed : int
    """
    age = running["age"].to_numpy(dtype=str)
    edge = running["edge"].to_numpy(dtype=float)
    edges = running["edges"].to_numpy(dtype=np.int64)
    so_far = np.einsum("sf,sdf->sd", exposure.to_numpy(dtype=float), wear.rate)
    so_far[age != "known"] = 0.0
    at = np.where(np.isnan(edge), 1.0, np.clip(edge, 1, edges)).astype(np.int16)
    number = np.repeat(at[:, None], so_far.shape[1], axis=1)
    number[age == "empty"] = 1
    unsure_edge = np.isnan(edge) & (edges > 1) & np.isin(age, ["known", "unknown"])
    for slot in map(int, np.flatnonzero((age == "unknown") | unsure_edge)):
        place = (running["machine"].iloc[slot], f"start at {running['position'].iloc[slot]}")
        dice = machine_stream(seed, *place).random((2, so_far.shape[1]))
        hours, mean_life = long_run_age(wear, speeds, slot, dice[0])
        if age[slot] == "unknown":
            so_far[slot] = hours * speeds.wear[slot]
        if unsure_edge[slot]:
            early = _ends_the_part(wear, speeds, slot, mean_life)
            number[slot] = long_run_edge(early, int(edges[slot]), dice[1])
    return Start(so_far, number)


def long_run_age(
    wear: WearDraws, speeds: Speeds, slot: int, dice: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Age of an edge met at any time, and its mean life, both in hours, for each draw.

    The age in a renewal process in the long run has the density S(h) / mean life, with S the
    chance to be still good after h hours [1]_; S counts all three ways to end.

    References
    ----------
    .. [1] D. R. Cox, Renewal Theory, Methuen, London (1962), ch. 5 (remembered).
    """
    k, z = wear.shape[slot], wear.pace[slot]
    rate, other = speeds.wear[slot], speeds.damage[slot] + speeds.removal[slot]
    slowest = np.maximum(other, 1e-12)
    span = np.minimum((SURELY_GONE / z) ** (1.0 / k) / rate, SURELY_GONE / slowest)
    hours = span[:, None] * np.linspace(0.0, 1.0, GRID) ** 2
    good = np.exp(-z[:, None] * (rate[:, None] * hours) ** k[:, None] - other[:, None] * hours)
    steps = np.diff(hours, axis=1) * (good[:, 1:] + good[:, :-1]) / 2.0
    area = np.concatenate([np.zeros((len(k), 1)), np.cumsum(steps, axis=1)], axis=1)
    wanted = dice * area[:, -1]
    after = np.clip((area < wanted[:, None]).sum(axis=1), 1, GRID - 1)[:, None]
    low = np.take_along_axis(area, after - 1, axis=1)[:, 0]
    part = (wanted - low) / np.take_along_axis(steps, after - 1, axis=1)[:, 0]
    before = np.take_along_axis(hours, after - 1, axis=1)[:, 0]
    return before + part * (np.take_along_axis(hours, after, axis=1)[:, 0] - before), area[:, -1]


def _ends_the_part(wear: WearDraws, speeds: Speeds, slot: int, mean_life: np.ndarray) -> np.ndarray:
    """Chance, for each draw, that the end of an edge that is not the last ends the part too."""
    damaged = speeds.damage[slot] * mean_life
    removed = speeds.removal[slot] * mean_life
    worn = np.clip(1.0 - damaged - removed, 0.0, 1.0)
    early = worn * wear.replaced_worn[slot] + damaged * wear.replaced_damaged[slot] + removed
    result: np.ndarray = np.clip(early, 0.0, 1.0)
    return result


def long_run_edge(early: np.ndarray, edges: int, dice: np.ndarray) -> np.ndarray:
    """Edge at work at a time without meaning: edge j is as frequent as parts that reach it."""
    goes_on = np.clip(1.0 - early, 1e-9, 1.0 - 1e-9)
    edge = np.log1p(-dice * (1.0 - goes_on**edges)) / np.log(goes_on)
    return np.clip(edge.astype(np.int16) + 1, 1, edges).astype(np.int16)
