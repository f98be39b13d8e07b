"""The spells of a class as the likelihood takes them, and sums over them that every step asks for.

A fit passes over the same spells many times. What does not move with the parameters (where a
machine begins, which effects meet in a spell) is worked out once, see `Sums`.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.sparse import coo_array, csr_array

Columns = np.ndarray | csr_array
"""Dense where that is small."""
DENSE_CELLS = 400_000
"""Effects that are dense where that is small: sparse products cost a lot more to begin."""


def fit_columns(columns: csr_array) -> Columns:
    """The columns in the form that multiplies faster."""
    small = columns.shape[0] * columns.shape[1] <= DENSE_CELLS
    return np.asarray(columns.toarray(), float) if small else columns.astype(float)


@dataclass(frozen=True, eq=False)
class Spells:
    """What the likelihood needs of the spells, sorted by machine."""

    hours: np.ndarray
    """array (spells, floors) [h]; every row has some hours"""
    end_mix: np.ndarray
    """array (spells, floors) share of each floor when the spell ended"""
    ended: np.ndarray
    """array (spells,) 1.0 where the edge ended for the reason that is fitted, else 0.0; between
    them where that is not known for sure"""
    machine: np.ndarray
    """array (spells,) int, ascending from 0 without gaps"""
    effects: Columns
    """array (spells, effects) how far each effect acts on the wear of a spell"""
    end_effects: Columns
    """the same at its end"""
    tip: np.ndarray
    """array (machines of the class,) place of each machine among all machines"""
    first: np.ndarray
    """array (spells,) bool: of unknown start; hours are those it was watched. What it tells is
    taken at the usual pace of its machine's class"""

    def __post_init__(self) -> None:
        """Lay each floor's column in one piece: few floors of many spells go through faster so."""
        for name in ("hours", "end_mix"):
            object.__setattr__(self, name, np.asfortranarray(getattr(self, name)))

    @cached_property
    def sums(self) -> "Sums":
        """What is summed over them again and again."""
        return sums_of(self)


@dataclass(frozen=True, eq=False)
class Sums:
    """Sums over spells by machine and by effect, prepared once for all steps of a fit."""

    starts: np.ndarray
    """array (machines,) where each machine's spells begin"""
    counts: np.ndarray
    """array (machines,) how many of its spells ended for the fitted reason"""
    above: np.ndarray | None
    """array (most ends of a machine,) how many machines have more than 0, 1, ... ends; None where
    ends count in part"""
    firsts: np.ndarray
    """array (first spells,) their places"""
    ends: np.ndarray
    """array (effects,) how far each effect acted at the ends that are fitted"""
    pairs: csr_array
    """array (pairs of effects that meet, spells) product of the two"""
    pair_at: tuple[np.ndarray, np.ndarray]
    """the two effects of each pair, the first not behind the second"""
    cells: csr_array
    """array (machine and effect that meet, spells) the effect"""
    cell_at: np.ndarray
    """place of each such cell in an array (machines, effects)"""
    effects: int

    def by_machine(self, values: np.ndarray) -> np.ndarray:
        """Array (spells,) or (spells, columns), summed over each machine's spells."""
        return np.add.reduceat(values, self.starts, axis=0)

    def effects_by_machine(self, weight: np.ndarray) -> np.ndarray:
        """Weighted sums of the effects: array (machines, effects); weight: array (spells,)."""
        out = np.zeros(len(self.starts) * self.effects)
        out[self.cell_at] = self.cells @ weight
        return out.reshape(len(self.starts), self.effects)

    def gram(self, weight: np.ndarray) -> np.ndarray:
        """Weighted products of the effects: array (effects, effects); weight: array (spells,)."""
        out = np.zeros((self.effects, self.effects))
        one, other = self.pair_at
        out[one, other] = out[other, one] = self.pairs @ weight
        return out


def sums_of(spells: Spells) -> Sums:
    """The sums of some spells, see `Sums`; hours, effects and ends as in `Spells`."""
    firsts = np.flatnonzero(spells.first)
    ended = np.where(spells.first, 0.0, spells.ended)
    starts = machine_starts(spells.machine)
    counts = np.add.reduceat(ended, starts)
    columns = csr_array(spells.effects)
    columns.sum_duplicates()
    pairs, pair_at = _pairs(columns)
    cells, cell_at = _cells(columns, spells.machine)
    return Sums(
        starts,
        counts,
        None if np.any(counts % 1) else _above(counts),
        firsts,
        np.asarray(spells.end_effects.T @ spells.ended),
        pairs,
        pair_at,
        cells,
        cell_at,
        int(columns.shape[1]),
    )


def machine_starts(machine: np.ndarray) -> np.ndarray:
    """Where each machine's spells begin, sorted by machine: int array (machines,)."""
    return np.flatnonzero(np.diff(machine, prepend=-1))


def sum_by(machine: np.ndarray, values: np.ndarray) -> np.ndarray:
    """Sums over the spells of each machine; spells are sorted by machine.

    Arrays (spells,) or (spells, columns) become (machines,) or (machines, columns): counts,
    wear or what else is summed.
    """
    return np.add.reduceat(values, machine_starts(machine), axis=0)


def _above(counts: np.ndarray) -> np.ndarray:
    """How many machines have more than 0, 1, ... ends."""
    return np.cumsum(np.bincount(counts.astype(int))[::-1])[::-1][1:].astype(float)


def _pairs(columns: csr_array) -> tuple[csr_array, tuple[np.ndarray, np.ndarray]]:
    """Products of the effects that meet in a spell, and which two they are."""
    spells, effects = columns.shape
    many = np.diff(columns.indptr)
    row = np.repeat(np.arange(spells), many)
    # Each stored effect with itself and those behind it in its row.
    left = np.repeat(columns.indptr[1:], many) - np.arange(columns.nnz)
    one = np.repeat(np.arange(columns.nnz), left)
    begin = np.cumsum(left) - left
    other = one + np.arange(len(one)) - np.repeat(begin, left)
    low = np.minimum(columns.indices[one], columns.indices[other])
    high = np.maximum(columns.indices[one], columns.indices[other])
    place, which = _numbered(low.astype(np.int64) * effects + high, effects**2)
    products = columns.data[one] * columns.data[other]
    met = coo_array((products, (which, row[one])), shape=(len(place), spells))
    return csr_array(met), (place // max(effects, 1), place % max(effects, 1))


def _numbered(codes: np.ndarray, below: int) -> tuple[np.ndarray, np.ndarray]:
    """The codes that occur, ascending, and the number of each one's; no sort, for they are few."""
    place = np.flatnonzero(np.bincount(codes, minlength=below))
    number = np.empty(below, dtype=np.int64)
    number[place] = np.arange(len(place))
    return place, number[codes]


def _cells(columns: csr_array, machine: np.ndarray) -> tuple[csr_array, np.ndarray]:
    """The effects by machine, and the place of each in an array (machines, effects)."""
    spells, effects = columns.shape
    row = np.repeat(np.arange(spells), np.diff(columns.indptr))
    cell = machine[row].astype(np.int64) * effects + columns.indices
    place, which = _numbered(cell, (machine.max(initial=-1) + 1) * effects)
    met = coo_array((columns.data, (which, row)), shape=(len(place), spells))
    return csr_array(met), place
