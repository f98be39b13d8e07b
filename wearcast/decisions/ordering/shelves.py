"""One part at one depot, as the order sees it: need, stock, deliveries, lead time.

A part that is replaced by another is not ordered any more. At each depot its stock is used up
first, wherever it or the part in its place is needed; what is needed beyond that is ordered as the
part in its place.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.demand import ShelfUses, pieces_needed
from wearcast.decisions.ordering.runout import (
    missing_pieces,
    need_by,
    pieces_to_start_with,
    whole_quantile,
)
from wearcast.decisions.ordering.supply import Supply, lead_days, lead_time, on_order_by
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices


@dataclass(frozen=True, slots=True)
class Shelf:
    """A part at a depot, with what it needs until the next order's delivery."""

    depot: str
    part: str
    carried: bool
    """Whether a machine of the depot carries the part, or one that it replaces."""
    replaced_by: str
    needed: np.ndarray
    """array (draws, days + 1), pieces from as-of on"""
    stock: float
    delivered: np.ndarray
    """array (days + 1,), pieces of open orders from as-of on"""
    on_order: float
    """Pieces of open orders due inside the window."""
    lead: np.ndarray
    """array (draws,), whole days"""
    need: np.ndarray
    """array (draws,), pieces from as-of to the window's end plus one lead time"""
    up_to: float
    """Fewest pieces that cover the need with the service level asked for."""
    last_day: int
    """The window's last day plus the mean lead time."""
    keep: float
    """Fewest pieces at as-of that see the shelf through to the last day with the service level
    asked for, open orders arriving when they are due."""
    moved_in: float = 0.0
    moved_out: float = 0.0

    @property
    def at_hand(self) -> float:
        """Pieces on the shelf once the proposed moves between depots are made."""
        return self.stock + self.moved_in - self.moved_out

    @property
    def missing(self) -> float:
        """Pieces below what covers the need; a part that is replaced misses none."""
        short = self.up_to - self.at_hand - self.on_order
        return 0.0 if self.replaced_by else max(short, 0.0)

    @property
    def spare(self) -> float:
        """Pieces that may leave the shelf: it lasts to the open orders, and these to the end."""
        return max(self.at_hand - max(self.keep, self.up_to - self.on_order), 0.0)


def shelves_by_part(
    uses: ShelfUses, supply: Supply, book: Logbook, choices: Choices
) -> Iterator[list[Shelf]]:
    """The shelves of one part after the other, a part before the one that replaces it.

    Within a part the depots are in the order of their names. Only one part's arrays are alive at
    a time, and those of the need that moved to a part still to come.
    """
    successor = successors(book.parts)
    depots = _depots_by_part(uses, supply, successor)
    carried = _carried(uses, successor)
    left: dict[tuple[str, str], np.ndarray] = {}
    for part in predecessors_first(depots, successor):
        shelves = []
        for depot in sorted(depots[part]):
            needed = _pooled(depot, part, uses, left, successor)
            # Stock of a replaced part serves machines that carry the part in its place.
            later = any((depot, each) in uses.shelves for each in chain_of(part, successor))
            is_carried = later or (depot, part) in carried
            shelf = _shelf(depot, part, is_carried, needed, supply, choices)
            if part in successor:
                shelf, left[depot, successor[part]] = _use_up(shelf, successor[part], choices)
            shelves.append(shelf)
        yield shelves


def _pooled(
    depot: str,
    part: str,
    uses: ShelfUses,
    left: dict[tuple[str, str], np.ndarray],
    successor: dict[str, str],
) -> np.ndarray:
    """The need for a part and for all that take its place, taken out of what is left of them."""
    chain = [(depot, each) for each in chain_of(part, successor)]
    needs = [left.get(place, pieces_needed(uses, *place)) for place in chain]
    left.update({place: np.zeros_like(needs[0]) for place in chain[1:]})
    left.pop((depot, part), None)
    return np.asarray(np.sum(needs, axis=0))


def _carried(uses: ShelfUses, successor: dict[str, str]) -> set[tuple[str, str]]:
    """Depots and parts that a machine there carries, or that take the place of what it carries."""
    return {(depot, later) for depot, part in uses.shelves for later in chain_of(part, successor)}


def chain_of(part: str, successor: dict[str, str]) -> list[str]:
    """The part and, one after the other, those that take its place."""
    chain = [part]
    while chain[-1] in successor:
        chain.append(successor[chain[-1]])
    return chain


def successors(parts: pd.DataFrame) -> dict[str, str]:
    """The part in whose place each replaced part is ordered; rings of replacements are left out."""
    named = parts.loc[parts["replaced_by"].isin(parts["part"]), ["part", "replaced_by"]]
    after = dict(zip(named["part"], named["replaced_by"], strict=True))
    return {part: other for part, other in after.items() if not _in_ring(part, after)}


def _in_ring(part: str, after: dict[str, str]) -> bool:
    place, steps = part, 0
    while place in after and steps <= len(after):
        place, steps = after[place], steps + 1
        if place == part:
            return True
    return False


def predecessors_first(parts: dict[str, set[str]], successor: dict[str, str]) -> list[str]:
    """The parts sorted so that each comes before the part that replaces it."""

    def generation(part: str) -> int:
        before = [generation(old) for old, new in successor.items() if new == part]
        return 1 + max(before, default=-1)

    return sorted(parts, key=lambda part: (generation(part), part))


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


def _shelf(
    depot: str, part: str, carried: bool, needed: np.ndarray, supply: Supply, choices: Choices
) -> Shelf:
    days = needed.shape[1] - 1
    lead = lead_days(supply, depot, part, choices)
    window = (choices.order_to - choices.as_of).days
    last_day = window + round(lead_time(supply, part)[0])
    delivered = on_order_by(supply, depot, part, days)
    stock = supply.stock["on_hand"].get((depot, part), 0.0)
    need = need_by(needed, window + lead)
    return Shelf(
        depot=depot,
        part=part,
        carried=carried,
        replaced_by="",
        needed=needed,
        stock=float(stock),
        delivered=delivered,
        on_order=float(delivered[min(last_day, days)]),
        lead=lead,
        need=need,
        up_to=whole_quantile(need, choices.service_level),
        last_day=last_day,
        keep=whole_quantile(
            pieces_to_start_with(needed[:, : last_day + 1], delivered[: last_day + 1]),
            choices.service_level,
        ),
    )


def _use_up(shelf: Shelf, successor: str, choices: Choices) -> tuple[Shelf, np.ndarray]:
    """The shelf with what it still serves, and the need beyond that, which moves on."""
    beyond = np.maximum.accumulate(
        missing_pieces(shelf.needed, shelf.stock, shelf.delivered), axis=1
    )
    served = shelf.needed - beyond
    need = need_by(served, (choices.order_to - choices.as_of).days + shelf.lead)
    still = replace(
        shelf,
        needed=served,
        need=need,
        up_to=whole_quantile(need, choices.service_level),
        replaced_by=successor,
    )
    return still, beyond
