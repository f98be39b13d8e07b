"""A logbook as it would be if a supplier changed its prices."""

from collections.abc import Mapping
from dataclasses import replace

import pandas as pd

from wearcast.errors import UnknownChoice
from wearcast.logbook.book import Logbook
from wearcast.logbook.schema.spelling import did_you_mean, fold, listed


def with_price_changes(book: Logbook, changes: Mapping[str, float]) -> Logbook:
    """The logbook with other prices.

    Parameters
    ----------
    book : Logbook
    changes : supplier to the change of all its prices; 0.05: 5 % more

    Raises
    ------
    UnknownChoice
        If nothing is bought from a supplier of that name.
    """
    factor = pd.Series(1.0, index=book.parts["part"])
    for asked, change in changes.items():
        theirs = _supplier(asked, book.parts["supplier"])
        factor = factor.where((book.parts["supplier"] != theirs).to_numpy(), 1.0 + change)
    breaks = book.price_breaks
    return replace(
        book,
        parts=book.parts.assign(price=book.parts["price"] * factor.to_numpy()),
        price_breaks=breaks.assign(price=breaks["price"] * breaks["part"].map(factor)),
    )


def _supplier(asked: str, suppliers: pd.Series) -> str:
    """The supplier as the logbook spells it."""
    names = sorted({*suppliers} - {""})
    found = [name for name in names if fold(name) == fold(asked)]
    if len(found) != 1:
        cure = did_you_mean(asked, names, f"Suppliers are {listed(names)}.")
        raise UnknownChoice(f'supplier "{asked}": no such supplier. {cure}')
    return str(found[0])
