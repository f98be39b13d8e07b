"""What to order, how many packs and by when: one line a depot and part, read off the draws.

The quantity is order-up-to with periodic review (Silver, Pyke and Thomas, Inventory and
Production Management in Supply Chains, ch. 6): enough for the need from as-of until the next
order has been delivered, with the service level of the part. That service is the chance of no
shortage in the cycle; the share of pieces served from the shelf is reported beside it. What lies
too much at another depot is moved before anything is bought.
"""

from dataclasses import dataclass

import pandas as pd

from wearcast.decisions.ordering.baskets import baskets, fill_baskets
from wearcast.decisions.ordering.budget import within_budget
from wearcast.decisions.ordering.checks import check_words, doubtful_pieces
from wearcast.decisions.ordering.demand import ShelfUses, shelf_work, uses_by_shelf
from wearcast.decisions.ordering.last_year import with_last_year
from wearcast.decisions.ordering.lines import part_lines
from wearcast.decisions.ordering.long_reasons import whole_reason
from wearcast.decisions.ordering.order_days import planned_days, with_order_days
from wearcast.decisions.ordering.policy import Policy, read_policy
from wearcast.decisions.ordering.prices import terms_of
from wearcast.decisions.ordering.reasons import why
from wearcast.decisions.ordering.services import SERVICE, order_service, with_services
from wearcast.decisions.ordering.shelves import shelves_by_part
from wearcast.decisions.ordering.supply import Supply, read_supply
from wearcast.history.story import History
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Draws

COLUMNS = (
    "depot", "part", "name", "supplier", "on_hand", "on_order", "expected_use", "use_p05",
    "use_p50", "use_p95", "order_up_to", "order_pieces", "order_packs", "unit_price",
    "line_total", "order_by", "runs_out_p05", "runs_out_p50", "status", "why",
    "from", "to", "order_on", "in_time", "service_cycle", "service_pieces", "transfer",
    "moved_in", "moved_out", "missing", "spare", "months_of_use", "gap_days_p50", "gap_days_p95",
    "lead_days", "lead_days_sd", "pack", "min_order", "stepped_up", "replaced_by", "kind",
    "machines", "hours_per_week", "on_order_late", "on_order_comes", "on_record", "used",
    "reason", "check", "counted", "expected_count", "count_gap", "on_order_doubtful",
    "service_level", "service_from", "topped_up", "wanted_pieces", "used_last_year",
    "last_year_why",
)  # fmt: skip
_STATUS_ORDER = (
    "overdue", "order now", "order", "not counted", "gap", "watch", "surplus", "no use",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class OrderPlan:
    """The order, line by line and as a whole."""

    lines: pd.DataFrame
    """See `plan_orders`."""
    orders: pd.DataFrame
    """One row a supplier and day, see `baskets`."""
    service: pd.DataFrame
    """The service of the whole order, each supplier and depot, see `order_service`."""


def order_lines(draws: Draws, history: History, book: Logbook, choices: Choices) -> pd.DataFrame:
    """One row a depot and part with something to order or to watch; see `plan_orders`."""
    return plan_orders(draws, history, book, choices).lines


def plan_orders(draws: Draws, history: History, book: Logbook, choices: Choices) -> OrderPlan:
    """The order: its lines, overdue ones first, the orders they make up, and its service.

    Returns
    -------
    OrderPlan
        Its lines have the columns of `COLUMNS`. Pieces: on_hand (at as-of; nan: not counted),
        on_order (due inside the window and counted in), on_order_late (of them, past due),
        on_order_doubtful (past due and not counted in), expected_use and use_p05 to use_p95 (as-of
        to ``to``), order_up_to, order_pieces (of a shelf that nobody counted: as if it were
        empty), missing (before packs), spare, moved_in, moved_out (proposed moves between depots),
        topped_up (bought for the supplier's smallest order or free carriage), wanted_pieces
        (before a budget), used_last_year (in the same weeks; nan: the log does not reach back),
        expected_count (at the newest count, by the one before), count_gap (counted more than that;
        nan: no count before), used (fitted there since the log began). Dates: counted, ``from`` and
        ``to`` (until the next order has been delivered, or the window that was asked for and one
        delivery), order_by (a working day; blank where nothing is ordered or nobody counted),
        order_on (the day it goes out), runs_out_p05 and p50 (open orders counted, new ones not;
        blank: beyond the outlook, or not counted), on_order_comes (the last open order's arrival).
        Shares: in_time (chance that an order on order_on arrives before the shelf runs out),
        service_cycle, service_pieces (with the order), service_level (kept to) with service_from
        (``parts``, ``shortage_cost`` or ``settings``). machines (that carry the part there),
        hours_per_week (of all of them, mean up to ``to``), on_record (edges of the part's wear
        class that ended in the log). Words: status (see ``tables.STATUSES``), why (at most twenty
        words), reason (the whole of it), check (what to look at first), last_year_why (why the
        need differs from last year's use).
    """
    supply = read_supply(book, history.uses, choices)
    uses, policy = uses_by_shelf(draws), read_policy(book, choices)
    lines = _dated_lines(uses, supply, book, policy)
    if choices.ordering == "by date" and len(lines):
        policy = read_policy(book, choices, planned_days(lines, choices.as_of))
        lines = _dated_lines(uses, supply, book, policy)
    terms = terms_of(book)
    if len(lines):
        lines = _shown(fill_baskets(lines, book.suppliers, terms, choices), choices)
    if lines.empty:
        empty = pd.DataFrame(columns=list(COLUMNS))
        return OrderPlan(empty, baskets(empty, book.suppliers), pd.DataFrame(columns=list(SERVICE)))
    lines = with_services(within_budget(lines, choices.budget, terms))
    lines = _with_work(lines, draws, history, choices)
    lines["on_record"] = _on_record(lines["part"], book.parts, history.spells)
    lines["on_order_doubtful"] = doubtful_pieces(lines, supply)
    lines["check"] = check_words(lines, supply)
    lines = with_last_year(lines, draws, history, book)
    lines["why"] = [why(line) for _, line in lines.iterrows()]
    lines["reason"] = [whole_reason(line) for _, line in lines.iterrows()]
    rank = lines["status"].map(_STATUS_ORDER.index)
    ordered = lines.assign(rank=rank).sort_values(
        ["rank", "order_by", "depot", "part"], ignore_index=True
    )
    return OrderPlan(
        ordered[list(COLUMNS)], baskets(ordered, book.suppliers), order_service(ordered)
    )


def _dated_lines(uses: ShelfUses, supply: Supply, book: Logbook, policy: Policy) -> pd.DataFrame:
    """Every line before the suppliers' conditions, with the day on which it goes out."""
    terms = terms_of(book)
    lines = [
        line
        for shelves in shelves_by_part(uses, supply, book, policy)
        for line in part_lines(shelves, terms[shelves[0].part], supply, policy)
    ]
    if not lines:
        return pd.DataFrame()
    named = book.parts.set_index("part")[["name", "supplier", "kind"]]
    frame = pd.DataFrame(lines).join(named, on="part")
    return with_order_days(frame, policy, book.suppliers)


def _shown(lines: pd.DataFrame, choices: Choices) -> pd.DataFrame:
    """The lines of the supplier and depot that were asked for."""
    shown = pd.Series(True, index=lines.index)
    for column, only in (("supplier", choices.only_supplier), ("depot", choices.only_depot)):
        if only is not None:
            shown &= lines[column] == only
    return lines[shown].reset_index(drop=True)


def _with_work(
    frame: pd.DataFrame, draws: Draws, history: History, choices: Choices
) -> pd.DataFrame:
    """The lines with the machines and hours behind them, and the pieces used so far."""
    shelf = ["depot", "part"]
    last_day = (frame.set_index(shelf)["to"] - choices.as_of).dt.days
    used = history.uses.groupby(shelf)["pieces"].sum().rename("used")
    joined = frame.join(shelf_work(draws, last_day), on=shelf).join(used, on=shelf)
    return joined.fillna({"used": 0.0})


def _on_record(part: pd.Series, parts: pd.DataFrame, spells: pd.DataFrame) -> pd.Series:
    """Edges that ended in the log, of each part's wear class."""
    ended = spells.loc[~spells["cause"].isin(["running", ""]), "wears_as"].value_counts()
    wears_as = part.map(parts.set_index("part")["wears_as"])
    return wears_as.map(ended).fillna(0.0)
