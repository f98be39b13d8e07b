"""Parts whose turns cannot count, since nothing says that they have several edges."""

from collections.abc import Iterator

import pandas as pd

from wearcast.logbook.schema.spelling import listed
from wearcast.told import GRAVE, Problem

FEWEST = 3
"""Turns of a part from which on it must have edges to turn."""


def tell_unknown_kinds(parts: pd.DataFrame, changes: pd.DataFrame) -> Iterator[Problem]:
    """One finding a file on the parts without a catalogue line that are turned and named like none.

    Parameters
    ----------
    parts : DataFrame
        The complete catalogue: part, kind, catalogued.
    changes : DataFrame
        The written changes: part (blank: called like the position), position, action, source, row.
    """
    strange = set(parts.loc[~parts["catalogued"] & parts["kind"].eq("other"), "part"])
    turned = changes[changes["action"].eq("turn")]
    called = turned["part"].where(turned["part"].ne(""), turned["position"])
    counts = called[called.isin(strange)].value_counts()
    names = sorted(map(str, counts.index[counts.ge(FEWEST)]))
    mine = turned[called.isin(names)]
    wrong = (
        f"no table parts lists {listed(names)}, and the name says neither blade, brush nor pad: one"
        f" edge is taken, so {len(mine)} turns end nothing and lives are far too long"
    )
    cure = "Give each a row in parts with kind and edges, or call the position a blade"
    for source, rows in mine.groupby("source", sort=True)["row"]:
        places = tuple(sorted({int(row) for row in rows}))
        value = listed(names)
        yield Problem(str(source), "changes", places, "position", value, "note", wrong, cure, GRAVE)
