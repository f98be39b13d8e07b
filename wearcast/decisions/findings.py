"""What the decisions have to tell: parts without a price, delivery times that were assumed."""

from wearcast.decisions.money import unpriced
from wearcast.decisions.ordering.supply import read_supply
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
    return (*supply.told, *_tell_stock(draws, supply.stock.index), *_tell_prices(draws, book))


def _tell_prices(draws: Draws, book: Logbook) -> list[Problem]:
    bare = unpriced(draws.slots, book)
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


def _tell_stock(draws: Draws, shelves: object) -> list[Problem]:
    used = set(zip(draws.slots["depot"], draws.slots["part"], strict=True))
    bare = sorted(used - set(shelves))  # type: ignore[call-overload]
    if not bare:
        return []
    names = ", ".join(f"{part} at {depot}" for depot, part in bare)
    return [
        Problem(
            "stock", "stock", (), "on_hand", "", "note",
            f"no stock is written down for {names}; none is assumed on the shelf",
            "Count these parts and add a row to stock",
            weight=float(len(bare)),
        )
    ]  # fmt: skip
