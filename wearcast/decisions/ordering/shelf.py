"""A part at a depot, as the order sees it: need, stock, deliveries, lead time, moves."""

from dataclasses import dataclass, replace

import numpy as np

from wearcast.decisions.ordering.policy import Policy
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
    counted: bool
    """Whether somebody counted it; if not, nothing is known of the stock and 0 stands for it."""
    stock: float
    delivered: np.ndarray
    """array (days + 1,), pieces of open orders from as-of on"""
    on_order: float
    """Pieces of open orders due inside the window."""
    late: float
    """Of these, pieces past due at as-of."""
    coming_day: int
    """Day on which the last of these arrives; 0: none."""
    level: float
    """Chance of no shortage that is kept to."""
    order_day: int
    """Day on which its order goes out."""
    lead: np.ndarray
    """array (draws,), whole days"""
    end_day: int
    """Day of the next order, or the last one of the window that was asked for."""
    need: np.ndarray
    """array (draws,), pieces from as-of to the end day plus one lead time"""
    up_to: float
    """Fewest pieces that cover the need with the service level."""
    last_day: int
    """The end day plus the mean lead time."""
    keep: float
    """Fewest pieces at as-of that last until the open orders have come, at the service level."""
    until_new: float
    """The same, until an order that goes out on the order day has come."""
    bridge: float
    """The same, for what is first needed once such an order can have arrived."""
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
        return self._lacking(self.keep)

    @property
    def urgent(self) -> float:
        """Pieces short before an order that goes out now can have come."""
        return self._lacking(self.until_new)

    def _lacking(self, pieces: float) -> float:
        known = self.counted and not self.replaced_by
        return max(pieces - self.at_hand, 0.0) if known else 0.0

    @property
    def spare(self) -> float:
        """Pieces that may leave the shelf: it lasts to the open orders, and these to the end."""
        needed = max(self.keep, self.until_new, self.up_to - self.on_order)
        return max(self.at_hand - needed, 0.0)

    @property
    def lendable(self) -> float:
        """Pieces that may leave the shelf because its own new order comes before it needs them."""
        if self.replaced_by:
            return self.spare
        return max(self.at_hand - max(self.keep, self.until_new), 0.0)


def make_shelf(
    depot: str,
    chain: list[str],
    needs: list[np.ndarray],
    supply: Supply,
    policy: Policy,
    *,
    carried: bool,
) -> Shelf:
    """A shelf before any move; `chain` is the part and those that take its place.

    `needs` are arrays (draws, days + 1): pieces needed of each of the chain, summed up from as-of.
    """
    part, *later = chain
    needed = sum(needs[1:], needs[0])
    days = needed.shape[1] - 1
    lead = lead_days(supply, depot, part, policy.choices)
    order_day, end_day = policy.order_day(depot, part), policy.end_day(depot, part)
    last_day = end_day + round(lead_time(supply, part)[0])
    delivered = on_order_by(supply, depot, part, days)
    coming_day, late = coming_to(supply, depot, part, min(last_day, days))
    need = need_by(needed, end_day + lead)
    until = needed[:, : coming_day + 1], delivered[: coming_day + 1]
    arrives, level = order_day + lead, policy.level(part)
    return Shelf(
        depot=depot,
        part=part,
        carried=carried,
        replaced_by=later[0] if later else "",
        needs=tuple(needs),
        needed=needed,
        counted=(depot, part) in supply.stock.index,
        stock=_stock(supply, depot, part),
        delivered=delivered,
        on_order=float(delivered[min(last_day, days)]),
        late=late,
        coming_day=coming_day,
        level=level,
        order_day=order_day,
        lead=lead,
        end_day=end_day,
        need=need,
        up_to=whole_quantile(need, level),
        last_day=last_day,
        keep=whole_quantile(pieces_to_start_with(*until), level),
        until_new=whole_quantile(_lacking_by(needed, delivered, arrives), level),
        bridge=whole_quantile(_curable(*until, arrives), level),
        later_stock=sum(_there(supply, depot, each, min(last_day, days)) for each in later),
    )


def _lacking_by(needed: np.ndarray, delivered: np.ndarray, arrives: np.ndarray) -> np.ndarray:
    """Most pieces lacking up to a day of each draw's own; array (draws,)."""
    last = min(int(arrives.max()), needed.shape[1] - 1)
    short = missing_pieces(needed[:, : last + 1], 0.0, delivered[: last + 1])
    return np.asarray(np.where(np.arange(last + 1) <= arrives[:, None], short, 0.0).max(axis=1))


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


def use_up(shelf: Shelf) -> tuple[Shelf, list[np.ndarray]]:
    """The shelf with what it still serves, and what each of its needs lacks beyond that.

    The lacks are arrays (draws, days + 1): pieces summed up from as-of, in the needs' order.
    """
    beyond = np.maximum.accumulate(
        missing_pieces(shelf.needed, shelf.at_hand, shelf.delivered), axis=1
    )
    served = shelf.needed - beyond
    need = need_by(served, shelf.end_day + shelf.lead)
    up_to = whole_quantile(need, shelf.level)
    still = replace(shelf, needs=(served,), needed=served, need=need, up_to=up_to)
    return still, share_out(beyond, shelf.needs)
