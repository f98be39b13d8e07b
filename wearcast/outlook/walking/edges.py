"""Edge after edge, for many positions and draws at once, on the machine's own run hours.

Letters: ``D`` wear of an edge (dimensionless), ``k`` shape, ``z`` pace (a hazard multiplier).
An edge ends worn out, where ``D' = (D^k + E/z)^(1/k)`` with E ~ Exp(1), or before that for
another reason: damaged, at a hazard that depends on the floor, or removed, at a constant hazard.
Random numbers come in one block an edge from a stream of the machine and position, so that
adding a machine, or more days, leaves all the others as they were. Single precision throughout:
a thousandth of an hour is far below what a meter shows, and memory is what the walk waits for.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.outlook.walking.clock import hours_to_use_up, stretch_at
from wearcast.wear.records import WearDraws
from wearcast.wear.streams import machine_stream

WORN, DAMAGED, REMOVED, REFIT = 0, 1, 2, 3
TINY = np.float32(1e-30)
MOST_A_DAY = 4.0
"""No edge lasts less than a quarter of the machine's hours of an average day: a pad's face on the
roughest floor lasts a shift. Where the log says next to nothing, lives of seconds are drawn too;
they would make thousands of changes of which none is meant."""
THINNED = 0.75
"""Rows that have run out of hours are dropped when fewer than this share are still live."""


@dataclass(frozen=True, slots=True)
class Lanes:
    """What wears and ends edges; a row is a slot and a draw, a stretch a time of one floor mix."""

    row: np.ndarray
    """array (rows,) slot x draws + draw, ascending"""
    wear: np.ndarray
    """array (rows, stretches) wear a run hour [1/h]"""
    other: np.ndarray
    """array (rows, stretches) hazard of damage and removal together [1/h]"""
    damaged: np.ndarray
    """array (rows, stretches) share of damage in it"""
    bounds: np.ndarray
    """array (rows, stretches) run hours at which each stretch ends [h]; the last one is far off"""
    pace: np.ndarray
    """array (rows,) ``z``"""
    one_over_shape: np.ndarray
    """array (rows,) ``1/k``"""
    replaced_worn: np.ndarray
    replaced_damaged: np.ndarray
    """arrays (rows,) chance that the part comes off though edges are left"""
    edges: np.ndarray
    """int16 array (rows,) edges of the part"""
    most_hours: np.ndarray
    """array (rows,) run hours by the end of the path [h]"""
    least_life: np.ndarray
    """array (rows,) run hours that any new edge lasts [h], see `MOST_A_DAY`"""

    def of(self, some: np.ndarray) -> "Lanes":
        """The same for some of the rows."""
        return Lanes(*(getattr(self, name)[some] for name in self.__dataclass_fields__))


@dataclass(frozen=True, slots=True)
class Ends:
    """Edges that ended in one step of the walk; of turns only those of the first step."""

    row: np.ndarray
    """array (ends,) slot x draws + draw, ascending"""
    hours: np.ndarray
    """array (ends,) run hours after as-of [h]"""
    cause: np.ndarray
    replaced: np.ndarray
    """array (ends,) True where the part came off, False where it was turned"""
    edges_lost: np.ndarray


def lay_lanes(
    wear: WearDraws,
    mix: np.ndarray,
    bounds: np.ndarray,
    edges: np.ndarray,
    most_hours: np.ndarray,
    a_day: np.ndarray,
) -> Lanes:
    """What wears and ends the edges of some slots.

    Parameters
    ----------
    wear : WearDraws
        Of these slots only.
    mix : array (slots, stretches, floors)
    bounds : array (slots, draws, stretches), h
    edges : array (slots,)
    most_hours : array (slots, draws), h
    a_day : array (slots, draws), h
        Run hours of an average day.
    """
    slots, draws = wear.shape.shape
    flat = (slots * draws, mix.shape[1])
    damage = np.einsum("stf,sdf->sdt", mix, wear.damage)
    other = damage + wear.removal[:, :, None]
    share = np.divide(damage, other, out=np.zeros_like(other), where=other > 0)
    return Lanes(
        row=np.arange(flat[0], dtype=np.int32),
        wear=_single(np.einsum("stf,sdf->sdt", mix, wear.rate)).reshape(flat),
        other=_single(other).reshape(flat),
        damaged=_single(share).reshape(flat),
        bounds=_single(bounds).reshape(flat),
        pace=_single(wear.pace).ravel(),
        one_over_shape=_single(1.0 / wear.shape).ravel(),
        replaced_worn=_single(wear.replaced_worn).ravel(),
        replaced_damaged=_single(wear.replaced_damaged).ravel(),
        edges=np.repeat(edges.astype(np.int16), draws),
        most_hours=_single(most_hours).ravel(),
        least_life=_single(a_day / MOST_A_DAY).ravel(),
    )


def _single(values: np.ndarray) -> np.ndarray:
    return np.asarray(values, dtype=np.float32)


class Dice:
    """Random numbers of some slots, one block an edge from the stream of each position."""

    def __init__(self, slots: pd.DataFrame, draws: int, seed: int) -> None:
        self._draws = draws
        self._streams = [
            machine_stream(seed, machine, f"edges at {position}")
            for machine, position in zip(slots["machine"], slots["position"], strict=True)
        ]

    def roll(self, row: np.ndarray) -> np.ndarray:
        """Two Exp(1) and one uniform number for each row: float32 array (3, rows)."""
        slot = row // self._draws
        slots = slot[np.flatnonzero(np.diff(slot, prepend=-1))]
        block = np.empty((3, len(self._streams), self._draws), dtype=np.float32)
        for one in slots:
            self._streams[one].standard_exponential(dtype=np.float32, out=block[0, one])
            self._streams[one].standard_exponential(dtype=np.float32, out=block[1, one])
            self._streams[one].random(dtype=np.float32, out=block[2, one])
        flat = block.reshape(3, -1)
        return flat if len(row) == flat.shape[1] else flat[:, row]


def walk_edges(lanes: Lanes, worn: np.ndarray, edge: np.ndarray, dice: Dice) -> Iterator[Ends]:
    """Edge after edge until every row has run out of hours.

    Parameters
    ----------
    lanes : Lanes
    worn : array (rows,)
        Wear ``D`` of the edge at work at as-of.
    edge : int16 array (rows,)
    dice : Dice

    Yields
    ------
    Ends
        All ends of the first step; then the replacements of each further step.
    """
    hours = np.where(lanes.most_hours > 0, np.float32(0.0), np.float32(np.inf))
    so_far: np.ndarray | None = worn
    while lanes.row.size:
        wait, other_wait, habit = dice.roll(lanes.row)
        worn_out = _worn_out(lanes, hours, so_far, wait)
        other = hours_to_use_up(other_wait, hours, lanes.other, lanes.bounds)
        share = stretch_at(lanes.damaged, other, lanes.bounds)
        least = hours + lanes.least_life if so_far is None else hours
        hours = np.maximum(np.minimum(worn_out, other), least)
        within = hours <= lanes.most_hours
        replaced = (edge >= lanes.edges) | _comes_off(lanes, worn_out <= other, share, habit)
        shown = np.flatnonzero(within if so_far is not None else within & replaced)
        worn_first = worn_out[shown] <= other[shown]
        damaged = habit[shown] < share[shown]
        yield Ends(
            row=lanes.row[shown],
            hours=hours[shown],
            cause=np.where(worn_first, WORN, np.where(damaged, DAMAGED, REMOVED)).astype(np.int8),
            replaced=replaced[shown],
            edges_lost=(lanes.edges[shown] - edge[shown]).astype(np.int8),
        )
        edge, so_far = np.where(replaced, np.int16(1), edge + np.int16(1)), None
        live = np.flatnonzero(within)
        if live.size < THINNED * within.size:
            lanes, hours, edge = lanes.of(live), hours[live], edge[live]
        else:
            hours[~within] = np.inf


def _worn_out(
    lanes: Lanes, hours: np.ndarray, so_far: np.ndarray | None, wait: np.ndarray
) -> np.ndarray:
    """Run hours at which the edges at work would be worn out; ``so_far`` None: they are new."""
    if so_far is not None:
        load = so_far ** (1.0 / lanes.one_over_shape.astype(float)) + wait / lanes.pace
        left = load ** lanes.one_over_shape.astype(float) - so_far
        return hours_to_use_up(_single(np.maximum(left, 0.0)), hours, lanes.wear, lanes.bounds)
    # exp(log) in single precision runs many times faster than a power, and is as good to 1e-6.
    lasts = np.exp(lanes.one_over_shape * np.log(np.maximum(wait / lanes.pace, TINY)))
    return hours_to_use_up(lasts, hours, lanes.wear, lanes.bounds)


def _comes_off(
    lanes: Lanes, worn_first: np.ndarray, share: np.ndarray, habit: np.ndarray
) -> np.ndarray:
    """Whether the part comes off though edges are left: by the site's habit, or when removed.

    ``habit`` chooses between damage (below ``share``) and removal; given damage it is uniform
    below the share, and so serves for the habit too.
    """
    at_damage = (habit < lanes.replaced_damaged * share) | (habit >= share)
    return np.where(worn_first, habit < lanes.replaced_worn, at_damage)
