"""Every shelf, part after part, with the moves between depots that come before any order."""

from collections.abc import Iterator

import numpy as np

from wearcast.decisions.ordering.demand import ShelfUses, pieces_needed
from wearcast.decisions.ordering.policy import Place, Policy
from wearcast.decisions.ordering.prices import terms_of
from wearcast.decisions.ordering.replaced import chain_of, predecessors_first, successors
from wearcast.decisions.ordering.shelf import Shelf, make_shelf, use_up
from wearcast.decisions.ordering.supply import Supply
from wearcast.decisions.ordering.transfers import with_moves
from wearcast.logbook.book import Logbook


def shelves_by_part(
    uses: ShelfUses, supply: Supply, book: Logbook, policy: Policy
) -> Iterator[list[Shelf]]:
    """The shelves of one part after the other, a part before the one that replaces it.

    Within a part the depots are in the order of their names, and the moves between them are made.
    Only one part's arrays are alive at a time, and those of the need that moved to a part still
    to come.
    """
    successor, terms = successors(book.parts), terms_of(book)
    depots = _depots_by_part(uses, supply, successor)
    carried = _carried(uses, successor)
    unserved = _Unserved(uses)
    for part in predecessors_first(depots, successor):
        chain = chain_of(part, successor)
        shelves = [
            make_shelf(
                depot, chain, unserved.of(depot, chain), supply, policy,
                # Stock of a replaced part serves machines that carry the part in its place.
                carried=(depot, part) in carried
                or any((depot, each) in uses.shelves for each in chain),
            )
            for depot in sorted(depots[part])
        ]  # fmt: skip
        shelves = with_moves(shelves, terms[part])
        if part in successor:
            shelves = [unserved.after(shelf, chain) for shelf in shelves]
        yield shelves


class _Unserved:
    """What is needed at each place that no older part's stock has served."""

    def __init__(self, uses: ShelfUses) -> None:
        self.uses = uses
        self.left: dict[Place, np.ndarray] = {}
        """Need of the machines that carry a part, where older parts have served some of it."""
        self.passed_on: dict[Place, np.ndarray] = {}
        """Need of machines that carry the parts which a part replaces."""

    def of(self, depot: str, chain: list[str]) -> list[np.ndarray]:
        """The needs of a part and of those that take its place, for `Shelf.needs`."""
        place = (depot, chain[0])
        own, passed_on = self._need(place), self.passed_on.pop(place, None)
        self.left.pop(place, None)
        return [
            own if passed_on is None else own + passed_on,
            *(self._need(later) for later in self._later(depot, chain)),
        ]

    def after(self, shelf: Shelf, chain: list[str]) -> Shelf:
        """The shelf of a replaced part with what it serves; the rest is kept here."""
        still, (own, *later) = use_up(shelf)
        place = (shelf.depot, chain[1])
        self.passed_on[place] = own + self.passed_on.get(place, 0.0)
        self.left.update(zip(self._later(shelf.depot, chain), later, strict=True))
        return still

    def _need(self, place: Place) -> np.ndarray:
        return self.left[place] if place in self.left else pieces_needed(self.uses, *place)

    def _later(self, depot: str, chain: list[str]) -> list[Place]:
        """The places of the later parts of a chain that machines there carry."""
        return [(depot, part) for part in chain[1:] if (depot, part) in self.uses.shelves]


def _carried(uses: ShelfUses, successor: dict[str, str]) -> set[Place]:
    """Depots and parts that a machine there carries, or that take the place of what it carries."""
    return {(depot, later) for depot, part in uses.shelves for later in chain_of(part, successor)}


def _depots_by_part(
    uses: ShelfUses, supply: Supply, successor: dict[str, str]
) -> dict[str, set[str]]:
    """The depots at which each part is used, lies or is due, or takes another's place."""
    places = {*uses.shelves, *supply.stock.index}
    places |= set(zip(supply.coming["depot"], supply.coming["part"], strict=True))
    places |= {(depot, later) for depot, part in places for later in chain_of(part, successor)}
    depots: dict[str, set[str]] = {}
    for depot, part in places:
        depots.setdefault(part, set()).add(depot)
    return depots
