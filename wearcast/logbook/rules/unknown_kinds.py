"""Parts whose turns cannot count, since nothing says that they have several edges."""

from collections.abc import Iterator

import pandas as pd

from wearcast.told import GRAVE, Problem

FEWEST = 3
"""Turns of a part from which on it must have edges to turn."""


def tell_unknown_kinds(parts: pd.DataFrame, changes: pd.DataFrame) -> Iterator[Problem]:
    """One finding on each part without a catalogue line that is turned and named like none.

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
    for name, mine in turned[called.isin(strange)].groupby(called, sort=True):
        if len(mine) < FEWEST:
            continue
        wrong = (
            f"the name says neither blade, brush nor pad and no table parts lists it, so one edge"
            f" is taken and its {len(mine)} turns end nothing: its life is far too long"
        )
        cure = f"Give {name} a row in parts with kind and edges, or call the position a blade"
        for source, rows in mine.groupby("source", sort=True)["row"]:
            places = tuple(sorted({int(row) for row in rows}))
            yield Problem(
                str(source), "changes", places, "position", str(name), "note", wrong, cure, GRAVE
            )
