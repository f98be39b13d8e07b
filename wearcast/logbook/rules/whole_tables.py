"""Tables whose equal rows are two facts: a sheet is a copy of another one only as a whole.

A copy may have lost rows that could not be used there; it is counted once all the same.
"""

from collections import Counter
from dataclasses import dataclass

import pandas as pd

from wearcast.logbook.findings.drafts import (
    IGNORED,
    SET_ASIDE,
    USED,
    Draft,
    Drafts,
    Finding,
    settle,
)

FACTS = ("stock", "on_order")


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What one sheet says."""

    labels: pd.Index
    rows: Counter[tuple[str, ...]]
    lost: int
    """Rows that could not be used."""

    def copies(self, other: "_Sheet", later: bool) -> bool:
        """Whether this sheet says nothing beyond the other one."""
        missing = other.rows.total() - self.rows.total()
        return self.rows <= other.rows and missing <= self.lost and (missing > 0 or later)


def without_copies(drafts: Drafts, depot: str) -> Drafts:
    """The drafts with each whole table of facts counted once.

    Parameters
    ----------
    depot : str
        The depot that a blank one means.
    """
    return drafts | {
        name: settle(drafts[name], repeated_tables(drafts[name], depot)) for name in FACTS
    }


def repeated_tables(draft: Draft, depot: str) -> list[Finding]:
    """One finding for each sheet that repeats another one."""
    sheets = _sheets(draft, depot)
    gone: set[int] = set()
    for at, sheet in enumerate(sheets):
        others = ((place, one) for place, one in enumerate(sheets) if place not in {at, *gone})
        if sheet.rows and any(sheet.copies(other, place < at) for place, other in others):
            gone.add(at)
    wrong = "the same table was given before; its rows were counted once"
    return [Finding(sheets[at].labels, "", "note", "ignored", wrong, "", "") for at in sorted(gone)]


def _sheets(draft: Draft, depot: str) -> list[_Sheet]:
    columns = [column.name for column in draft.table.columns]
    frame = draft.frame[draft.frame["state"].ne(IGNORED)]
    if frame["origin"].nunique() < 2:
        return []
    filled = frame.assign(depot=frame["depot"].where(frame["depot"].ne(""), depot))
    said = filled[columns].astype(str)
    sheets = []
    for _, here in frame.groupby("origin", sort=True):
        used = here.index[here["state"].eq(USED)]
        rows = Counter(map(tuple, said.loc[used].to_numpy()))
        sheets.append(_Sheet(used, rows, int(here["state"].eq(SET_ASIDE).sum())))
    return sheets
