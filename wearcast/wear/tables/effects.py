"""How far each effect changes the life of a part, as a table."""

from collections.abc import Iterable

import numpy as np
import pandas as pd

from wearcast.wear.priors import Z90
from wearcast.wear.records import Block


def effect_rows(classes: Iterable[tuple[str, tuple[str, ...], Block]]) -> pd.DataFrame:
    """How far each effect changes the life of a part, with its 90 % interval.

    Parameters
    ----------
    classes : iterable of (wear class, its effects, its block)

    Returns
    -------
    DataFrame, one row an effect of a class
        ``wears_as``, ``effect``, ``life_ratio`` (``front``: front over rear; ``turning``:
        regularly turned over never), ``low``, ``high``.
    """
    found = [
        (name, effect, block, block.terms.index(f"{effect}[{name}]"))
        for name, effects, block in classes
        for effect in effects
        if f"{effect}[{name}]" in block.terms
    ]
    middle = -np.array([block.mean[at] for _, _, block, at in found])
    error = np.sqrt(np.array([block.cov[at, at] for _, _, block, at in found]))
    return pd.DataFrame(
        {
            "wears_as": pd.Series([name for name, *_ in found], dtype=object),
            "effect": pd.Series([effect for _, effect, *_ in found], dtype=object),
            "life_ratio": np.exp(middle),
            "low": np.exp(middle - Z90 * error),
            "high": np.exp(middle + Z90 * error),
        }
    )
