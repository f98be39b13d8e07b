"""Are edges damaged, or taken off before they are worn, more often than they were.

A new floor that tears blades, a schedule that begins: such ends are forecast at their mean rate
over the whole log. They are laid against run hours month by month, as worn ends are against their
hazard (`wearcast.wear.diagnostics.level_shift`).
"""

import numpy as np
import pandas as pd

from wearcast.history.story import History
from wearcast.told import GRAVE, Problem
from wearcast.wear.causes import LAW_OF
from wearcast.wear.diagnostics.doubts import note
from wearcast.wear.diagnostics.level_shift import SITE_SD, Shift, shifts
from wearcast.wear.diagnostics.months import (
    MONTH_DAYS,
    Cells,
    cells_of,
    month_words,
    sampled_spells,
)
from wearcast.wear.records import Wear

LAWS_TOLD = {"torn": "damaged", "taken off": "taken off before they are worn"}
_SPELL = ("machine", "site", "wears_as", "start", "end", "cause", "ended", "hours")
MATTERS = 0.1
"""Share of all newer ends by which theirs is off; chosen here."""
MANY_TIMES = 20
Found = list[tuple[str, Cells, Shift]]
"""What it is, where, and how it changed."""


def tell_other_ends(history: History, wear: Wear) -> list[Problem]:
    """Findings about ends by damage and by plan: of wear classes, else of sites."""
    spells = history.spells[list(_SPELL)].iloc[sampled_spells(history, wear)]
    law = spells["cause"].map(LAW_OF)
    told = []
    for name, words in LAWS_TOLD.items():
        mine = spells.assign(
            cause=law.eq(name).map({True: "worn", False: ""}), load=spells["hours"], shape=1.0
        )
        told += _tell(mine, law.eq(name), words, history.as_of)
    return told


def _times(ratio: float) -> str:
    return f"{ratio:.2g} times" if ratio < MANY_TIMES else f"over {MANY_TIMES} times"


def _kinds(cells: Cells) -> Found:
    """The wear classes in which something changed."""
    return [
        (f"{name} edges", cells.where(cells.wears_as == name), shift)
        for name, shift in shifts(cells, cells.wears_as).items()
    ]


def _places(cells: Cells) -> Found:
    """A few sites where something changed, else everything."""
    sites = shifts(cells, cells.site, SITE_SD)
    every = shifts(cells, np.full(len(cells.site), "all"))
    if (every and 2 * len(sites) >= len(set(cells.site))) or not sites:
        return [("edges", cells, shift) for shift in every.values()]
    return [
        (f"edges at {name}", cells.where(cells.site == name), shift)
        for name, shift in sites.items()
    ]


def _tell(spells: pd.DataFrame, ends: pd.Series, words: str, as_of: pd.Timestamp) -> list[Problem]:
    if not ends.any():
        return []
    cells = cells_of(spells, as_of)
    told: list[Problem] = []
    for looked in (_kinds, _places):
        for what, at, shift in looked(cells):
            day = as_of - pd.Timedelta(days=shift.months * MONTH_DAYS)
            newer = spells["site"].isin(at.site) & spells["wears_as"].isin(at.wears_as)
            newer &= spells["end"].gt(day)
            count = int((ends & newer).sum())
            over = int((newer & spells["ended"].ne("running")).sum())
            if abs(count - count / shift.over_mean) >= MATTERS * max(over, 1):
                told.append(_told(what, words, day, shift, (count, over)))
        if told:
            break
    return told


def _told(
    what: str, words: str, day: pd.Timestamp, shift: Shift, counts: tuple[int, int]
) -> Problem:
    return note(
        f"{what} are {words} {_times(shift.times)} as often an hour since "
        f"{month_words(day)} as before ({counts[0]} of {counts[1]} ends): the forecast takes the "
        f"mean of the whole log, {1 / shift.over_mean:.2g} of that; if this stays, parts "
        f"are too {'few' if shift.times > 1 else 'many'}",
        "Look what began then: a schedule, another hand, a floor, a part",
        what,
        "cause",
        GRAVE,
    )
