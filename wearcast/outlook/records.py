"""The coming changes, as one frozen record: everything downstream is read off it.

A slot is a position carried by a machine. Days count from as-of: the day after as-of is day 1,
and something at time ``t`` (in days after the end of as-of) falls on day ``ceil(t)``.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

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

    @property
    def weeks(self) -> int:
        """How many weeks ahead."""
        return int(self.hours.shape[2])

    def of(self, some: np.ndarray) -> "HoursDraws":
        """The hours of some machines, by their numbers in an array (some,)."""
        names = tuple(self.machines[at] for at in some)
        return HoursDraws(names, self.hours[some], {})


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """What comes at some slots that stand together, kept small: a large fleet has many futures."""

    uses: np.ndarray
    """unsigned array (slots, draws): uses of pieces in each future"""
    day: np.ndarray
    """array (uses,) int16, 1..days; sorted by slot, draw and day, like the next two"""
    cause: np.ndarray
    """array (uses,) int8: 0 worn, 1 damaged, 2 planned or other, 3 refit of an empty position"""
    edges_lost: np.ndarray
    """array (uses,) int8: edges thrown away unused with that piece"""
    next_end: np.ndarray
    """array (slots, draws) int16: day of the next turn, or less the day of the next change if that
    comes first; 0: beyond the walk"""
    turns: np.ndarray
    """unsigned array (slots, draws): turns to a next edge in all the weeks walked"""

    @property
    def row(self) -> np.ndarray:
        """Future of each use, slot x draws + draw, slots counted from the block's first."""
        return np.repeat(np.arange(self.uses.size, dtype=np.int32), self.uses.ravel())

    @property
    def next_day(self) -> np.ndarray:
        """Array (slots, draws) float32: day of the next turn or change; inf: beyond the walk."""
        return _or_inf(np.abs(self.next_end))

    @property
    def change_day(self) -> np.ndarray:
        """Array (slots, draws) float32: day of the next change; inf: beyond the walk."""
        comes = self.uses.ravel() > 0
        first = np.zeros(self.uses.size, dtype=np.int16)
        first[comes] = self.day[(np.cumsum(self.uses, dtype=np.int64) - self.uses.ravel())[comes]]
        return _or_inf(first.reshape(self.uses.shape))

    def of(self, slots: np.ndarray) -> "Block":
        """The same for some of its slots, array (some,) in rising order."""
        chosen = np.zeros(len(self.uses), dtype=bool)
        chosen[slots] = True
        here = np.repeat(chosen, self.uses.sum(axis=1, dtype=np.int64))
        by_use = {name: getattr(self, name)[here] for name in ("day", "cause", "edges_lost")}
        by_slot = {name: getattr(self, name)[chosen] for name in ("uses", "next_end", "turns")}
        return Block(**by_use, **by_slot)


def _or_inf(day: np.ndarray) -> np.ndarray:
    return np.where(day > 0, day, np.inf).astype(np.float32)


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Draws:
    """Coming changes; figures are summed up block by block, so that no array holds all futures."""

    as_of: pd.Timestamp
    days: int
    """How far the walk went."""
    draws: int
    slots: pd.DataFrame
    """Index 0..n-1: machine, site, depot, position, part, wears_as, kind, edges, pieces, price."""
    floors: tuple[str, ...]
    blocks: tuple[Block, ...]
    """Slots in their order, whole machines in each; at least one."""
    wear_now: np.ndarray
    """array (slots,) chance-weighted wear so far of the edge at work: 0 new, 1 its median life"""
    wear_share: np.ndarray
    """array (slots, floors): each floor's share of the slot's wear ahead; rows sum to 1"""
    hours: np.ndarray
    """array (machines,) mean run hours in the 364 days after as-of [h]"""
    weekly_hours: np.ndarray
    """array (machines, weeks) mean run hours [h]"""
    machines: tuple[str, ...]

    def placed(self) -> Iterator[tuple[slice, Block]]:
        """Each block with the slots that it is of."""
        first = 0
        for block in self.blocks:
            yield slice(first, first + len(block.uses)), block
            first += len(block.uses)

    def of(self, slots: np.ndarray) -> "Draws":
        """The same for some of the slots, array (some,) in rising order; machines stay all."""
        chosen = [
            block.of(slots[(slots >= at.start) & (slots < at.stop)] - at.start)
            for at, block in self.placed()
        ]
        return replace(
            self,
            slots=self.slots.iloc[slots].reset_index(drop=True),
            blocks=tuple(block for block in chosen if len(block.uses)) or (chosen[0],),
            wear_now=self.wear_now[slots],
            wear_share=self.wear_share[slots],
        )

    @property
    def slot(self) -> np.ndarray:
        """Slot of each use, array (uses,) int32: of all futures, like those below; for few."""
        counted = [block.uses.sum(axis=1, dtype=np.int64) for block in self.blocks]
        return np.repeat(np.arange(len(self.slots), dtype=np.int32), np.concatenate(counted))

    @property
    def draw(self) -> np.ndarray:
        """Draw of each use, array (uses,) int32."""
        return self._joined("row") % np.int32(max(self.draws, 1))

    @property
    def day(self) -> np.ndarray:
        """Day of each use, array (uses,) int16."""
        return self._joined("day")

    @property
    def cause(self) -> np.ndarray:
        """Cause of each use, array (uses,) int8, see `Block`."""
        return self._joined("cause")

    @property
    def edges_lost(self) -> np.ndarray:
        """Edges thrown away unused with each use, array (uses,) int8."""
        return self._joined("edges_lost")

    @property
    def next_day(self) -> np.ndarray:
        """Day of the next turn or change, array (slots, draws) float32; inf: beyond the walk."""
        return self._joined("next_day")

    @property
    def change_day(self) -> np.ndarray:
        """Day of the next change, array (slots, draws) float32; inf: beyond the walk."""
        return self._joined("change_day")

    @property
    def turns(self) -> np.ndarray:
        """Turns to a next edge in all the weeks walked, array (slots, draws)."""
        return self._joined("turns")

    def _joined(self, name: str) -> np.ndarray:
        return np.concatenate([getattr(block, name) for block in self.blocks])

    def __repr__(self) -> str:
        """How many futures of what."""
        return (
            f"<Draws of {len(self.slots)} positions for {self.days} days after"
            f" {self.as_of:%Y-%m-%d}: {self.draws} futures>"
        )
