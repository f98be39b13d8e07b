"""Set-aside changes whose place is known: something was done there, but not what.

The spell around such a change must be cut; if even its date is unknown, it may lie in any spell
of its position, which is then left out of the fit altogether.
"""

from collections.abc import Collection
from dataclasses import replace

import pandas as pd

from wearcast.logbook.drafts import SET_ASIDE, Draft, Drafts

_PLACE = ["machine", "position"]
UNDATED = "as it may lie in any spell there, its position is left out of the fit"


def gap_rows(drafts: Drafts, machines: Collection[str]) -> pd.DataFrame:
    """The set-aside changes at places that another row names.

    A position that no other row names has no spell that could be cut.
    """
    changes = drafts["changes"]
    rows = changes.frame
    aside = rows[rows["state"].eq(SET_ASIDE) & rows["machine"].isin(machines)]
    named = pd.concat([changes.used[_PLACE], drafts["positions"].used[_PLACE]])
    known = pd.MultiIndex.from_frame(aside[_PLACE]).isin(pd.MultiIndex.from_frame(named))
    return aside[known & aside["position"].ne("").to_numpy()]


def undated_told(drafts: Drafts, machines: Collection[str]) -> Draft:
    """The changes, whose findings on dates say which positions are left out of the fit."""
    gaps = gap_rows(drafts, machines)
    undated = gaps[gaps["date"].isna()]
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
