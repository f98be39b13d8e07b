"""Product-limit curves, for eyes and tests: what the data say without a Weibull."""

import numpy as np
import pandas as pd

from wearcast.wear.priors import Z90


def product_limit(
    hours: np.ndarray, worn: np.ndarray, entry: np.ndarray | None = None
) -> pd.DataFrame:
    """Chance that an edge is still good, by hours at work.

    Parameters
    ----------
    hours : array (spells,), h
        Hours at work when the edge ended or was last seen, counted from when it went on the floor.
        Any other measure of wear that only grows will do as well.
    worn : array of bool (spells,)
        True where the edge ended worn; False where it was still good (right-censored).
    entry : array (spells,), h, optional
        Hours already at work when observation began, on the same zero as `hours`
        (left truncation); such a spell is at risk only after them.

    Returns
    -------
    DataFrame, one row a distinct end
        ``hours`` [h], ``at_risk`` [spells], ``ended`` [spells], ``good`` [0..1], ``error``
        (Greenwood's standard error), ``low``, ``high`` (90 %, on the log-log scale, nan where the
        chance is 0).

    Raises
    ------
    ValueError
        If an edge ends before it began.

    Notes
    -----
    At one and the same hour an end comes before a censoring, and an entry after both [1]_.

    References
    ----------
    .. [1] E. L. Kaplan and P. Meier, J. Am. Stat. Assoc. 53 (1958) 457-481, p. 461.
    """
    began = np.zeros(len(hours)) if entry is None else np.asarray(entry, dtype=float)
    if (np.asarray(hours) < began).any():
        raise ValueError("an edge cannot end before it began")
    ends, ended = np.unique(np.asarray(hours)[np.asarray(worn, dtype=bool)], return_counts=True)
    last_seen, first_seen = np.sort(hours), np.sort(began)
    at_risk = np.searchsorted(first_seen, ends, "left") - np.searchsorted(last_seen, ends, "left")
    good = np.cumprod(1 - ended / at_risk)
    with np.errstate(divide="ignore", invalid="ignore"):
        greenwood = np.cumsum(ended / (at_risk * (at_risk - ended)))
        error = good * np.sqrt(greenwood)
        swing = Z90 * np.sqrt(greenwood) / np.log(good)
        low, high = good ** np.exp(-swing), good ** np.exp(swing)
    open_end = good > 0
    return pd.DataFrame(
        {
            "hours": ends,
            "at_risk": at_risk,
            "ended": ended,
            "good": good,
            "error": np.where(open_end, error, np.nan),
            "low": np.where(open_end, low, np.nan),
            "high": np.where(open_end, high, np.nan),
        }
    )
