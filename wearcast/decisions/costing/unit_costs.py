"""What a piece and a change cost: catalogue prices, grown to the day, and the work of a change."""

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.replaced import chain_of, successors
from wearcast.history.quarters import YEAR_DAYS
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices

SCALE = 365 / YEAR_DAYS
"""From the 364 days of the draws to a calendar year."""


def unit_costs(
    slots: pd.DataFrame, book: Logbook, choices: Choices
) -> tuple[np.ndarray, np.ndarray]:
    """Money of one change, for parts and for labour: arrays (slots,), 0 where unknown."""
    pieces = slots["pieces"].to_numpy(float)
    minutes = slots["part"].map(book.parts.set_index("part")["minutes"]).to_numpy(float)
    labour = np.nan_to_num(minutes) / 60 * (choices.labour_rate or 0.0)
    return np.nan_to_num(slot_prices(slots, book.parts) * pieces), labour


def price_growth(day: np.ndarray, choices: Choices) -> np.ndarray:
    """Price on each day after as-of over the catalogue's, a ratio; array (days,) as `day`."""
    return np.power(1.0 + choices.price_growth, np.asarray(day, float) / 365)


def slot_prices(slots: pd.DataFrame, parts: pd.DataFrame) -> np.ndarray:
    """The price of one piece; array (slots,): of the part in its place, where it is replaced."""
    after = successors(parts)
    bought = slots["part"].map(lambda part: chain_of(part, after)[-1])
    return bought.map(parts.set_index("part")["price"].astype(float)).to_numpy(float)


def unpriced(slots: pd.DataFrame, book: Logbook) -> tuple[str, ...]:
    """Parts that machines carry and that have no price, sorted."""
    bare = np.isnan(slot_prices(slots, book.parts))
    return tuple(sorted(set(slots.loc[bare, "part"])))
