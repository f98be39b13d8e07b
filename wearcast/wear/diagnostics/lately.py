"""Are far fewer edges written as worn in the last weeks than their ages let one expect.

Parts renewed throughout that nobody wrote, or changes that still lie on a desk: the forecast takes
old edges for those at work, and its first quarter is too high.
"""

from collections.abc import Collection
from typing import NamedTuple

import numpy as np
import pandas as pd
from scipy.special import pdtr

from wearcast.history.story import History
from wearcast.told import GRAVE, Problem
from wearcast.wear.diagnostics.doubts import note
from wearcast.wear.diagnostics.months import sampled_spells
from wearcast.wear.diagnostics.speed_changes import with_load
from wearcast.wear.records import Wear

WINDOWS = (10, 20, 30, 45)
"""Newest days that are looked at."""
SURE = 1e-5
"""Chance of so few worn ends."""
FEW = 0.5
"""Worn ends over those expected, and over the least share of any such stretch before: who writes at
the end of the month is quiet in each."""
EARLIER, STEPS = 50, 5
"""Stretches before that are compared at most, and how many begin in the length of one."""
USUAL = 3.0
"""Worn ends that a machine's class is taken to have had at its usual speed, beside its own. All are
chosen here."""


def tell_few_lately(history: History, wear: Wear, silent: Collection[str]) -> list[Problem]:
    """One finding if the newest days hold far fewer worn ends than they should.

    `silent`: sites that are told to have stopped writing.
    """
    spells = with_load(history, wear, sampled_spells(history, wear))
    spells = spells[~spells["site"].isin(list(silent))]
    if spells.empty or history.meters.empty:
        return []
    lives = _lives(spells, history)
    found = [(*_ends(lives, 0.0, days), days) for days in WINDOWS]
    chance, days = min((float(pdtr(worn, due)), days) for worn, due, days in found)
    worn, due = _ends(lives, 0.0, days)
    share = (worn + 1) / (due + 1)
    if chance > SURE or share > FEW:
        return []
    until = -days - np.arange(EARLIER) * (days // STEPS)
    seen = until[until > lives.start.min() + 2 * days]
    earlier = [_ends(lives, float(day), days) for day in seen]
    if not earlier or share > FEW * min((ends + 1) / (hoped + 1) for ends, hoped in earlier):
        return []
    return [
        note(
            f"{worn} edges are written as worn in the last {days} days, though about {due:.0f} "
            "should be by their ages and the hours run: if parts were renewed and nobody wrote it, "
            "the first quarter uses less than forecast; if the newest changes are still to be "
            "written, it may be right",
            "Write the changes of the last weeks, and every part that was renewed",
            "",
            "date",
            GRAVE,
        )
    ]


class _Lives(NamedTuple):
    """Spells as arrays (spells,); days are counted from as-of."""

    start: np.ndarray
    end: np.ndarray
    worn: np.ndarray
    load: np.ndarray
    """hazard at the usual speed of its machine's class"""
    shape: np.ndarray
    place: np.ndarray
    """number of the machine"""
    curve: tuple[np.ndarray, np.ndarray]
    """days of all machines' knots, one machine's beyond the other's, and their hours"""


_APART = 1e6
"""Days between the curves of two machines that stand in one row."""


def _lives(spells: pd.DataFrame, history: History) -> _Lives:
    names, place = np.unique(spells["machine"].to_numpy(str), return_inverse=True)
    stratum = place * spells["wears_as"].nunique() + pd.factorize(spells["wears_as"])[0]
    worn, load = spells["cause"].eq("worn").to_numpy(), spells["load"].to_numpy(float)
    own, all_own = (np.bincount(stratum, one) for one in (worn, load))
    usual = (own + USUAL) / (all_own + USUAL)
    meters = history.meters[history.meters["machine"].isin(names)]
    knots = pd.DataFrame(
        {
            "at": np.searchsorted(names, meters["machine"].to_numpy(str)) * _APART
            + _days(meters["date"], history.as_of),
            "hours": meters["hours"].to_numpy(float),
        }
    ).sort_values(["at", "hours"])
    start, end = (_days(spells[side], history.as_of) for side in ("start", "end"))
    return _Lives(
        start,
        end,
        worn,
        load * usual[stratum],
        spells["shape"].to_numpy(float),
        place,
        (knots["at"].to_numpy(), knots["hours"].to_numpy()),
    )


def _days(dates: pd.Series, as_of: pd.Timestamp) -> np.ndarray:
    return np.asarray((dates - as_of) / pd.Timedelta(days=1), dtype=float)


def _ends(lives: _Lives, until: float, days: int) -> tuple[int, float]:
    """Worn ends of so many days up to one, and those expected by the edges' ages."""
    since = until - days
    ended = lives.worn & (lives.end > since) & (lives.end <= until)
    here = (lives.end > since) & (lives.start < until)
    place, shape = lives.place[here] * _APART, lives.shape[here]
    begin, at_since, at_until, stop = (
        np.interp(place + day, *lives.curve)
        for day in (lives.start[here], since, until, lives.end[here])
    )
    gone = [
        np.clip((hours - begin) / np.maximum(stop - begin, 0.1), 0, 1) ** shape
        for hours in (at_since, at_until)
    ]
    # An edge ends once, however long it would be overdue.
    due = np.minimum(lives.load[here] * (gone[1] - gone[0]), 1.0)
    return int(ended.sum()), float(due.sum())
