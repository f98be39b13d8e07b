"""Machine and position as one number, so that places of two tables are compared as numbers."""

import numpy as np
import pandas as pd

from wearcast.logbook.findings.coded import Coded, key_of
from wearcast.logbook.findings.drafts import Drafts


def place_keys(drafts: Drafts) -> tuple[np.ndarray, np.ndarray]:
    """The place of each row of positions and of changes: arrays (rows,) of int, alike in both."""
    columns = [_together(drafts, column) for column in ("machine", "position")]
    carried, changed = zip(*columns, strict=True)
    return key_of(carried), key_of(changed)


def _together(drafts: Drafts, column: str) -> tuple[Coded, Coded]:
    """A column of both tables, coded by the names of both."""
    both = [drafts[table].coded(column) for table in ("positions", "changes")]
    names = np.asarray(pd.unique(np.concatenate([one.names for one in both])), object)
    carried, changed = (Coded(one.places_in(names)[one.codes], names) for one in both)
    return carried, changed


def among(keys: np.ndarray, others: np.ndarray) -> np.ndarray:
    """Array (rows,) of bool: True where a key, array (rows,) of int, is one of the others."""
    return np.asarray(pd.Series(keys).isin(others))
