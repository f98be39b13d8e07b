"""Set-aside changes whose place is known: something was done there, but not what.

The spell around such a change must be cut; if even its date is unknown, it may lie in any spell
of its position, which is then left out of the fit altogether.
"""

from collections.abc import Collection
from dataclasses import replace

import numpy as np
import pandas as pd

from wearcast.logbook.findings.drafts import SET_ASIDE, USED, Draft, Drafts
from wearcast.logbook.rules.positions import positions_in, seats_of

_PLACE = ["machine", "position"]
UNDATED = "as it may lie in any spell there, its position is left out of the fit"


def gap_rows(drafts: Drafts, machines: Collection[str]) -> pd.DataFrame:
    """The set-aside changes at places that another row names.

    A position that no other row names has no spell that could be cut. What another file tells of
    that place and day is the same deed, told better.
    """
    changes = drafts["changes"]
    rows = changes.frame
    if not changes.any_aside:
        return rows[:0]
    aside = rows[changes.in_state(SET_ASIDE) & rows["machine"].isin(machines)]
    aside = _one_by_one(aside, drafts)
    named = pd.concat([changes.used[_PLACE], drafts["positions"].used[_PLACE]])
    known = pd.MultiIndex.from_frame(aside[_PLACE]).isin(pd.MultiIndex.from_frame(named))
    placed = known & aside["position"].ne("").to_numpy()
    gaps: pd.DataFrame = aside[placed & ~_told_elsewhere(aside, rows)]
    return gaps


def _one_by_one(aside: pd.DataFrame, drafts: Drafts) -> pd.DataFrame:
    """The rows, one for each place where a position stands for several."""
    seats = seats_of(drafts) if len(aside) else {}
    meant = [
        (positions_in(name, seats.get(machine, set()) - {name}) if name else []) or [name]
        for machine, name in zip(aside["machine"], aside["position"], strict=True)
    ]
    each = aside.assign(position=pd.Series(meant, aside.index, dtype=object))
    return each.explode("position").astype({"position": object})


def _told_elsewhere(aside: pd.DataFrame, rows: pd.DataFrame) -> np.ndarray:
    """Whether a used row of another sheet tells of the same place and day."""
    if aside.empty or rows["origin"].nunique() < 2:
        return np.zeros(len(aside), bool)
    used = rows[rows["state"].eq(USED) & rows["date"].notna()]
    sheets = used.groupby([*_PLACE, "date"])["origin"].agg(["min", "max"])
    where = [*_PLACE, "date"]
    found = aside[[*where, "origin"]].merge(sheets, how="left", left_on=where, right_index=True)
    return np.asarray(found["min"].lt(found["origin"]) | found["max"].gt(found["origin"]))


def undated_told(drafts: Drafts, machines: Collection[str]) -> Draft:
    """The changes, whose findings on dates say which positions are left out of the fit."""
    gaps = gap_rows(drafts, machines)
    undated = gaps[gaps["date"].isna()]
    if undated.empty:
        return drafts["changes"]
    places = set(zip(undated["source"], undated["row"], strict=True))
    told = tuple(
        problem._replace(wrong=f"{problem.wrong}; {UNDATED}")
        if problem.column == "date"
        and problem.severity == "set aside"
        and any((problem.source, row) in places for row in problem.rows)
        else problem
        for problem in drafts["changes"].told
    )
    return replace(drafts["changes"], told=told)
