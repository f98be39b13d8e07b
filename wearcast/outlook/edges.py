"""Edge after edge, for many positions and draws at once, on the machine's own run hours.

Letters: ``D`` wear of an edge (dimensionless), ``k`` shape, ``z`` pace (a hazard multiplier).
An edge ends at the first of three: worn out, where ``D' = (D^k + E/z)^(1/k)`` with E ~ Exp(1);
damaged, at a hazard that depends on the floor; or removed, at a constant hazard. Random numbers
come in one block an edge from a stream of the machine and position, so that adding a machine, or
more days, leaves all the others as they were.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.outlook.clock import hours_to_use_up
from wearcast.wear.records import WearDraws
from wearcast.wear.streams import machine_stream

WORN, DAMAGED, REMOVED, REFIT = 0, 1, 2, 3


@dataclass(frozen=True, slots=True)
class Rows:
    """Positions laid flat: a row is a slot and a draw; a stretch is a time of one floor mix."""

    wear: np.ndarray
    """array (rows, stretches) wear a run hour [1/h]"""
    damage: np.ndarray
    """array (rows, stretches) damage hazard a run hour [1/h]"""
    bounds: np.ndarray
    """array (rows, stretches) run hours at which each stretch ends [h]; the last one inf"""
    removal: np.ndarray
    """array (rows,) planned and other ends a run hour [1/h]"""
    shape: np.ndarray
    pace: np.ndarray
    replaced_worn: np.ndarray
    replaced_damaged: np.ndarray
    edges: np.ndarray
    """array (rows,) int16, edges of the part"""
    most_hours: np.ndarray
    """array (rows,) run hours by the end of the path [h]"""


@dataclass(frozen=True, slots=True)
class Ends:
    """Edges that ended, one entry an end; an edge a row at most."""

    row: np.ndarray
    hours: np.ndarray
    """Run hours after as-of [h]."""
    cause: np.ndarray
    replaced: np.ndarray
    """True where the part came off, False where it was turned."""
    edges_lost: np.ndarray


def lay_flat(
    wear: WearDraws, mix: np.ndarray, bounds: np.ndarray, edges: np.ndarray, most_hours: np.ndarray
) -> Rows:
    """Rows of slot and draw.

    Parameters
    ----------
    wear : WearDraws
        Of these slots only.
    mix : array (slots, stretches, floors)
    bounds : array (slots, draws, stretches), h
    edges : array (slots,)
    most_hours : array (slots, draws), h
    """
    slots, draws = wear.shape.shape
    flat = (slots * draws, mix.shape[1])
    return Rows(
        wear=np.einsum("stf,sdf->sdt", mix, wear.rate).reshape(flat),
        damage=np.einsum("stf,sdf->sdt", mix, wear.damage).reshape(flat),
        bounds=bounds.reshape(flat),
        removal=wear.removal.ravel(),
        shape=wear.shape.ravel(),
        pace=wear.pace.ravel(),
        replaced_worn=wear.replaced_worn.ravel(),
        replaced_damaged=wear.replaced_damaged.ravel(),
        edges=np.repeat(edges.astype(np.int16), draws),
        most_hours=most_hours.ravel(),
    )


class Dice:
    """Random numbers of a chunk of slots, one block an edge from the stream of each position."""

    def __init__(self, slots: pd.DataFrame, draws: int, seed: int) -> None:
        self._draws = draws
        self._streams = [
            machine_stream(seed, machine, f"edges at {position}")
            for machine, position in zip(slots["machine"], slots["position"], strict=True)
        ]

    def roll(self, live: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Three Exp(1) and one uniform number for each live row: (3, live) and (live,)."""
        waits = np.empty((len(self._streams), 3, self._draws), dtype=np.float32)
        habit = np.empty((len(self._streams), self._draws), dtype=np.float32)
        for slot in np.unique(live // self._draws):
            self._streams[slot].standard_exponential(dtype=np.float32, out=waits[slot])
            self._streams[slot].random(dtype=np.float32, out=habit[slot])
        slot, draw = np.divmod(live, self._draws)
        return waits[slot, :, draw].T, habit.ravel()[live]


def walk_edges(rows: Rows, worn: np.ndarray, edge: np.ndarray, dice: Dice) -> Iterator[Ends]:
    """Edge after edge until every row has run out of hours; yields the ends of each step.

    Parameters
    ----------
    rows : Rows
    worn : array (rows,)
        Wear ``D`` of the edge at work at as-of.
    edge : int16 array (rows,)
    dice : Dice
    """
    live = np.flatnonzero(rows.most_hours > 0)
    hours, edge, worn = np.zeros(len(edge)), edge.copy(), worn.copy()
    load = worn**rows.shape
    while live.size:
        waits, habit = dice.roll(live)
        end, cause = _first_end(rows, live, hours[live], worn[live], load[live], waits)
        within = end <= rows.most_hours[live]
        live, end, cause, habit = live[within], end[within], cause[within], habit[within]
        replaced = _replaced(rows, live, edge[live], cause, habit)
        lost = np.where(replaced, rows.edges[live] - edge[live], 0)
        yield Ends(live, end, cause, replaced, lost)
        hours[live] = end
        edge[live] = np.where(replaced, 1, edge[live] + 1)
        worn[live] = load[live] = 0.0


def _replaced(
    rows: Rows, live: np.ndarray, edge: np.ndarray, cause: np.ndarray, habit: np.ndarray
) -> np.ndarray:
    """Whether the part comes off: after its last edge, when removed, or by the site's habit."""
    chance = np.where(cause == WORN, rows.replaced_worn[live], rows.replaced_damaged[live])
    return (edge >= rows.edges[live]) | (cause == REMOVED) | (habit < chance)


def _first_end(
    rows: Rows,
    live: np.ndarray,
    hours: np.ndarray,
    worn: np.ndarray,
    load: np.ndarray,
    waits: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """Run hours at which the edge at work ends, and why."""
    bounds = rows.bounds[live]
    lasts = (load + waits[0] / rows.pace[live]) ** (1.0 / rows.shape[live])
    worn_out = hours_to_use_up(np.maximum(lasts - worn, 0.0), hours, rows.wear[live], bounds)
    damaged = hours_to_use_up(waits[1].astype(float), hours, rows.damage[live], bounds)
    hazard = rows.removal[live]
    removed = hours + np.divide(waits[2], hazard, out=np.full(len(live), np.inf), where=hazard > 0)
    end = np.minimum(np.minimum(worn_out, damaged), removed)
    cause = np.where(end == worn_out, WORN, np.where(end == damaged, DAMAGED, REMOVED))
    return end, cause.astype(np.int8)
