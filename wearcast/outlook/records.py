"""The coming changes, as one frozen record: everything downstream is read off it.

A slot is a position carried by a machine. Days count from as-of: the day after as-of is day 1,
and something at time ``t`` (in days after the end of as-of) falls on day ``ceil(t)``.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.told import Problem


@dataclass(frozen=True, slots=True, eq=False)
class HoursDraws:
    """Run hours ahead."""

    machines: tuple[str, ...]
    """Sorted."""
    hours: np.ndarray
    """array (machines, draws, weeks) run hours in each week after as-of [h]"""
    parts: dict[str, np.ndarray]
    """For tests and the page, each array (machines,): ``usual``, the level of the hours a week free
    of season [h], nan without readings; ``noise``, the week noise, sd as a share of it;
    ``season_kept``, the factor that its own past's yearly wave is shrunk by (1: not at all)."""
    told: tuple[Problem, ...] = ()
    """Machines for which nothing says how much they will run."""


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Draws:
    """Coming changes, one row a use of pieces, sorted by slot, draw and day."""

    as_of: pd.Timestamp
    days: int
    """How far the walk went."""
    draws: int
    slots: pd.DataFrame
    """Index 0..n-1: machine, site, depot, position, part, wears_as, kind, edges, pieces, price."""
    floors: tuple[str, ...]
    slot: np.ndarray
    """array (uses,) int32"""
    draw: np.ndarray
    """array (uses,) int32"""
    day: np.ndarray
    """array (uses,) int16, 1..days"""
    cause: np.ndarray
    """array (uses,) int8: 0 worn, 1 damaged, 2 planned or other, 3 refit of an empty position"""
    edges_lost: np.ndarray
    """array (uses,) int8: edges thrown away unused with that piece"""
    next_day: np.ndarray
    """array (slots, draws) float32: day of the next turn or change; inf: beyond the walk"""
    next_is_change: np.ndarray
    """array (slots, draws) bool"""
    change_day: np.ndarray
    """array (slots, draws) float32: day of the next change; inf: beyond the walk"""
    turns: np.ndarray
    """int16 array (slots, draws) turns to a next edge in all the weeks walked"""
    wear_now: np.ndarray
    """array (slots,) chance-weighted wear so far of the edge at work: 0 new, 1 its median life"""
    wear_share: np.ndarray
    """array (slots, floors): each floor's share of the slot's wear ahead; rows sum to 1"""
    hours: np.ndarray
    """array (machines, draws) run hours in the 364 days after as-of [h]"""
    weekly_hours: np.ndarray
    """array (machines, draws, weeks) run hours [h], float32"""
    machines: tuple[str, ...]

    def __repr__(self) -> str:
        """How many futures of what."""
        return (
            f"<Draws of {len(self.slots)} positions for {self.days} days after"
            f" {self.as_of:%Y-%m-%d}: {self.draws} futures>"
        )
