"""A logbook of some of its machines."""

from dataclasses import replace

import pandas as pd

from wearcast.logbook.book import Logbook


def without(book: Logbook, machines: pd.Index) -> Logbook:
    """The logbook without some machines: all that is written of them is gone."""
    names = ("machines", "readings", "changes", "floors", "positions", "plans")
    kept = {
        name: rows[~rows["machine"].isin(machines)].reset_index(drop=True)
        for name in names
        for rows in [getattr(book, name)]
    }
    return replace(book, **kept)
