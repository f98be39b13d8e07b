"""Parts in the place of others: who replaces whom, and whose need old stock still serves.

A part that is replaced by another is not ordered any more. At each depot its stock is used up
first: by the machines that carry it, and by those that already carry a part in its place. It does
not serve machines that carry another part with the same successor: that the new part fits both
does not mean that either old one fits the other's place. What an old part's own machines need
beyond its stock is ordered as the part in its place, and serves no other old part either.
"""

from collections.abc import Sequence

import numpy as np
import pandas as pd


def successors(parts: pd.DataFrame) -> dict[str, str]:
    """The part in whose place each replaced part is ordered; rings of replacements are left out."""
    named = parts.loc[parts["replaced_by"].isin(parts["part"]), ["part", "replaced_by"]]
    after = dict(zip(named["part"], named["replaced_by"], strict=True))
    return {part: other for part, other in after.items() if not _in_ring(part, after)}


def _in_ring(part: str, after: dict[str, str]) -> bool:
    place, steps = part, 0
    while place in after and steps <= len(after):
        place, steps = after[place], steps + 1
        if place == part:
            return True
    return False


def chain_of(part: str, successor: dict[str, str]) -> list[str]:
    """The part and, one after the other, those that take its place."""
    chain = [part]
    while chain[-1] in successor:
        chain.append(successor[chain[-1]])
    return chain


def predecessors_first(parts: dict[str, set[str]], successor: dict[str, str]) -> list[str]:
    """The parts sorted so that each comes before the part that replaces it."""
    generation = dict.fromkeys(parts, 0)
    for part in successor:
        for steps, later in enumerate(chain_of(part, successor)):
            generation[later] = max(generation.get(later, 0), steps)
    return sorted(parts, key=lambda part: (generation[part], part))


def share_out(beyond: np.ndarray, needs: Sequence[np.ndarray]) -> list[np.ndarray]:
    """What each of several needs lacks when all draw on one shelf, the first of a day first.

    Parameters
    ----------
    beyond : array (draws, days + 1), pieces
        Need that the shelf did not meet, summed up from as-of, never falling.
    needs : arrays (draws, days + 1), pieces
        The needs that it comes from, summed up.

    Returns
    -------
    list of arrays, one a need; they sum to `beyond`
    """
    lacking = np.diff(beyond, axis=1, prepend=0.0)
    shares = []
    for need in reversed(needs):
        own = np.minimum(lacking, np.diff(need, axis=1, prepend=0.0))
        lacking = lacking - own
        shares.append(np.cumsum(own, axis=1))
    return shares[::-1]
