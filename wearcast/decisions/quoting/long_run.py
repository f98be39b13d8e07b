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
    habit = wear.habit[wear.habit_of]
    if end.hours.ndim == 3:
        habit = habit[..., None]
    given, reached = np.zeros(end.hours.shape), np.ones(end.hours.shape)
    by_law = (end.worn, end.torn, end.taken_off)
    for edge in range(int(np.max(edges, initial=1))):
        has = (edges > edge).reshape(-1, *(1,) * (reached.ndim - 1))
        given += np.where(has, reached, 0.0)
        early = sum(chance * habit[:, law, edge] for law, chance in enumerate(by_law))
        reached = reached * (1 - early)
    return given
