"""What front or rear and end-for-end turning do to a part's life, and where the log cannot tell."""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

if TYPE_CHECKING:
    from wearcast.wear.records import Wear

_ASKED = (("front", "blade"), ("turning", "brush"))
"""Each effect with the kind of part that it is asked of, whether or not the log has an answer."""
_AGAINST = {"front": "front against rear", "turning": "turned end for end against never"}
_ONES = {"front": "front ones", "turning": "regularly turned ones"}
_UNSURE = "the log cannot tell: the range holds 1"
_UNKNOWN = "the log cannot tell: too few worn ends on one side or the other"


def effects_shown(wear: "Wear") -> pd.DataFrame:
    """Effects on life by wear class; those that the log cannot tell are named too.

    Returns
    -------
    DataFrame
        wears_as, against (words), life_ratio, low, high (90 %; nan where not known), meaning.
    """
    asked = pd.DataFrame(
        [
            (name, effect)
            for name, kind in zip(wear.classes, wear.kinds, strict=True)
            for effect, asked_of in _ASKED
            if kind == asked_of
        ],
        columns=["wears_as", "effect"],
    )
    found = wear.effect_table.reindex(columns=["wears_as", "effect", "life_ratio", "low", "high"])
    both = asked.astype(object).merge(found.astype({"wears_as": object, "effect": object}),
                                      how="outer", on=["wears_as", "effect"])  # fmt: skip
    both = both.sort_values(["effect", "wears_as"]).reset_index(drop=True)
    figures = {name: both[name].astype(float) for name in ("life_ratio", "low", "high")}
    columns = zip(both["effect"], *figures.values(), strict=True)
    meaning = [_meaning(*each) for each in columns]
    return pd.DataFrame({
        "wears_as": both["wears_as"], "against": both["effect"].map(_AGAINST), **figures,
        "meaning": pd.Series(meaning, index=both.index, dtype=object),
    })  # fmt: skip


def _meaning(effect: str, ratio: float, low: float, high: float) -> str:
    """What the figures say, in words."""
    if not np.isfinite(ratio):
        return _UNKNOWN
    if low <= 1 <= high:
        return _UNSURE
    side = "longer" if ratio > 1 else "shorter"
    return f"{_ONES[effect]} last {100 * abs(ratio - 1):.0f} % {side}"
