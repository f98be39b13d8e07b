"""Are edges left over turned more often, or less, than they were earlier in the log.

Other hands, or another way to write, can double what is used from one month to the next, while a
mean over the whole log follows slowly. Parts replaced with edges left are laid against what the
same site did after the same kind of end of the same edge, month by month back from as-of. Where
something surely changed, habits are learnt from what came after.
"""

from typing import NamedTuple

import numpy as np
import pandas as pd

from wearcast.history.words import names_words
from wearcast.told import GRAVE, Problem
from wearcast.wear.causes import LAW_OF
from wearcast.wear.diagnostics.doubts import note
from wearcast.wear.diagnostics.level_shift import MONTH_DAYS, month_words
from wearcast.wear.habits import ends_with_edges_left

SURE = 5.0
"""Standard errors: of some 24 months in each of 60 groups chance brings none so far in 1,000."""
MATTERS = 0.15
"""A share replaced early that moved less is let pass."""
FEWEST = 10
"""Ends on each side. Both are chosen here."""


class TurnShift(NamedTuple):
    """Where a habit changed, and when."""

    wears_as: str
    sites: tuple[str, ...]
    months: int
    """before as-of"""
    before: float
    """share of the edges with others left at which the part was replaced"""
    after: float


def turn_shifts(used: pd.DataFrame, as_of: pd.Timestamp) -> list[TurnShift]:
    """What changed in the turning of each wear class: at single sites, then at all others together.

    Parameters
    ----------
    used : DataFrame
        Spells in the fit: site, wears_as, edge, edges, cause, ended, replaced, end.
    as_of : Timestamp
    """
    ends = ends_with_edges_left(used)
    ends = ends.assign(
        month=np.floor((as_of - ends["end"]).dt.days / MONTH_DAYS).astype(int),
        law=ends["cause"].map(LAW_OF),
    )
    found: list[TurnShift] = []
    for name, mine in ends.groupby("wears_as", sort=True):
        alone = [
            TurnShift(str(name), (str(site),), *shift)
            for site, own in mine.groupby("site", sort=True)
            if (shift := _shift_of(own))
        ]
        others = mine[~mine["site"].isin([one.sites[0] for one in alone])]
        shift = _shift_of(others)
        sites = tuple(map(str, sorted(others["site"].unique())))
        found += [*alone, TurnShift(str(name), sites, *shift)] if shift else alone
    return found


def _shift_of(ends: pd.DataFrame) -> tuple[int, float, float] | None:
    """The month that splits the parts replaced early best, and their shares on both sides."""
    if len(ends) < 2 * FEWEST:
        return None
    alike = ends.groupby(["site", "edge", "law"]).ngroup().to_numpy()
    month, early = ends["month"].to_numpy(), ends["replaced"].to_numpy(float)
    size = (alike.max() + 1, month.max() + 1)
    cell = alike * size[1] + month
    total, gone = (
        np.bincount(cell, weights, np.prod(size)).reshape(size).cumsum(axis=1)
        for weights in (np.ones(len(early)), early)
    )
    ends_of, share = total[:, -1:], gone[:, -1:] / total[:, -1:]
    off = (gone - share * total).sum(axis=0)
    # Of so many replaced of a kind so many fall after a month by chance (hypergeometric).
    left = total * (ends_of - total) / np.maximum(ends_of - 1, 1)
    variance = (left * share * (1 - share)).sum(axis=0) * _together(ends, early - share[alike, 0])
    sd = np.sqrt(np.maximum(variance, 1e-9))
    after, before = total.sum(axis=0), (ends_of - total).sum(axis=0)
    score = np.where((after >= FEWEST) & (before >= FEWEST), np.abs(off) / sd, 0.0)
    at = int(np.argmax(score))
    if score[at] < SURE:
        return None
    shares = [(gone[:, -1] - gone[:, at]).sum() / before[at], gone[:, at].sum() / after[at]]
    if abs(shares[1] - shares[0]) < MATTERS:
        return None
    return at + 1, *shares


def _together(ends: pd.DataFrame, off: np.ndarray) -> float:
    """How many times the variance is that of single ends, since those of a day go together."""
    by_day = pd.Series(off).groupby([ends["site"].to_numpy(), ends["end"].to_numpy()]).sum()
    return max(float((by_day**2).sum() / max((off**2).sum(), 1e-9)), 1.0)


def as_now(used: pd.DataFrame, shifts: list[TurnShift], as_of: pd.Timestamp) -> pd.DataFrame:
    """The spells that tell today's habits: those that ended before one changed are left out."""
    keep = np.ones(len(used), dtype=bool)
    for one in shifts:
        mine = used["wears_as"].eq(one.wears_as) & used["site"].isin(one.sites)
        keep &= ~(mine & used["end"].le(_day(one, as_of))).to_numpy()
    kept: pd.DataFrame = used[keep]
    return kept


def tell_turn_shifts(shifts: list[TurnShift], as_of: pd.Timestamp) -> list[Problem]:
    """One finding for each wear class whose habits changed."""
    told = []
    for name in sorted({one.wears_as for one in shifts}):
        mine = [one for one in shifts if one.wears_as == name]
        ways = sorted({"more" if one.after > one.before else "less" for one in mine})
        where = [
            f"{names_words(list(one.sites))} ({one.after:.0%} since {month_words(_day(one, as_of))}"
            f", {one.before:.0%} before)"
            for one in mine
        ]
        others = f" and {len(where) - 3} more" if len(where) > 3 else ""
        wrong = (
            f"{name} with edges left is replaced, not turned, {' or '.join(ways)} often than it "
            f"was, at {'; '.join(where[:3])}{others}: the forecast goes on as since then; if only "
            "the way of writing changed, parts and cost may be wrong by several times"
        )
        remedy = "Ask what changed: if turns are written as new parts, or were, correct those rows"
        told.append(note(wrong, remedy, name, "action", GRAVE))
    return told


def _day(shift: TurnShift, as_of: pd.Timestamp) -> pd.Timestamp:
    return as_of - pd.Timedelta(days=shift.months * MONTH_DAYS)
