"""Prices in another currency are no prices: they are left out and told, never relabelled."""

from collections.abc import Sequence
from typing import Any

import pandas as pd

from wearcast.told import GRAVE, Problem

_SIGNS = {"€": "eur", "euro": "eur", "euros": "eur", "$": "usd", "£": "gbp", "¥": "jpy"}
Priced = tuple[pd.DataFrame | None, pd.DataFrame]
"""A catalogue and its price steps."""


def differ(one: str, other: str) -> bool:
    """Whether two words for a currency are both there and mean two, as far as they tell."""
    names = [name.strip().casefold() for name in (one, other)]
    return all(names) and len({_SIGNS.get(name, name) for name in names}) > 1


def in_currency(priced: Priced, theirs: str, ours: str) -> tuple[Priced, list[Problem]]:
    """Catalogue and steps without their prices if these are in another currency, and what is told.

    Parameters
    ----------
    priced : Priced
    theirs, ours : str
        The currency of the rates, and of what is priced by them; blank: not said.
    """
    parts, breaks = priced
    if parts is None or not differ(theirs, ours) or not parts["price"].notna().any():
        return priced, []
    wrong = f"the rates' prices are in {theirs}, not in {ours}: none of them is used"
    cure = f"Write the prices in {ours} into the proposal's parts, or give both one currency"
    told = Problem("rates", "parts", (), "price", theirs, "set aside", wrong, cure, GRAVE)
    return (parts.assign(price=float("nan")), breaks[:0]), [told]


def in_first_currency(
    documents: Sequence[dict[str, Any]], priced: Sequence[Priced]
) -> tuple[list[Priced], list[Problem]]:
    """What several rates files price, in the currency of the first that names one."""
    said = [str(each["settings"].get("currency", "")) for each in documents]
    ours = next(filter(None, said), "")
    found = [in_currency(one, theirs, ours) for one, theirs in zip(priced, said, strict=True)]
    return [one for one, _ in found], [problem for _, told in found for problem in told]
