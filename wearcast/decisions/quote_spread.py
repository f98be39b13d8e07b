"""What makes a quote unsure: the variance of its cost taken apart by source."""

import numpy as np
import pandas as pd

from wearcast.decisions.proposals import DRAWN, Fleet, money_by_year, straight, walk_fleet


def spread_sources(fleet: Fleet, money: np.ndarray, years: int) -> pd.DataFrame:
    """Shares of the variance, by walking again with one source held and the rest drawn anew.

    Parameters
    ----------
    fleet : Fleet
    money : array (draws,), cost of the contract
    years : contract years

    Returns
    -------
    DataFrame
        source, share (0 to 1; they sum to 1), largest first.

    Notes
    -----
    The covariance of two walks that share one source is the variance due to that source alone
    (Sobol's pick-freeze estimate); what is left when all but the dice are shared is chance.
    Interactions, small here, are dealt out in proportion.
    """
    count = fleet.choices.draws
    # A shift by a number coprime to the mixes' turn pairs each draw with an unrelated one.
    other = (np.arange(count) + count // 2 + 1) % count
    alone = {}
    for source in DRAWN:
        takes = dict.fromkeys(DRAWN, other) | {source: np.arange(count)}
        if source == "floor mix" and len(fleet.mixes) == 1:
            alone[source] = 0.0
            continue
        again = walk_fleet(fleet, takes, fleet.choices.seed + 1)
        alone[source] = _shared(money, money_by_year(again, fleet.book, fleet.choices, years))
    again = walk_fleet(fleet, straight(count), fleet.choices.seed + 1)
    together = _shared(money, money_by_year(again, fleet.book, fleet.choices, years))
    shares = _sum_to(alone, min(together, 1.0)) | {"chance": 1.0 - min(together, 1.0)}
    frame = pd.DataFrame({"source": list(shares), "share": list(shares.values())})
    return frame.sort_values("share", ascending=False, kind="stable", ignore_index=True)


def _shared(money: np.ndarray, again: np.ndarray) -> float:
    """Share of the variance that two walks have in common, 0 to 1."""
    second = again.sum(axis=0)
    spread = np.sqrt(money.var() * second.var())
    if spread == 0:
        return 0.0
    covariance = np.mean((money - money.mean()) * (second - second.mean()))
    return float(max(covariance / spread, 0.0))


def _sum_to(shares: dict[str, float], total: float) -> dict[str, float]:
    """The shares scaled so that they sum to a total."""
    have = sum(shares.values())
    return {name: share * total / have if have > 0 else 0.0 for name, share in shares.items()}
