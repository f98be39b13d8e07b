"""Are far fewer edges written as worn in the last weeks than their ages let one expect.

Parts renewed throughout that nobody wrote, or changes that still lie on a desk: the forecast takes
old edges for those at work, and its first quarter is too high.
"""

from collections.abc import Collection

import numpy as np
import pandas as pd
from scipy.special import pdtr

from wearcast.history.story import History
from wearcast.told import GRAVE, Problem
from wearcast.wear.diagnostics.doubts import note
from wearcast.wear.diagnostics.months import some_spells
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
    spells = with_load(history, wear, some_spells(history, wear))
    spells = spells[~spells["site"].isin(list(silent))]
    found = [(*_ends(spells, history.as_of, days), days) for days in WINDOWS]
    chance, days = min((float(pdtr(worn, due)), days) for worn, due, days in found)
    worn, due = _ends(spells, history.as_of, days)
    share = (worn + 1) / (due + 1)
    if chance > SURE or share > FEW:
        return []
    first, step = spells["start"].min(), days // STEPS
    until = pd.date_range(
        end=history.as_of - pd.Timedelta(days=days), periods=EARLIER, freq=f"{step}D"
    )
    seen = until[until > first + pd.Timedelta(days=2 * days)]
    earlier = [_ends(spells, day, days) for day in seen]
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


def _ends(spells: pd.DataFrame, until: pd.Timestamp, days: int) -> tuple[int, float]:
    """Worn ends of so many days up to one, and those expected by the edges' ages."""
    since = until - pd.Timedelta(days=days)
    worn = spells["cause"].eq("worn")
    long = (spells["end"] - spells["start"]).dt.days.to_numpy(float).clip(0.5)
    gone = [
        ((day - spells["start"]).dt.days.to_numpy(float) / long).clip(0.0, 1.0)
        ** spells["shape"].to_numpy(float)
        for day in (since, until)
    ]
    load = spells["load"].to_numpy(float)
    stratum = pd.factorize(spells["machine"] + "\n" + spells["wears_as"])[0]
    own, all_own = (np.bincount(stratum, one) for one in (worn, load))
    usual = ((own + USUAL) / (all_own + USUAL))[stratum]
    ended = worn & spells["end"].gt(since) & spells["end"].le(until)
    return int(ended.sum()), float((load * usual * (gone[1] - gone[0])).sum())
