"""Moves between depots: what lies too much in one before anything is bought for another.

First goes what another depot lacks until its open orders arrive, which no purchase may cure; then
what it lacks before a new order can come, also from a depot that does not have too much but whose
own new order comes before it needs the pieces; then what saves buying. A depot where nobody
counted neither gives nor takes. Stock of a replaced part moves where the part or its successor is
short.
"""

from dataclasses import replace

import numpy as np

from wearcast.decisions.ordering.prices import Terms, buy
from wearcast.decisions.ordering.shelf import Shelf


def with_moves(shelves: list[Shelf], terms: Terms) -> list[Shelf]:
    """The shelves of one part with the proposed moves between them."""
    first = move_surplus(
        np.array([shelf.dip for shelf in shelves]), np.array([shelf.spare for shelf in shelves])
    )
    after = _moved(shelves, first)
    first = first + move_surplus(
        np.array([shelf.urgent for shelf in after]), np.array([shelf.lendable for shelf in after])
    )
    after = _moved(shelves, first)
    short = np.array([shelf.short if shelf.counted else 0.0 for shelf in after])
    then = move_surplus(short, np.array([shelf.spare for shelf in after]))
    for to, shelf in enumerate(after):
        saved = then[:, to].sum()
        # A move that saves no pack is not worth the trip; of a replaced part no pack is bought.
        if not shelf.replaced_by and _bought(short[to] - saved, terms) == _bought(short[to], terms):
            then[:, to] = 0.0
    return _moved(shelves, first + then)


def _bought(missing: float, terms: Terms) -> float:
    return buy(missing, terms).pieces


def _moved(shelves: list[Shelf], moved: np.ndarray) -> list[Shelf]:
    """The shelves with so many pieces moved from each to each."""
    names = [shelf.depot for shelf in shelves]
    return [
        replace(shelf, moved_in=_some(names, moved[:, at]), moved_out=_some(names, moved[at]))
        for at, shelf in enumerate(shelves)
    ]


def _some(names: list[str], pieces: np.ndarray) -> tuple[tuple[str, float], ...]:
    moves = zip(names, pieces.tolist(), strict=True)
    return tuple((name, count) for name, count in moves if count > 0)


def move_surplus(missing: np.ndarray, spare: np.ndarray) -> np.ndarray:
    """Pieces to move from each depot to each other.

    The largest shortage is served first, from the largest surplus first, so that as few moves as
    possible are made; ties go by the depots' order.

    Parameters
    ----------
    missing : array (depots,), pieces below what the depot needs, 0 or more
    spare : array (depots,), pieces on the shelf above what the depot needs, 0 or more

    Returns
    -------
    array (depots from, depots to), pieces
    """
    moved = np.zeros((len(spare), len(missing)))
    left = np.floor(np.asarray(spare, float))
    for to in np.argsort(-np.asarray(missing), kind="stable"):
        wanted = float(np.ceil(missing[to] - 1e-9))
        for origin in np.argsort(-left, kind="stable"):
            pieces = min(wanted, left[origin]) if origin != to else 0.0
            moved[origin, to] += pieces
            left[origin] -= pieces
            wanted -= pieces
    return moved
