"""Where each edge at work stands at as-of: its wear so far, and which edge of the part it is.

What the log does not know is drawn as it would be found in the long run: the age of an edge that
is met at a time without meaning has a density in proportion to its chance to be still good. An
edge that was watched for some hours without an end is at least so old.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.wear.life import Laws, first_end
from wearcast.wear.records import WearDraws
from wearcast.wear.streams import machine_stream

GRID = 65


@dataclass(frozen=True, slots=True)
class Start:
    """State of the edges at as-of."""

    wear: np.ndarray
    """array (slots, draws) wear so far ``D``"""
    hours: np.ndarray
    """array (slots, draws) run hours so far [h]"""
    edge: np.ndarray
    """array (slots, draws) int16, 1 is the first"""


def laws_at(wear: WearDraws, mix: np.ndarray) -> Laws:
    """What ends the edges of each slot on a floor mix (slots, floors); arrays (slots, draws)."""
    return Laws(
        np.einsum("sf,sdf->sd", mix, wear.rate),
        wear.shape,
        wear.pace,
        np.einsum("sf,sdf->sd", mix, wear.damage),
        wear.off_rate,
        wear.off_shape,
    )


def start_states(
    running: pd.DataFrame, exposure: pd.DataFrame, wear: WearDraws, laws: Laws, seed: int
) -> Start:
    """Wear so far and edge of every position carried at as-of.

    Parameters
    ----------
    running, exposure : DataFrame
        As in `wearcast.history.story.History`: positions carried, and their hours on each floor.
    wear : WearDraws
    laws : Laws
        In the floor mix at as-of, arrays (slots, draws).
    seed : int
    """
    age = running["age"].to_numpy(dtype=str)
    edge = running["edge"].to_numpy(dtype=float)
    edges = running["edges"].to_numpy(dtype=np.int64)
    floors = exposure.to_numpy(dtype=float)
    so_far = np.einsum("sf,sdf->sd", floors, wear.rate)
    hours = np.repeat(floors.sum(axis=1)[:, None], so_far.shape[1], axis=1)
    so_far[age != "known"] = 0.0
    hours[age != "known"] = 0.0
    at = np.where(np.isnan(edge), 1.0, np.clip(edge, 1, edges)).astype(np.int16)
    number = np.repeat(at[:, None], so_far.shape[1], axis=1)
    number[age == "empty"] = 1
    unsure_edge = np.isnan(edge) & (edges > 1) & np.isin(age, ["known", "unknown"])
    for slot in map(int, np.flatnonzero((age == "unknown") | unsure_edge)):
        place = (running["machine"].iloc[slot], f"start at {running['position'].iloc[slot]}")
        dice = machine_stream(seed, *place).random((2, so_far.shape[1]))
        own = Laws(*(array[slot] for array in laws))
        if age[slot] == "unknown":
            watched = float(floors[slot].sum())
            hours[slot] = long_run_age(own, dice[0], watched)
            so_far[slot] = hours[slot] * own.rate
        if unsure_edge[slot]:
            number[slot] = long_run_edge(_early(wear, own, slot, int(edges[slot])), dice[1])
    return Start(so_far, hours, number)


def long_run_age(laws: Laws, dice: np.ndarray, watched: float = 0.0) -> np.ndarray:
    """Age of an edge met at any time, watched for some hours without an end [h]; array (draws,).

    The age in a renewal process in the long run has the density S(h) / mean life, with S the
    chance to be still good after h hours [1]_; S counts all ways to end. No end while it was
    watched means that it is at least so old.

    References
    ----------
    .. [1] D. R. Cox, Renewal Theory, Methuen, London (1962), ch. 5 (remembered).
    """
    span = np.maximum(laws.span() - watched, 0.02 * laws.span())
    hours = watched + span[:, None] * np.linspace(0.0, 1.0, GRID) ** 2
    wide = Laws(*(np.asarray(array)[:, None] for array in laws))
    good = np.exp(-(wide.hazard(hours) - wide.hazard(hours[:, :1])))
    steps = np.diff(hours, axis=1) * (good[:, 1:] + good[:, :-1]) / 2.0
    area = np.concatenate([np.zeros((len(span), 1)), np.cumsum(steps, axis=1)], axis=1)
    wanted = dice * area[:, -1]
    after = np.clip((area < wanted[:, None]).sum(axis=1), 1, GRID - 1)[:, None]
    low = np.take_along_axis(area, after - 1, axis=1)[:, 0]
    step = np.maximum(np.take_along_axis(steps, after - 1, axis=1)[:, 0], 1e-300)
    before = np.take_along_axis(hours, after - 1, axis=1)[:, 0]
    part = np.clip((wanted - low) / step, 0.0, 1.0)
    return np.asarray(before + part * (np.take_along_axis(hours, after, axis=1)[:, 0] - before))


def _early(wear: WearDraws, laws: Laws, slot: int, edges: int) -> np.ndarray:
    """Chance that the end of each edge but the last ends the part; array (edges - 1, draws)."""
    end = first_end(laws)
    chances = np.stack([end.worn, end.torn, end.taken_off])
    habit = wear.habit[wear.habit_of[slot], :, : edges - 1]
    return np.asarray((chances[:, None, :] * habit).sum(axis=0))


def long_run_edge(early: np.ndarray, dice: np.ndarray) -> np.ndarray:
    """Edge at work at a time without meaning: edge j is as frequent as parts that reach it.

    Parameters
    ----------
    early : array (edges - 1, draws)
        Chance that the end of an edge ends the part.
    dice : array (draws,)
    """
    reached = np.cumprod(np.vstack([np.ones_like(dice), 1.0 - early]), axis=0)
    passed = np.cumsum(reached, axis=0) / reached.sum(axis=0)
    return np.asarray(1 + (passed[:-1] < dice).sum(axis=0)).astype(np.int16)
