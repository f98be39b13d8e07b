"""Ends of edges at run hours, turned into uses of pieces on days.

A day is counted from as-of: something at time ``t`` days after its end falls on day ``ceil(t)``.
"""

from dataclasses import dataclass

import numpy as np

from wearcast.outlook.walking.clock import days_at
from wearcast.outlook.walking.edges import REFIT, Ends


@dataclass(frozen=True, slots=True)
class Paths:
    """Run hours ahead of some slots, for each draw."""

    cumulative: np.ndarray
    """array (machines, draws, weeks + 1) run hours by the end of each week [h], 0 first"""
    machine: np.ndarray
    """int array (slots,) place of the slot's machine in it"""
    empty: np.ndarray
    """bool array (slots,) True where nothing is fitted at as-of: a part goes on the next day"""
    days: int
    """How far the walk goes."""


@dataclass(frozen=True, slots=True)
class Dated:
    """What becomes due at some slots: arrays a use sorted by slot, draw and day, then by slot."""

    slot: np.ndarray
    draw: np.ndarray
    day: np.ndarray
    cause: np.ndarray
    edges_lost: np.ndarray
    next_day: np.ndarray
    """array (slots, draws) float32, like the next two; inf: beyond the walk"""
    next_is_change: np.ndarray
    change_day: np.ndarray
    turns: np.ndarray
    """int16 array (slots, draws) turns in all the weeks ahead"""


def date_ends(ends: list[Ends], paths: Paths) -> Dated:
    """Uses of pieces by day, and when each slot has its next turn and its next change.

    Parameters
    ----------
    ends : list of Ends
        Step by step, see `wearcast.outlook.walking.edges.walk_edges`.
    paths : Paths
    """
    draws = paths.cumulative.shape[1]
    size = len(paths.machine) * draws
    refit = np.flatnonzero(np.repeat(paths.empty, draws))
    next_day, next_is_change = _next_ends(ends, paths, size)
    next_day[refit], next_is_change[refit] = 1.0, True
    row, day, cause, lost = _all_uses(ends, refit, paths, size)
    first = np.diff(row, prepend=-1) != 0
    change_day = np.full(size, np.inf, dtype=np.float32)
    change_day[row[first]] = day[first]
    slot, draw = np.divmod(row, draws)
    return Dated(
        slot=slot,
        draw=draw,
        day=day,
        cause=cause,
        edges_lost=lost,
        next_day=next_day.reshape(-1, draws),
        next_is_change=next_is_change.reshape(-1, draws),
        change_day=change_day.reshape(-1, draws),
        turns=_count_turns(ends, size).reshape(-1, draws),
    )


def _count_turns(ends: list[Ends], size: int) -> np.ndarray:
    """Turns of each row; a row is turned once a step at most."""
    turns = np.zeros(size, dtype=np.int16)
    for end in ends:
        turns[end.turned] += 1
    return turns


def _next_ends(ends: list[Ends], paths: Paths, size: int) -> tuple[np.ndarray, np.ndarray]:
    """Day of the next end of each row, and whether the part comes off then."""
    next_day = np.full(size, np.inf, dtype=np.float32)
    next_is_change = np.zeros(size, dtype=bool)
    if ends:
        day = _days_of(ends[0].row, ends[0].hours, paths)
        next_day[ends[0].row] = np.where(day <= paths.days, day, np.inf)
        next_is_change[ends[0].row] = ends[0].replaced & (day <= paths.days)
    return next_day, next_is_change


def _all_uses(
    ends: list[Ends], refit: np.ndarray, paths: Paths, size: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Row, day, cause and edges lost of every use within the walk, sorted by row and day."""
    none = np.zeros(len(refit))
    row = np.concatenate([refit, *(end.row[end.replaced] for end in ends)])
    # Two-byte keys are sorted by counting, which is many times faster than by comparing.
    key = row.astype(np.uint16) if size <= 2**16 else row
    order = np.argsort(key, kind="stable")
    row = row[order].astype(np.int32)
    hours = np.concatenate([none, *(end.hours[end.replaced] for end in ends)])[order]
    cause = np.concatenate([none + REFIT, *(end.cause[end.replaced] for end in ends)])[order]
    lost = np.concatenate([none, *(end.edges_lost[end.replaced] for end in ends)])[order]
    day = _days_of(row, hours, paths)
    kept = day <= paths.days
    return (
        row[kept],
        day[kept].astype(np.int16),
        cause[kept].astype(np.int8),
        lost[kept].astype(np.int8),
    )


def _days_of(row: np.ndarray, hours: np.ndarray, paths: Paths) -> np.ndarray:
    """Day of each end, 1 the day after as-of."""
    draws = paths.cumulative.shape[1]
    lines = paths.cumulative.reshape(-1, paths.cumulative.shape[2])
    slot, draw = np.divmod(row, draws)
    result: np.ndarray = np.maximum(
        np.ceil(days_at(lines, paths.machine[slot] * draws + draw, hours)), 1.0
    )
    return result
