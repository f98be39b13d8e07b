"""Moves between depots: what lies too much in one before anything is bought for another."""

import numpy as np


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
