"""How many pieces to buy for a need, in packs and with price breaks, and at which price."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wearcast.logbook.book import Logbook


@dataclass(frozen=True, slots=True)
class Terms:
    """How a part is sold. An unknown price is nan."""

    pack: float
    min_order: float
    breaks: tuple[tuple[float, float], ...]
    """(from so many pieces, price of one piece), rising in the first."""


@dataclass(frozen=True, slots=True)
class Purchase:
    """What is bought: pieces, packs, the price of one piece, and if a price break led to more."""

    pieces: float
    packs: float
    unit_price: float
    stepped_up: bool = False


def terms_of(book: Logbook) -> dict[str, Terms]:
    """How each part is sold."""
    priced = book.price_breaks.dropna(subset=["price"]).sort_values(["part", "from_pieces"])
    breaks = {
        str(part): tuple(zip(rows["from_pieces"], rows["price"], strict=True))
        for part, rows in priced.groupby("part")
    }
    sold = zip(book.parts["part"], book.parts["pack"], book.parts["min_order"], strict=True)
    return {
        str(part): Terms(float(pack), float(fewest), breaks.get(part, ()))
        for part, pack, fewest in sold
    }


def buy(missing: float, terms: Terms) -> Purchase:
    """The cheapest purchase of at least the missing pieces, in whole packs."""
    return buy_together([missing], terms)[0]


def buy_together(missing: Sequence[float], terms: Terms) -> list[Purchase]:
    """The cheapest purchase for several depots that order a part together, a depot each.

    The price is that of all pieces together. More than the need in packs and the minimum order is
    bought only where a price break makes the larger purchase cost less in total; the surplus goes
    where most is missing.
    """
    least = [
        whole_packs(max(each, terms.min_order), terms.pack) if each > 0 else 0.0 for each in missing
    ]
    total = sum(least)
    if total <= 0:
        return [Purchase(0.0, 0.0, price_at(1.0, terms)) for _ in missing]
    # Each depot's pieces are whole packs, so what is added to reach a step is whole packs too.
    sizes = [total, *(whole_packs(start, terms.pack) for start, _ in terms.breaks if start > total)]
    prices = [price_at(size, terms) for size in sizes]
    totals = [size * price for size, price in zip(sizes, prices, strict=True)]
    best = 0 if np.isnan(totals[0]) else int(np.argmin(totals))
    most = int(np.argmax(missing))
    pieces = [each + (sizes[best] - total) * (place == most) for place, each in enumerate(least)]
    return [
        Purchase(each, each / terms.pack, prices[best], best > 0 and place == most)
        for place, each in enumerate(pieces)
    ]


def whole_packs(pieces: float, pack: float) -> float:
    """So many pieces rounded up to whole packs."""
    return float(np.ceil(pieces / pack - 1e-9) * pack)


def price_at(pieces: float, terms: Terms) -> float:
    """The price of one piece when so many are bought; nan where none is known."""
    held = [price for start, price in terms.breaks if start <= pieces]
    if held:
        return held[-1]
    return terms.breaks[0][1] if terms.breaks else float("nan")
