"""How surely each part must not run short: its own level, what a shortage costs, or the setting.

Where a missing piece costs so much and a piece on the shelf so much a cycle, the level that costs
least is the newsvendor's, cost of shortage / (cost of shortage + cost of holding): Snyder and
Shen, Fundamentals of Supply Chain Theory, 2nd ed., section 4.3.2.
"""

import pandas as pd

from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices

LOWEST, HIGHEST = 0.5, 0.999
OWN, COST, SETTING = "parts", "shortage_cost", "settings"


def service_levels(book: Logbook, choices: Choices) -> pd.DataFrame:
    """The service level of every part and where it comes from.

    Returns
    -------
    DataFrame (index: part)
        level (0.5 to 0.999), source: ``parts``, ``shortage_cost`` or ``settings``.
    """
    parts = book.parts.set_index("part")
    own = parts["service_level"].astype(float)
    by_cost = newsvendor_level(parts["price"].astype(float), choices)
    level = own.fillna(by_cost).fillna(choices.service_level).clip(LOWEST, HIGHEST)
    source = pd.Series(SETTING, index=parts.index).mask(by_cost.notna(), COST)
    return pd.DataFrame({"level": level, "source": source.mask(own.notna(), OWN)})


def newsvendor_level(price: pd.Series, choices: Choices) -> pd.Series:
    """The level at which a piece more costs as much to hold as it saves; nan where not known."""
    if not choices.shortage_cost:
        return pd.Series(float("nan"), index=price.index)
    holding = price * choices.holding_rate * choices.review_weeks / 52
    level: pd.Series = choices.shortage_cost / (choices.shortage_cost + holding)
    return level
