"""When a shelf runs out, by when to order, and how much covers the need: arrays only.

Days count from as-of (day 0). A delivery on a day is on the shelf at the end of that day and
serves the need from the next day on. *Running out* is the first day on which the need is not
met in full; open orders are counted, new ones are not.
"""

import numpy as np

from wearcast.outlook.use import sorted_quantile


def whole_quantile(values: np.ndarray, share: float) -> float:
    """The smallest value of array (draws,) that this share of them at least does not exceed."""
    return float(sorted_quantile(np.sort(values), share))


def run_out_days(needed: np.ndarray, stock: float, delivered: np.ndarray) -> np.ndarray:
    """The first day on which the need is not met in full.

    Parameters
    ----------
    needed : array (draws, days + 1), pieces
        Need from as-of to the end of each day, summed up.
    stock : pieces on the shelf at as-of
    delivered : array (days + 1,) or (draws, days + 1), pieces
        Delivered from as-of to the end of each day, summed up.

    Returns
    -------
    array (draws,)
        Day; inf where the need is met to the last day.
    """
    short = missing_pieces(needed, stock, delivered) > 0
    first = short.argmax(axis=1)
    return np.where(short.any(axis=1), first, np.inf)


def missing_pieces(needed: np.ndarray, stock: float, delivered: np.ndarray) -> np.ndarray:
    """Pieces owed at the end of each day, before that day's delivery: array (draws, days + 1).

    `needed` is an array (draws, days + 1) of pieces summed up from as-of, `delivered` too or one
    row for all draws, an array (days + 1,).
    """
    delivered = np.broadcast_to(delivered, needed.shape)
    before = np.zeros(needed.shape)
    before[:, 1:] = delivered[:, :-1]
    return np.maximum(needed - stock - before, 0.0)


def pieces_to_start_with(needed: np.ndarray, delivered: np.ndarray) -> np.ndarray:
    """Pieces that must lie on the shelf at as-of so that no need goes unmet; array (draws,).

    Less than the need by what is delivered in time; a late delivery spares nothing.
    """
    return np.asarray(missing_pieces(needed, 0.0, delivered).max(axis=1))


def latest_order_day(run_out: np.ndarray, lead: np.ndarray, service_level: float) -> float:
    """The latest day on which a delivery ordered then arrives before the shelf runs out.

    Parameters
    ----------
    run_out : array (draws,), day
    lead : array (draws,), whole days from order to delivery
    service_level : share of the draws in which it must arrive in time

    Returns
    -------
    float
        Day, negative if it has passed; inf if nothing runs out within the draws.
    """
    latest = run_out - 1 - lead
    return -whole_quantile(-latest, service_level)


def need_by(needed: np.ndarray, day: np.ndarray) -> np.ndarray:
    """Need from as-of to the end of a day of each draw's own; array (draws,)."""
    last = needed.shape[1] - 1
    column = np.minimum(day, last).astype(np.int64)
    return np.take_along_axis(needed, column[:, None], axis=1)[:, 0]


def owed_days(
    needed: np.ndarray,
    stock: float,
    delivered: np.ndarray,
    pieces: float,
    arrives: np.ndarray,
    until: int,
) -> np.ndarray:
    """Days on which pieces are owed, up to a day, with a new order that arrives on its day.

    Parameters
    ----------
    needed, stock, delivered
        As in `run_out_days`.
    pieces : pieces of the new order
    arrives : array (draws,), day on which it arrives
    until : last day that counts

    Returns
    -------
    array (draws,), days
    """
    days = np.arange(needed.shape[1])
    new = np.where(days[None, :] >= arrives[:, None], pieces, 0.0)
    short = missing_pieces(needed, stock, np.asarray(delivered) + new) > 0
    return np.asarray(np.count_nonzero(short[:, : until + 1], axis=1))


def services(
    need: np.ndarray, pieces: float, early: np.ndarray | bool = False
) -> tuple[float, float]:
    """Both services of so many pieces over a window.

    Parameters
    ----------
    need : array (draws,), pieces
    pieces : pieces that are there or come
    early : array (draws,), bool
        Where the shelf was empty before they came.

    Returns
    -------
    cycle : float
        Chance of no shortage: share of the draws in which the need does not exceed the pieces,
        and they came before it.
    shelf : float
        Share of the pieces needed that there are by the end, late or not; 1 where nothing is
        needed.

    Notes
    -----
    The two differ: a Poisson need of mean 3 and 5 pieces give 0.916 and 0.955. The service
    level that is asked for is the first (Silver, Pyke and Thomas, Inventory and Production
    Management in Supply Chains, ch. 6: P1 and P2).
    """
    cycle = float(np.mean((need <= pieces) & ~early))
    total = float(need.sum())
    shelf = float(np.minimum(need, pieces).sum()) / total if total > 0 else 1.0
    return cycle, shelf
