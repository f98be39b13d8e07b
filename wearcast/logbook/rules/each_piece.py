"""Rows that stand twice because two pieces were changed, and nothing says that two were."""

import pandas as pd

from wearcast.logbook.findings.drafts import IGNORED, USED, Drafts, Finding
from wearcast.told import GRAVE

LEAST, OFTEN = 10, 0.5
"""So many copies at a position, and such a share of its rows, are no slips; chosen here."""


def each_piece(drafts: Drafts) -> list[Finding]:
    """Positions whose changes mostly stand twice in one sheet and use one piece, as written."""
    rows = drafts["changes"].frame
    twice = rows[rows["state"].eq(IGNORED) & rows["position"].ne("") & rows["date"].notna()]
    if len(twice) < LEAST:
        return []
    alike = ["machine", "date", "position", "action", "part", "cause", "hours", "origin"]
    used = rows[rows["state"].eq(USED)]
    copies = twice.reset_index().merge(used[alike].drop_duplicates(), on=alike)
    carried = drafts["positions"].used
    several = carried.loc[carried["pieces"].gt(1), "position"]
    written = used.loc[used["pieces"].gt(1), "position"]
    count, every = copies["position"].value_counts(), used["position"].value_counts()
    return [
        _told(copies.loc[copies["position"].eq(name), "index"], str(name), int(every[name]))
        for name in sorted(count.index)
        if count[name] >= max(LEAST, OFTEN * every[name])
        and not (several.eq(name).any() or written.eq(name).any())
    ]


def _told(rows: pd.Series, name: str, every: int) -> Finding:
    wrong = (
        f"{len(rows)} of {every} changes at {name} stand twice and count once, as one piece: if "
        f"each row is a piece, half of what is used there is not forecast"
    )
    remedy = "If so, write under pieces in the table positions how many one change uses"
    return Finding(pd.Index(rows), "position", "note", "kept", wrong, remedy, name, weight=GRAVE)
