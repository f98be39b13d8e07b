"""Edges and parts in the long run: how many edges a part gives, what its hours are.

How long an edge lasts and why it ends stands in `wearcast.wear.life`.
"""

import numpy as np

from wearcast.wear.life import FirstEnd
from wearcast.wear.records import WearDraws


def edges_a_part(edges: np.ndarray, end: FirstEnd, wear: WearDraws) -> np.ndarray:
    """Mean number of edges that a part gives before it goes.

    Parameters
    ----------
    edges : array (slots,)
        Edges that the part has.
    end : FirstEnd
        Arrays (slots, draws) or (slots, draws, floors).
    wear : WearDraws
        Its habits: what becomes of a part whose edge ended.
    """
    habit = np.moveaxis(wear.habit[wear.habit_of], (1, 2), (0, 1))
    if end.hours.ndim == 3:
        habit = habit[..., None]
    return edges_given(edges.reshape(-1, *(1,) * (end.hours.ndim - 1)), end, habit)


def edges_given(edges: np.ndarray, end: FirstEnd, habit: np.ndarray) -> np.ndarray:
    """The same where habits stand beside the ends.

    Parameters
    ----------
    edges : array that broadcasts with the ends
    end : FirstEnd
        Arrays of any shape.
    habit : array (laws, edges, ...), that broadcasts with the ends behind
        Chance that an end replaces the part though edges are left.
    """
    given, reached = np.zeros(end.hours.shape), np.ones(end.hours.shape)
    by_law = (end.worn, end.torn, end.taken_off)
    for edge in range(int(np.max(edges, initial=1))):
        given += np.where(edges > edge, reached, 0.0)
        early = sum(chance * habit[law, edge] for law, chance in enumerate(by_law))
        reached = reached * (1 - early)
    return given
