"""Are edges damaged, or taken off before they are worn, more often than they were.

A new floor that tears blades, a schedule that begins: such ends are forecast at their mean rate
over the whole log. They are laid against run hours month by month, as worn ends are against their
hazard (`wearcast.wear.diagnostics.level_shift`).
"""

import pandas as pd

from wearcast.history.story import History
from wearcast.told import GRAVE, Problem
from wearcast.wear.causes import LAW_OF
from wearcast.wear.diagnostics.doubts import note
from wearcast.wear.diagnostics.level_shift import SITE_SD, shifts
from wearcast.wear.diagnostics.months import MONTH_DAYS, cells_of, month_words, some_spells
from wearcast.wear.records import Wear

LAWS_TOLD = {"torn": "damaged", "taken off": "taken off before they are worn"}
_SPELL = ("machine", "site", "wears_as", "start", "end", "cause", "ended", "hours")
MATTERS = 0.1
"""Share of all newer ends by which theirs is off; chosen here."""
MANY_TIMES = 20


def tell_other_ends(history: History, wear: Wear) -> list[Problem]:
    """Findings about ends by damage and by plan: of wear classes, else of sites."""
    spells = history.spells[list(_SPELL)].iloc[some_spells(history, wear)]
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


def _tell(spells: pd.DataFrame, ends: pd.Series, words: str, as_of: pd.Timestamp) -> list[Problem]:
    if not ends.any():
        return []
    told = []
    cells = cells_of(spells, as_of)
    found = shifts(cells, cells.wears_as)
    where = "wears_as" if found else "site"
    found = found or shifts(cells, cells.site, SITE_SD)
    for name, shift in found.items():
        day = as_of - pd.Timedelta(days=shift.months * MONTH_DAYS)
        newer = spells[where].eq(name) & spells["end"].gt(day)
        count = int((ends & newer).sum())
        over = newer.mul(spells["ended"].ne("running")).sum()
        if abs(count - count / shift.over_mean) < MATTERS * max(over, 1):
            continue
        what = f"edges at {name}" if where == "site" else f"{name} edges"
        told.append(
            note(
                f"{what} are {words} {_times(shift.times)} as often an hour since "
                f"{month_words(day)} as before ({count} of {over} ends): the forecast takes the "
                f"mean of the whole log, {1 / shift.over_mean:.2g} of that; if this stays, parts "
                f"are too {'few' if shift.times > 1 else 'many'}",
                "Look what began then: a schedule, another hand, a floor, a part",
                name,
                "cause",
                GRAVE,
            )
        )
    return told
