"""A part at a depot, as the order sees it: need, stock, deliveries, lead time, moves."""

from dataclasses import dataclass, replace

import numpy as np

from wearcast.decisions.ordering.replaced import share_out
from wearcast.decisions.ordering.runout import (
    missing_pieces,
    need_by,
    pieces_to_start_with,
    whole_quantile,
)
from wearcast.decisions.ordering.supply import (
    Supply,
    coming_to,
    lead_days,
    lead_time,
    on_order_by,
)
from wearcast.decisions.ordering.workdays import first_working_day
from wearcast.logbook.choices import Choices


@dataclass(frozen=True, slots=True)
class Shelf:
    """A part at a depot, with what it needs until the next order's delivery."""

    depot: str
    part: str
    carried: bool
    """Whether a machine of the depot carries the part, or one that it replaces."""
    replaced_by: str
    needs: tuple[np.ndarray, ...]
    """Arrays (draws, days + 1), pieces from as-of on: of the part's own machines and what older
    parts left to it, then of the machines that carry each part in its place."""
    needed: np.ndarray
    """Their sum."""
    stock: float
    delivered: np.ndarray
    """array (days + 1,), pieces of open orders from as-of on"""
    on_order: float
    """Pieces of open orders due inside the window."""
    late: float
    """Of these, pieces past due at as-of."""
    coming_day: int
    """Day on which the last of these arrives; 0: none."""
    lead: np.ndarray
    """array (draws,), whole days"""
    need: np.ndarray
    """array (draws,), pieces from as-of to the window's end plus one lead time"""
    up_to: float
    """Fewest pieces that cover the need with the service level asked for."""
    last_day: int
    """The window's last day plus the mean lead time."""
    keep: float
    """Fewest pieces at as-of that last until the open orders have come, at the service level."""
    bridge: float
    """The same, for what is first needed once an order that goes out today can have arrived."""
    later_stock: float = 0.0
    """Pieces there and coming of the parts that take its place."""
    moved_in: tuple[tuple[str, float], ...] = ()
    """Proposed moves: from depot, pieces."""
    moved_out: tuple[tuple[str, float], ...] = ()
    """Proposed moves: to depot, pieces."""

    @property
    def pieces_in(self) -> float:
        """Pieces moved in."""
        return sum(pieces for _, pieces in self.moved_in)

    @property
    def pieces_out(self) -> float:
        """Pieces moved out."""
        return sum(pieces for _, pieces in self.moved_out)

    @property
    def at_hand(self) -> float:
        """Pieces on the shelf once the proposed moves between depots are made."""
        return self.stock + self.pieces_in - self.pieces_out

    @property
    def short(self) -> float:
        """Pieces below what covers the need, whichever part is bought."""
        there = self.at_hand + self.on_order + self.later_stock
        return max(self.up_to - there, self.bridge - self.at_hand, 0.0)

    @property
    def missing(self) -> float:
        """Pieces to buy; of a part that is replaced none."""
        return 0.0 if self.replaced_by else self.short

    @property
    def dip(self) -> float:
        """Pieces short until the open orders have come."""
        return 0.0 if self.replaced_by else max(self.keep - self.at_hand, 0.0)

    @property
    def spare(self) -> float:
        """Pieces that may leave the shelf: it lasts to the open orders, and these to the end."""
        return max(self.at_hand - max(self.keep, self.up_to - self.on_order), 0.0)


def make_shelf(
    depot: str,
    chain: list[str],
    needs: list[np.ndarray],
    supply: Supply,
    choices: Choices,
    *,
    carried: bool,
) -> Shelf:
    """A shelf before any move; `chain` is the part and those that take its place."""
    part, *later = chain
    needed = sum(needs[1:], needs[0])
    days = needed.shape[1] - 1
    lead = lead_days(supply, depot, part, choices)
    last_day = window_days(choices) + round(lead_time(supply, part)[0])
    delivered = on_order_by(supply, depot, part, days)
    coming_day, late = coming_to(supply, depot, part, min(last_day, days))
    need = need_by(needed, window_days(choices) + lead)
    until = needed[:, : coming_day + 1], delivered[: coming_day + 1]
    today = (first_working_day(choices.as_of, choices.closed_days) - choices.as_of).days
    level = choices.service_level
    return Shelf(
        depot=depot,
        part=part,
        carried=carried,
        replaced_by=later[0] if later else "",
        needs=tuple(needs),
        needed=needed,
        stock=_stock(supply, depot, part),
        delivered=delivered,
        on_order=float(delivered[min(last_day, days)]),
        late=late,
        coming_day=coming_day,
        lead=lead,
        need=need,
        up_to=whole_quantile(need, level),
        last_day=last_day,
        keep=whole_quantile(pieces_to_start_with(*until), level),
        bridge=whole_quantile(_curable(*until, today + lead), level),
        later_stock=sum(_there(supply, depot, each, min(last_day, days)) for each in later),
    )


def _curable(needed: np.ndarray, delivered: np.ndarray, arrives: np.ndarray) -> np.ndarray:
    """Most pieces lacking after a day of each draw's own; 0 where none of them came to lack then.

    What lacked before no delivery on that day can prevent.
    """
    short = missing_pieces(needed, 0.0, delivered)
    day = np.arange(short.shape[1])
    most = np.where(day > arrives[:, None], short, 0.0).max(axis=1)
    before = np.where(day <= arrives[:, None], short, 0.0).max(axis=1)
    return np.where(most > before, most, 0.0)


def _stock(supply: Supply, depot: str, part: str) -> float:
    """Pieces on the shelf at as-of."""
    return float(supply.stock["on_hand"].get((depot, part), 0.0))


def _there(supply: Supply, depot: str, part: str, day: int) -> float:
    """Pieces on the shelf or delivered by a day."""
    return _stock(supply, depot, part) + float(on_order_by(supply, depot, part, day)[-1])


def window_days(choices: Choices) -> int:
    """Days from as-of to the end of the window ordered for."""
    return (choices.order_to - choices.as_of).days


def use_up(shelf: Shelf, choices: Choices) -> tuple[Shelf, list[np.ndarray]]:
    """The shelf with what it still serves, and what each of its needs lacks beyond that."""
    beyond = np.maximum.accumulate(
        missing_pieces(shelf.needed, shelf.at_hand, shelf.delivered), axis=1
    )
    served = shelf.needed - beyond
    need = need_by(served, window_days(choices) + shelf.lead)
    up_to = whole_quantile(need, choices.service_level)
    still = replace(shelf, needs=(served,), needed=served, need=need, up_to=up_to)
    return still, share_out(beyond, shelf.needs)
