"""Rows that say nothing but what another row says more fully: copies of it, counted once.

Within a table this concerns what may stand only once. Two lines on one deed may be two deeds;
only where each of several files has one of them is the barer one a copy.
"""

import numpy as np
import pandas as pd

from wearcast.logbook.findings.drafts import Draft, Finding
from wearcast.logbook.rules.checks import BLANK_IS, KEYS

DEED = ("machine", "date", "position", "action")


def lesser_rows(draft: Draft) -> list[Finding]:
    """Rows whose filled cells all stand in a fuller row about the same thing."""
    key = list(DEED if draft.table.name == "changes" else KEYS.get(draft.table.name, ()))
    if not key or draft.used.empty:
        return []
    sure = [name for name in key if name not in BLANK_IS]
    rows = draft.used[draft.alike(sure)]
    rows = rows.fillna({name: one for name, one in BLANK_IS.items() if name in rows})
    rows = rows[rows.duplicated(key, keep=False)]
    if draft.table.name == "changes":
        several = rows.duplicated([*key, "origin"], keep=False)
        rows = rows[~several.groupby([rows[name] for name in key]).transform("any")]
    if rows.empty:
        return []
    blank = pd.DataFrame(
        {column.name: _nothing(rows[column.name]) for column in draft.table.columns}
    )
    about = rows.groupby(key, dropna=False).ngroup()
    fullest = (~blank).sum(axis=1).groupby(about).transform("idxmax")
    lesser = (fullest != rows.index).to_numpy()
    for column in draft.table.columns:
        one, other = rows[column.name], rows.loc[fullest, column.name]
        nothing = blank[column.name].to_numpy()
        equal = (one.to_numpy() == other.to_numpy()) | (nothing & _nothing(other).to_numpy())
        lesser = lesser & (equal | (nothing & (not column.holds_row)))
    wrong = "another row says the same and more; it was counted once"
    return (
        [Finding(rows.index[lesser], "", "note", "ignored", wrong, "", "")] if lesser.any() else []
    )


def _nothing(cells: pd.Series) -> pd.Series:
    """Which cells hold nothing."""
    return cells.isna() | np.asarray(cells.eq(""))
