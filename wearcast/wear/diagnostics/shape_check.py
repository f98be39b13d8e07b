"""Is the shape right? Generalised residuals against what a Weibull says.

If the model holds, ``e = -log(chance to last so long)`` of the spells is a censored sample of the
unit exponential distribution, whatever floors and machines they come from (Cox and Snell, J. R.
Statist. Soc. B 30 (1968) 248-275). Ends are counted in classes of e and compared with the hazard
that was run through there.
"""

import numpy as np
import pandas as pd
from scipy.special import chdtrc

CUTS = -np.log(1 - np.array([0.0, 0.05, 0.15, 0.3, 0.5, 0.7, 0.85, 0.95]))
"""Lower ends of the classes of e."""
FITTED = 2
"""Parameters that bend the curve (scale and shape) and so take a degree of freedom each."""
FEWEST_ENDS = 40
DOUBT = 1e-3
"""A fit with a smaller chance to look as bad or worse is told."""


def count_ends(residuals: np.ndarray, worn: np.ndarray) -> pd.DataFrame:
    """Worn ends by class of residual, seen and fitted.

    Parameters
    ----------
    residuals : array (spells,)
        Hazard run through by each spell.
    worn : array of bool (spells,)

    Returns
    -------
    DataFrame, one row a class
        ``low`` (residual), ``seen``, ``fitted`` (ends).
    """
    fitted = [  # class by class: side by side they would be many times the spells' memory
        (np.clip(residuals, low, high) - low).sum()
        for low, high in zip(CUTS, np.append(CUTS[1:], np.inf), strict=True)
    ]
    # A residual on a cut is the lower class's, and none at all is no class's.
    place = np.searchsorted(CUTS, residuals[worn], side="left")
    seen = np.bincount(place, minlength=len(CUTS) + 1)[1:]
    return pd.DataFrame({"low": CUTS, "seen": seen, "fitted": fitted})


def shape_chance(residuals: np.ndarray, worn: np.ndarray) -> float:
    """Chance of a Weibull to look as far off as this; nan where there are too few ends.

    Arrays (spells,): residuals as hazards (dimensionless), and True where the end was worn.

    Pearson's chi-square over the classes of `count_ends` (Akritas, J. Am. Stat. Assoc. 83 (1988)
    222-230, the idea), classes with fewer than 3 fitted ends joined to the next lower.
    """
    if worn.sum() < FEWEST_ENDS:
        return float("nan")
    table = count_ends(residuals, worn)
    group = np.cumsum(table["fitted"].to_numpy() >= 3).clip(1)
    joined = table.groupby(group)[["seen", "fitted"]].sum()
    off = (joined["seen"] - joined["fitted"]) ** 2 / joined["fitted"]
    free = len(joined) - FITTED
    return float(chdtrc(free, off.sum())) if free > 0 else float("nan")


def shape_words(residuals: np.ndarray, worn: np.ndarray) -> str:
    """Where the ends lie otherwise than fitted, in words; empty if the shape looks right.

    Arrays (spells,): residuals as hazards (dimensionless), and True where the end was worn.
    """
    chance = shape_chance(residuals, worn)
    if not chance < DOUBT:
        return ""
    table = count_ends(residuals, worn)
    third = np.searchsorted([0.15, 0.85], 1 - np.exp(-table["low"].to_numpy()), side="right")
    sums = table.groupby(third)[["seen", "fitted"]].sum().to_numpy()
    words = [
        f"{'more' if seen > fitted else 'fewer'} {place} ends than fitted "
        f"({seen:.0f} against {fitted:.0f})"
        for place, (seen, fitted) in zip(("early", "middling", "late"), sums, strict=True)
        if abs(seen - fitted) > 2 * np.sqrt(fitted)
    ]
    return " and ".join(words) or "ends that bunch otherwise than fitted"
