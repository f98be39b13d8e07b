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
from wearcast.logbook.findings.coded import coded, key_of
from wearcast.told import GRAVE, Problem
from wearcast.wear.diagnostics.doubts import note
from wearcast.wear.diagnostics.months import MONTH_DAYS, month_words, sure_of
from wearcast.wear.habits import OF_HABITS, ends_with_edges_left

MATTERS = 0.15
"""A share replaced early that moved less is let pass."""
FEWEST, PARTS = 10, 5
"""Ends on each side; and parts more or fewer than the whole log would give. Where hardly any is
replaced early two or three are many standard errors. All are chosen here."""


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
    if ends.empty:
        return []
    kind, place, cause = (coded(ends[of].to_numpy()) for of in ("wears_as", "site", "cause"))
    days = (as_of - ends["end"]).dt.days.to_numpy(np.int64)
    site = key_of([kind, place])
    order = np.argsort(site, kind="stable")
    each = _Ends(
        site,
        key_of([kind, place, cause, ends["edge"].to_numpy(np.int64)]),
        np.floor(days / MONTH_DAYS).astype(int),
        key_of([kind, place, days]),
        ends["replaced"].to_numpy(float),
    ).some(order)
    first = np.flatnonzero(np.diff(each.site, prepend=-1))
    names, sites = (
        [str(one.names[code]) for code in one.codes[order][first]] for one in (kind, place)
    )
    bounds = zip(first, [*first[1:], len(order)], strict=True)
    sure = sure_of(len(first))
    own = [_shift_of(each.some(slice(*one)), sure) for one in bounds]
    alone = {number: shift for number, shift in enumerate(own) if shift}
    found = [TurnShift(names[at], (sites[at],), *shift) for at, shift in alone.items()]
    for name in sorted(set(names)):
        rest = [at for at, one in enumerate(names) if one == name and at not in alone]
        if shift := _shift_of(each.some(np.isin(each.site, each.site[first[rest]])), sure):
            found.append(TurnShift(name, tuple(sites[at] for at in rest), *shift))
    return found


class _Ends(NamedTuple):
    """Ends with edges left, by wear class and site; arrays (ends,)."""

    site: np.ndarray
    """number of the class and site"""
    alike: np.ndarray
    """number of the class, site, cause and edge"""
    month: np.ndarray
    """whole months before as-of"""
    day: np.ndarray
    """number of the class, site and day"""
    early: np.ndarray
    """1 where the part was replaced"""

    def some(self, keep: np.ndarray | slice) -> "_Ends":
        return _Ends(*(column[keep] for column in self))


def _shift_of(ends: _Ends, sure: float) -> tuple[int, float, float] | None:
    """The month that splits the parts replaced early best, and their shares on both sides."""
    if len(ends.early) < 2 * FEWEST or np.ptp(ends.early) == 0:
        return None
    alike = np.unique(ends.alike, return_inverse=True)[1]
    size = (alike.max() + 1, ends.month.max() + 1)
    cell = alike * size[1] + ends.month
    total, gone = (
        np.bincount(cell, weights, np.prod(size)).reshape(size).cumsum(axis=1)
        for weights in (None, ends.early)
    )
    ends_of, share = total[:, -1:], gone[:, -1:] / total[:, -1:]
    off = (gone - share * total).sum(axis=0)
    # Of so many replaced of a kind so many fall after a month by chance (hypergeometric).
    left = total * (ends_of - total) / np.maximum(ends_of - 1, 1)
    variance = (left * share * (1 - share)).sum(axis=0)
    variance = variance * _together(ends.day, ends.early - share[alike, 0])
    after, before = total.sum(axis=0), (ends_of - total).sum(axis=0)
    enough = (after >= FEWEST) & (before >= FEWEST) & (np.abs(off) >= PARTS)
    score = np.where(enough, np.abs(off) / np.sqrt(np.maximum(variance, 1e-9)), 0.0)
    at = int(np.argmax(score))
    if score[at] < sure:
        return None
    shares = [(gone[:, -1] - gone[:, at]).sum() / before[at], gone[:, at].sum() / after[at]]
    if abs(shares[1] - shares[0]) < MATTERS:
        return None
    return at + 1, *shares


def _together(day: np.ndarray, off: np.ndarray) -> float:
    """How many times the variance is that of single ends, since those of a day go together."""
    by_day = np.bincount(np.unique(day, return_inverse=True)[1], off)
    return max(float((by_day**2).sum() / max((off**2).sum(), 1e-9)), 1.0)


def as_now(used: pd.DataFrame, shifts: list[TurnShift], as_of: pd.Timestamp) -> pd.DataFrame:
    """The spells that tell today's habits: those that ended before one changed are left out."""
    keep = np.ones(len(used), dtype=bool)
    for one in shifts:
        mine = used["wears_as"].eq(one.wears_as) & used["site"].isin(one.sites)
        keep &= ~(mine & used["end"].le(_day(one, as_of))).to_numpy()
    return used.loc[keep, list(OF_HABITS)]


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
