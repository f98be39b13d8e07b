"""Rows that stand twice because two pieces were changed, and nothing says that two were."""

import pandas as pd

from wearcast.logbook.findings.drafts import IGNORED, Draft, Drafts, Finding
from wearcast.told import GRAVE

LEAST, OFTEN = 10, 0.5
"""So many copies at a position, and such a share of its rows, are no slips; chosen here."""


def each_piece(drafts: Drafts) -> list[Finding]:
    """Positions whose changes mostly stand twice in one sheet and use one piece, as written."""
    changes = drafts["changes"]
    twice = changes.frame[changes.in_state(IGNORED)]
    twice = twice[twice["position"].ne("") & twice["date"].notna()]
    if len(twice) < LEAST:
        return []
    alike = ["machine", "date", "position", "action", "part", "cause", "hours", "origin"]
    used = changes.used[alike]
    used = used[used["machine"].isin(twice["machine"])]  # each machine is told by its own rows
    copies = twice.reset_index().merge(used.drop_duplicates(), on=alike)
    several = _of_several(drafts["positions"]) | _of_several(changes)
    names = changes.coded("position")
    every = dict(zip(names.names, names.counts(changes.used_rows).tolist(), strict=True))
    return [
        _told(rows, str(name), every[str(name)])
        for name, rows in copies.groupby("position", sort=True)["index"]
        if len(rows) >= max(LEAST, OFTEN * every[str(name)]) and name not in several
    ]


def _of_several(draft: Draft) -> set[str]:
    """The positions that some row in use says to hold, or to take, several pieces."""
    return draft.names("position", draft.used_rows & draft.frame["pieces"].gt(1).to_numpy())


def _told(rows: pd.Series, name: str, every: int) -> Finding:
    wrong = (
        f"{len(rows)} of {every} changes at {name} stand twice and count once, as one piece: if "
        f"each row is a piece, half of what is used there is not forecast"
    )
    remedy = "If so, write under pieces in the table positions how many one change uses"
    return Finding(pd.Index(rows), "position", "note", "kept", wrong, remedy, name, weight=GRAVE)
