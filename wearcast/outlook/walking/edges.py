"""Edge after edge, for many positions and draws at once, on the machine's own run hours.

An edge ends at the first of three (`wearcast.wear.life`): worn out, damaged (at a hazard that
depends on the floor) or taken off (by its run hours). Random numbers come in one block an edge from
a stream of the machine and position, so that adding a machine, or more days, leaves all the others
as they were. Single precision throughout: a thousandth of an hour is far below what a meter shows,
and memory is what the walk waits for.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.outlook.walking.clock import hours_to_use_up
from wearcast.wear.life import power_at, power_left, wear_at, worn_out_at
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
    torn: np.ndarray
    """array (rows, stretches) hazard of damage [1/h]"""
    bounds: np.ndarray
    """array (rows, stretches) run hours at which each stretch ends [h]; the last one is far off"""
    pace: np.ndarray
    """array (rows,) ``z``"""
    one_over_shape: np.ndarray
    """array (rows,) ``1/k``"""
    off_rate: np.ndarray
    """array (rows,) ``g`` of being taken off [1/h]"""
    one_over_off: np.ndarray
    """array (rows,) ``1/c``"""
    edges: np.ndarray
    """int16 array (rows,) edges of the part"""
    most_hours: np.ndarray
    """array (rows,) run hours by the end of the path [h]"""
    least_life: np.ndarray
    """array (rows,) run hours that any new edge lasts [h], see `MOST_A_DAY`"""

    def of(self, some: np.ndarray) -> "Lanes":
        """The same for some of the rows."""
        arrays = (getattr(self, name) for name in self.__dataclass_fields__)
        return Lanes(*(array.take(some, axis=0) for array in arrays))


@dataclass(frozen=True, slots=True)
class Habits:
    """Chances that an end takes the part off though edges are left."""

    chance: np.ndarray
    """array (habits, laws, edges, draws)"""
    of_slot: np.ndarray
    """int array (slots,)"""

    def at(self, row: np.ndarray, cause: np.ndarray, edge: np.ndarray) -> np.ndarray:
        """Of some rows, given why their edge ended: array (rows,)."""
        _, laws, edges, draws = self.chance.shape
        slot = row // draws
        law = (self.of_slot * laws).take(slot) + cause
        place = (law * edges + np.minimum(edge - 1, edges - 1) - slot) * draws + row
        # A place in the flat array is found many times faster than four in one of four axes.
        return np.asarray(self.chance.take(place))


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
    turned: np.ndarray
    """array (turns,) row of every edge of this step after which the part was turned"""


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
    return Lanes(
        row=np.arange(flat[0], dtype=np.int32),
        wear=_single(np.einsum("stf,sdf->sdt", mix, wear.rate)).reshape(flat),
        torn=_single(np.einsum("stf,sdf->sdt", mix, wear.damage)).reshape(flat),
        bounds=_single(bounds).reshape(flat),
        pace=_single(wear.pace).ravel(),
        one_over_shape=_single(1.0 / wear.shape).ravel(),
        off_rate=_single(np.maximum(wear.off_rate, TINY)).ravel(),
        one_over_off=_single(1.0 / wear.off_shape).ravel(),
        edges=np.repeat(edges.astype(np.int16), draws),
        most_hours=_single(most_hours).ravel(),
        least_life=_single(a_day / MOST_A_DAY).ravel(),
    )


def _single(values: np.ndarray) -> np.ndarray:
    return np.asarray(values, dtype=np.float32)


class Waits:
    """Random numbers of some slots, one block an edge from the stream of each position.

    Slots whose edges are handled together take the same numbers, with wear and being taken off
    exchanged: where one edge wears out, the other is taken off at the same time. Each alone keeps
    the law that its own log shows.
    """

    def __init__(self, slots: pd.DataFrame, twin: np.ndarray, draws: int, seed: int) -> None:
        self._draws = draws
        names = list(zip(slots["machine"], slots["position"], strict=True))
        self._swapped = twin != ""
        self._streams = [
            machine_stream(seed, machine, f"edges at {other or position}")
            for (machine, position), other in zip(names, twin, strict=True)
        ]

    def roll(self, row: np.ndarray) -> np.ndarray:
        """Waits to wear, damage and being taken off, and a uniform number: float32 (4, rows)."""
        slot = row // self._draws
        slots = slot[np.flatnonzero(np.diff(slot, prepend=-1))]
        block = np.empty((len(self._streams), 4, self._draws), dtype=np.float32)
        for one in slots.tolist():
            stream, own = self._streams[one], block[one]
            stream.standard_exponential(dtype=np.float32, out=own[:3])
            stream.random(dtype=np.float32, out=own[3])
        twins = np.flatnonzero(self._swapped)
        block[twins, :3] = block[twins, 2::-1]
        flat = np.swapaxes(block, 0, 1).reshape(4, -1)
        return np.asarray(flat if len(row) == flat.shape[1] else flat.take(row, axis=1))


@dataclass(frozen=True, slots=True)
class Begun:
    """The edges at work at as-of, row by row."""

    wear: np.ndarray
    """array (rows,) wear so far ``D``"""
    hours: np.ndarray
    """array (rows,) run hours so far [h]"""
    edge: np.ndarray
    """int16 array (rows,)"""


def walk_edges(lanes: Lanes, begun: Begun, habits: Habits, waits: Waits) -> Iterator[Ends]:
    """Edge after edge until every row has run out of hours.

    Parameters
    ----------
    lanes : Lanes
    begun : Begun
    habits : Habits
    waits : Waits

    Yields
    ------
    Ends
        All ends of the first step; then the replacements of each further step.
    """
    hours = np.where(lanes.most_hours > 0, np.float32(0.0), np.float32(np.inf))
    so_far: Begun | None = begun
    edge = begun.edge
    while lanes.row.size:
        wait, torn_wait, off_wait, chance = waits.roll(lanes.row)
        worn = _worn_out(lanes, hours, so_far, wait)
        torn = hours_to_use_up(torn_wait, hours, lanes.torn, lanes.bounds)
        off = _taken_off(lanes, hours, so_far, off_wait)
        cause = np.where(worn <= torn, np.where(worn <= off, WORN, REMOVED),
                         np.where(torn <= off, DAMAGED, REMOVED)).astype(np.int8)  # fmt: skip
        least = hours + lanes.least_life if so_far is None else hours
        hours = np.maximum(np.minimum(np.minimum(worn, torn), off), least)
        within = hours <= lanes.most_hours
        replaced = (edge >= lanes.edges) | (chance < habits.at(lanes.row, cause, edge))
        shown = np.flatnonzero(within if so_far is not None else within & replaced)
        yield Ends(
            row=lanes.row[shown],
            hours=hours[shown],
            cause=cause[shown],
            replaced=replaced[shown],
            edges_lost=(lanes.edges[shown] - edge[shown]).astype(np.int8),
            turned=lanes.row[within & ~replaced],
        )
        edge, so_far = np.where(replaced, np.int16(1), edge + np.int16(1)), None
        live = np.flatnonzero(within)
        if live.size < THINNED * within.size:
            lanes, hours, edge = lanes.of(live), hours[live], edge[live]
        else:
            hours[~within] = np.inf


def _worn_out(
    lanes: Lanes, hours: np.ndarray, so_far: Begun | None, wait: np.ndarray
) -> np.ndarray:
    """Run hours at which the edges at work would be worn out; ``so_far`` None: they are new."""
    if so_far is not None:
        left = worn_out_at(so_far.wear, wait, lanes.pace, lanes.one_over_shape) - so_far.wear
        return hours_to_use_up(_single(np.maximum(left, 0.0)), hours, lanes.wear, lanes.bounds)
    lasts = wear_at(np.log(np.maximum(wait / lanes.pace, TINY)), lanes.one_over_shape)
    return hours_to_use_up(lasts, hours, lanes.wear, lanes.bounds)


def _taken_off(
    lanes: Lanes, hours: np.ndarray, so_far: Begun | None, wait: np.ndarray
) -> np.ndarray:
    """Run hours at which the edges at work would be taken off."""
    if so_far is not None:
        used = lanes.off_rate * so_far.hours
        left = power_left(used, wait, lanes.one_over_off)
        return _single(hours + np.maximum(left, 0.0) / lanes.off_rate)
    lasts = power_at(np.log(np.maximum(wait, TINY)), lanes.one_over_off)
    return np.asarray(hours + lasts / lanes.off_rate)
