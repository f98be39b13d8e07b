"""What the decisions have to tell: parts without a price, delivery times that were assumed.

What follows from something already told of the logbook is not told again.
"""

from collections.abc import Iterable

from wearcast.decisions.costing.unit_costs import unpriced
from wearcast.decisions.ordering.supply import read_supply
from wearcast.decisions.ordering.supply_findings import explained, tell_supply
from wearcast.history.story import History
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Draws
from wearcast.told import Problem


def tell_decisions(
    draws: Draws, history: History, book: Logbook, choices: Choices
) -> tuple[Problem, ...]:
    """Findings about stock, open orders, delivery times and prices."""
    supply = read_supply(book, history.uses, choices)
    shelves = supply.stock.index
    return (
        *tell_supply(supply, book, choices),
        *_tell_stock(draws, shelves, book),
        *_tell_prices(draws, book),
    )


def _tell_prices(draws: Draws, book: Logbook) -> list[Problem]:
    bare = sorted(set(unpriced(draws.slots, book)) - explained(book, "price"))
    if not bare:
        return []
    return [
        Problem(
            "parts", "parts", (), "price", "", "note",
            f"no price is known for {', '.join(bare)}; costs leave these parts out",
            "Write the price of one piece under price",
            weight=float(len(bare)),
        )
    ]  # fmt: skip


def _tell_stock(draws: Draws, shelves: Iterable[object], book: Logbook) -> list[Problem]:
    if any(tally.table == "stock" and tally.set_aside for tally in book.tallies):
        return []  # what seems to be missing may stand there
    used = set(zip(draws.slots["depot"], draws.slots["part"], strict=True))
    odd = {each.value or "main" for each in book.told if each.column == "depot"}
    elsewhere = set(book.stock.loc[book.stock["depot"].isin(odd), "part"])
    # A part that the stock table never names is told with the logbook, at its row of parts.
    unnamed = set(book.parts["part"]) - set(book.stock["part"]) if len(book.stock) else set()
    bare = sorted(
        (depot, part)
        for depot, part in used - set(shelves)
        if depot not in odd and part not in elsewhere | unnamed
    )
    if not bare:
        return []
    names = ", ".join(f"{part} at {depot}" for depot, part in bare)
    return [
        Problem(
            "stock", "stock", (), "on_hand", "", "note",
            f"no stock is written down for {names}: not counted, ordered as if none lay there",
            "Count these parts and add a row to stock",
            weight=float(len(bare)),
        )
    ]  # fmt: skip
