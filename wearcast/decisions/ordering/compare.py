"""Why an order line moved since an earlier order, in pieces; the causes sum to the move.

Pieces ordered = expected use + the range above it - pieces on the shelf - pieces on order - pieces
moved in + what packs, smallest orders and surplus add. Expected use = days of the window x machines
x hours of a machine and day x pieces an hour: the move of that product is shared out among its
factors by the logarithmic mean, which leaves no rest: with L = (now - before) / log(now / before),
a factor that went from f to g moved L log(g / f). The shelf lost what was used in between, as
forecast or more or less than that; the rest of its move was delivered, counted or lost.
"""

import numpy as np
import pandas as pd

FACTORS = ("window", "machines", "hours", "wear")
CAUSES = (
    *FACTORS,
    "use",
    "range",
    "drawn",
    "ran",
    "counted",
    "on_hand",
    "uncounted",
    "on_order",
    "moved",
    "packs",
)
"""Of `order_moves`: the factors or, where they cannot be told apart, ``use`` as a whole; ``range``
above the mean; ``drawn`` (used since as forecast), ``ran`` (beyond that) and ``counted`` (the rest
of the shelf's move) or, where the use since is not known, ``on_hand``; ``uncounted``: the shelf of
one order, where nobody counted the other's: that says nothing of what lay there; ``packs``, the
rest."""
FIGURES = (
    "order_pieces", "order_up_to", "expected_use", "on_hand", "on_order", "moved_in", "moved_out",
    "used", "machines", "hours_per_week",
)  # fmt: skip
DATES = ("from", "to")


def order_moves(now: pd.DataFrame, before: pd.DataFrame) -> pd.DataFrame:
    """Pieces by which the order moved, by cause; a cause that adds to the order is positive.

    Parameters
    ----------
    now, before : DataFrame, same index
        The columns of `FIGURES` and `DATES`; a figure that an order does not tell is nan. ``used``
        counts the pieces fitted since the log began.

    Returns
    -------
    DataFrame
        The columns of `CAUSES`; they sum to the move of order_pieces.
    """
    step = {name: _known(now, name) - _known(before, name) for name in FIGURES}
    by_factor = use_moves(now, before)
    whole = by_factor.isna().any(axis=1)
    uncounted = now["on_hand"].isna() | before["on_hand"].isna()
    used, drawn = (one.mask(uncounted) for one in used_between(now, before))
    moves = pd.DataFrame(
        {
            **by_factor.fillna(0.0),
            "use": step["expected_use"].where(whole, 0.0),
            "range": step["order_up_to"] - step["expected_use"],
            "drawn": drawn.fillna(0.0),
            "ran": (used - drawn).fillna(0.0),
            "counted": -(step["on_hand"] + used).fillna(0.0),
            "on_hand": -step["on_hand"].where(used.isna() & ~uncounted, 0.0),
            "uncounted": -step["on_hand"].where(uncounted, 0.0),
            "on_order": -step["on_order"],
            "moved": step["moved_out"] - step["moved_in"],
        }
    )
    return moves.assign(packs=step["order_pieces"] - moves.sum(axis=1))[list(CAUSES)]


def _known(lines: pd.DataFrame, name: str) -> pd.Series:
    return lines[name].astype(float).fillna(0.0)


def used_between(now: pd.DataFrame, before: pd.DataFrame) -> tuple[pd.Series, pd.Series]:
    """Pieces fitted between the two as-of dates, and what was forecast; nan where not known.

    Parameters
    ----------
    now, before : DataFrame, same index
        used, ``from``, ``to``, expected_use.
    """
    used = now["used"].astype(float) - before["used"].astype(float)
    elapsed = (now["from"] - before["from"]).dt.days
    window = (before["to"] - before["from"]).dt.days + 1
    drawn = before["expected_use"].astype(float) / window * elapsed
    told = (used >= 0) & (elapsed >= 0) & drawn.notna()
    return used.where(told), drawn.where(told)


def use_since(now: pd.DataFrame, before: pd.DataFrame) -> pd.DataFrame:
    """Pieces fitted between the two as-of dates, beside the earlier forecast and its range.

    The earlier range is of its whole window. Over a share of it chance has a width of the root of
    that share and what is shared by all days one of the share itself: the wider of the two is
    taken.

    Parameters
    ----------
    now, before : DataFrame, same index
        used, ``from``, ``to``, expected_use; of `before` also use_p05, use_p95.

    Returns
    -------
    DataFrame
        used_since, forecast_then, then_low, then_high (90 %) [pieces] and held (``as forecast``,
        ``more`` or ``less``); rows of which that is not known are left out.
    """
    used, drawn = used_between(now, before)
    share = drawn / before["expected_use"].astype(float).where(lambda use: use > 0)
    wide = np.maximum(np.sqrt(share), share)
    low, high = (
        drawn + wide * (before[name].astype(float) - before["expected_use"].astype(float))
        for name in ("use_p05", "use_p95")
    )
    low = low.clip(lower=0.0)
    held = pd.Series("as forecast", used.index).mask(used > high, "more").mask(used < low, "less")
    found = pd.DataFrame(
        {"used_since": used, "forecast_then": drawn, "then_low": low, "then_high": high,
         "held": held}
    )  # fmt: skip
    return found[found[["used_since", "then_low", "then_high"]].notna().all(axis=1) & share.gt(0)]


def use_moves(now: pd.DataFrame, before: pd.DataFrame) -> pd.DataFrame:
    """Pieces by which expected use moved, by factor.

    Parameters
    ----------
    now, before : DataFrame, same index
        expected_use, from, to, machines (number that draw on the shelf), hours_per_week (of all
        of them); a figure that is missing or 0 leaves its row without causes.

    Returns
    -------
    DataFrame
        window, machines, hours (of a machine), wear (pieces an hour: newly fitted); pieces, which
        sum to the move; nan where they cannot be told apart.
    """
    new, old = _factors(now), _factors(before)
    known = (new > 0).all(axis=1) & (old > 0).all(axis=1)
    ratios = (new / old).where(known)
    logs = pd.DataFrame({cause: np.log(ratios[cause]) for cause in FACTORS}, index=now.index)
    step = now["expected_use"].astype(float) - before["expected_use"].astype(float)
    total = logs.sum(axis=1, min_count=len(FACTORS))
    # Where nothing moved on the whole the logarithmic mean is the use itself.
    mean = (step / total).where(total.abs() > 1e-12, now["expected_use"].astype(float))
    moved: pd.DataFrame = logs.mul(mean, axis=0)
    return moved


def _factors(lines: pd.DataFrame) -> pd.DataFrame:
    days = (lines["to"] - lines["from"]).dt.days + 1.0
    machines = lines["machines"].astype(float)
    hours = lines["hours_per_week"].astype(float) / 7 / machines.where(machines > 0)
    use = lines["expected_use"].astype(float)
    work = days * machines * hours
    return pd.DataFrame(
        {"window": days, "machines": machines, "hours": hours, "wear": use / work.where(work > 0)}
    )
