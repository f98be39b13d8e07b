"""Ends of edges at run hours, turned into uses of pieces on days.

A day is counted from as-of: something at time ``t`` days after its end falls on day ``ceil(t)``.
"""

from dataclasses import dataclass

import numpy as np

from wearcast.outlook.records import Block
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


def date_ends(ends: list[Ends], paths: Paths) -> Block:
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
    next_end = _next_ends(ends, paths, size)
    next_end[refit] = -1
    row, day, cause, lost = _all_uses(ends, refit, paths, size)
    return Block(
        uses=_small(np.bincount(row, minlength=size)).reshape(-1, draws),
        day=day,
        cause=cause,
        edges_lost=lost,
        next_end=next_end.reshape(-1, draws),
        turns=_small(_count_turns(ends, size)).reshape(-1, draws),
    )


def join_blocks(blocks: list[Block]) -> Block:
    """One block of the slots of some, in their order."""
    return Block(
        *(np.concatenate([getattr(one, name) for one in blocks]) for name in _COLUMNS)
    )  # fmt: skip


_COLUMNS = tuple(Block.__dataclass_fields__)


def _small(counts: np.ndarray) -> np.ndarray:
    """Counts in the fewest bytes that hold them."""
    return counts.astype(np.min_scalar_type(int(counts.max(initial=0))))


def _count_turns(ends: list[Ends], size: int) -> np.ndarray:
    """Turns of each row; a row is turned once a step at most."""
    turns = np.zeros(size, dtype=np.int16)
    for end in ends:
        turns[end.turned] += 1
    return turns


def _next_ends(ends: list[Ends], paths: Paths, size: int) -> np.ndarray:
    """Day of the next end of each row, below zero where the part comes off then."""
    next_end = np.zeros(size, dtype=np.int16)
    if ends:
        day = _days_of(ends[0].row, ends[0].hours, paths)
        signed = np.where(ends[0].replaced, -day, day)
        next_end[ends[0].row] = np.where(day <= paths.days, signed, 0)
    return next_end


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
