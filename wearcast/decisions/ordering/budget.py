"""What to order first when the money does not reach for all of it.

Pack by pack, what a pack spares in missing pieces is weighed against what it costs. As a part's
packs spare less and less, taking the best pack each time is the best that a budget can buy, but
for what is too small for another pack and for smallest orders (marginal analysis: Silver, Pyke and
Thomas, Inventory and Production Management in Supply Chains, ch. 7).
"""

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.baskets import with_prices
from wearcast.decisions.ordering.prices import Terms, price_at, whole_packs


def within_budget(
    lines: pd.DataFrame, budget: float | None, terms: dict[str, Terms]
) -> pd.DataFrame:
    """The lines with what the budget reaches for.

    A missing piece counts alike for all parts, as ``shortage_cost`` is one setting. Packs are paid
    at the price of one piece, so that a price step which no longer holds cannot break the budget;
    lines without a price stay as they are.

    Returns
    -------
    DataFrame
        The lines with order_pieces cut, wanted_pieces (what was proposed), prices and totals.
    """
    lines = lines.assign(wanted_pieces=lines["order_pieces"])
    if budget is None:
        return lines
    priced = lines.index[lines["order_pieces"].gt(0) & lines["unit_price"].notna()]
    steps = [step for line in priced for step in _steps(line, lines.loc[line], terms)]
    steps.sort(key=lambda step: (-step[3] / max(step[2], 1e-9), step[0]))
    pieces, left, full = lines["order_pieces"].copy(), budget, set()
    pieces[priced] = 0.0
    for line, size, cost, _ in steps:
        if line in full or cost > left + 1e-9:
            full.add(line)
            continue
        pieces[line] += size
        left -= cost
    cut = lines.assign(order_pieces=pieces, topped_up=np.minimum(lines["topped_up"], pieces))
    return with_prices(cut, terms)


def _steps(
    line: int, about: pd.Series, terms: dict[str, Terms]
) -> list[tuple[int, float, float, float]]:
    """The packs of a line, first the smallest order: line, pieces, cost, missing pieces spared."""
    most, pack = float(about["order_pieces"]), float(about["pack"])
    first = min(whole_packs(max(about["min_order"], 1.0), pack), most)
    ends = np.concatenate([[0.0], np.arange(first, most + 1e-9, pack)])
    need, there = about["need"], float(about["there"])
    missing = np.maximum(need[:, None] - there - ends, 0.0).mean(axis=0)
    price = price_at(1.0, terms[str(about["part"])])
    sizes = np.diff(ends)
    return [
        (line, float(size), float(size * price), float(spared))
        for size, spared in zip(sizes, -np.diff(missing), strict=True)
    ]
