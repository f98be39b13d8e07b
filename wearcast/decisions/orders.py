"""What to order, how many packs and by when: one line a depot and part, read off the draws.

The quantity is order-up-to with periodic review (Silver, Pyke and Thomas, Inventory and
Production Management in Supply Chains, ch. 6): enough for the need from as-of to the end of the
window ordered for, plus one lead time, with the service level asked for. That service is the
chance of no shortage in the cycle; the share of pieces served from the shelf is reported beside
it. A surplus at another depot is moved before anything is bought.
"""

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.demand import shelf_work, uses_by_shelf
from wearcast.decisions.ordering.prices import Purchase, Terms, buy, terms_of
from wearcast.decisions.ordering.reasons import transfer_words, why
from wearcast.decisions.ordering.runout import (
    latest_order_day,
    owed_days,
    run_out_days,
    services,
    whole_quantile,
)
from wearcast.decisions.ordering.shelf import Shelf
from wearcast.decisions.ordering.shelves import shelves_by_part
from wearcast.decisions.ordering.supply import Supply, lead_time, read_supply
from wearcast.decisions.ordering.workdays import first_working_day, gather, last_working_day
from wearcast.history.story import History
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Draws

SOON_DAYS = 7
"""A line that goes out this soon is to be ordered now."""
SURPLUS_MONTHS = 12.0
"""Stock that lasts longer than this is a surplus."""

COLUMNS = (
    "depot", "part", "name", "supplier", "on_hand", "on_order", "expected_use", "use_p05",
    "use_p50", "use_p95", "order_up_to", "order_pieces", "order_packs", "unit_price",
    "line_total", "order_by", "runs_out_p05", "runs_out_p50", "status", "why",
    "from", "to", "order_on", "in_time", "service_cycle", "service_pieces", "transfer",
    "moved_in", "moved_out", "missing", "spare", "months_of_use", "gap_days_p50", "gap_days_p95",
    "lead_days", "lead_days_sd", "pack", "min_order", "stepped_up", "replaced_by", "kind",
    "machines", "hours_per_week", "on_order_late", "on_order_comes", "on_record", "used",
)  # fmt: skip
_STATUS_ORDER = ("overdue", "order now", "order", "gap", "watch", "surplus", "no use")


def order_lines(draws: Draws, history: History, book: Logbook, choices: Choices) -> pd.DataFrame:
    """One row a depot and part with something to order or to watch, overdue ones first.

    Returns
    -------
    DataFrame
        The columns of `COLUMNS`. Pieces: on_hand (at as-of), on_order (due inside the window),
        expected_use and use_p05 to use_p95 (as-of to ``to``), order_up_to, order_pieces,
        missing (before packs), spare, moved_in, moved_out (proposed moves between depots). Dates:
        ``from`` and ``to`` (the window ordered for plus one lead time), order_by (a working day;
        blank where nothing is ordered), order_on (gathered with the supplier's other lines),
        runs_out_p05 and p50 (open orders counted, new ones not; blank: beyond the outlook).
        Shares: in_time (chance that an order on order_on arrives before the shelf runs out),
        service_cycle, service_pieces (with the order). machines (that carry the part there),
        hours_per_week (of all of them, mean up to ``to``), on_record (edges of the part's wear
        class that ended in the log), used (pieces fitted there since the log began). Of the open
        orders in the window: on_order_late (pieces past due), on_order_comes (the last one's
        arrival). status: see ``tables.STATUSES``.
    """
    supply = read_supply(book, history.uses, choices)
    uses = uses_by_shelf(draws)
    terms = terms_of(book)
    lines = [
        line
        for shelves in shelves_by_part(uses, supply, book, choices)
        for line in _part_lines(shelves, terms[shelves[0].part], supply, choices)
    ]
    if not lines:
        return pd.DataFrame(columns=list(COLUMNS))
    frame = _with_catalogue(pd.DataFrame(lines), book.parts)
    frame = _with_work(frame, draws, history, choices)
    frame["on_record"] = _on_record(frame["part"], book.parts, history.spells)
    frame = _with_order_days(frame, choices)
    frame["why"] = [why(frame.loc[line], choices.service_level) for line in frame.index]
    rank = frame["status"].map(_STATUS_ORDER.index)
    ordered = frame.assign(rank=rank).sort_values(
        ["rank", "order_by", "depot", "part"], ignore_index=True
    )
    return ordered[list(COLUMNS)]


def _part_lines(
    shelves: list[Shelf], terms: Terms, supply: Supply, choices: Choices
) -> list[dict[str, object]]:
    """The lines of one part at all depots."""
    return [
        _line(shelf, buy(shelf.missing, terms), terms, supply, choices)
        for shelf in shelves
        if shelf.stock + shelf.on_order + shelf.need.sum() + shelf.pieces_in > 0
        or shelf.delivered[-1] > 0
    ]


def _line(
    shelf: Shelf, bought: Purchase, terms: Terms, supply: Supply, choices: Choices
) -> dict[str, object]:
    """The figures of one line."""
    return {
        "depot": shelf.depot,
        "part": shelf.part,
        **_need(shelf, choices),
        **_purchase(shelf, bought, terms, supply),
        **_timing(shelf, bought, choices),
    }


def _need(shelf: Shelf, choices: Choices) -> dict[str, object]:
    """Stock and need over the window."""
    return {
        "on_hand": shelf.stock,
        "on_order": shelf.on_order,
        "on_order_late": shelf.late,
        "on_order_comes": _date(shelf.coming_day or np.inf, choices),
        "from": choices.as_of + pd.Timedelta(days=1),
        "to": choices.as_of + pd.Timedelta(days=shelf.last_day),
        "expected_use": float(shelf.need.mean()),
        "use_p05": whole_quantile(shelf.need, 0.05),
        "use_p50": whole_quantile(shelf.need, 0.50),
        "use_p95": whole_quantile(shelf.need, 0.95),
        "order_up_to": shelf.up_to,
        "missing": shelf.missing,
        "spare": shelf.spare,
        "moved_in": shelf.pieces_in,
        "moved_out": shelf.pieces_out,
        "transfer": transfer_words(shelf.moved_in, shelf.moved_out),
        "months_of_use": _months_of_use(shelf),
        "replaced_by": shelf.replaced_by,
    }


def _purchase(shelf: Shelf, bought: Purchase, terms: Terms, supply: Supply) -> dict[str, object]:
    """What is bought, on which terms, and both services with it."""
    cycle, from_shelf = services(shelf.need, shelf.at_hand + shelf.on_order + bought.pieces)
    lead, lead_sd = lead_time(supply, shelf.part)
    return {
        "order_pieces": bought.pieces,
        "order_packs": bought.packs,
        "unit_price": bought.unit_price,
        "line_total": bought.pieces * bought.unit_price if bought.pieces else 0.0,
        "stepped_up": bought.stepped_up,
        "pack": terms.pack,
        "min_order": terms.min_order,
        "lead_days": lead,
        "lead_days_sd": lead_sd,
        "service_cycle": cycle,
        "service_pieces": from_shelf,
    }


def _timing(shelf: Shelf, bought: Purchase, choices: Choices) -> dict[str, object]:
    """When the shelf runs out and by when to order; ``latest`` is each draw's last order day."""
    run_out = run_out_days(shelf.needed, shelf.at_hand, shelf.delivered)
    order_by = _latest(run_out, shelf, choices)
    return {
        "order_by": order_by if bought.pieces else pd.NaT,
        "runs_out_p05": _date(whole_quantile(run_out, 0.05), choices),
        "runs_out_p50": _date(whole_quantile(run_out, 0.50), choices),
        "status": _status(shelf, bought, order_by, run_out, choices),
        "latest": run_out - 1 - shelf.lead,
        **_gap_days(shelf, bought, order_by, choices),
    }


def _latest(run_out: np.ndarray, shelf: Shelf, choices: Choices) -> pd.Timestamp:
    """The working day by which to order; NaT where nothing runs out."""
    day = latest_order_day(run_out, shelf.lead, choices.service_level)
    date = _date(day, choices)
    return date if pd.isna(date) else last_working_day(date, choices.closed_days)


def _date(day: float, choices: Choices) -> pd.Timestamp:
    return choices.as_of + pd.Timedelta(days=day) if np.isfinite(day) else pd.Timestamp("NaT")


def _status(
    shelf: Shelf,
    bought: Purchase,
    order_by: pd.Timestamp,
    run_out: np.ndarray,
    choices: Choices,
) -> str:
    if bought.pieces > 0:
        return "overdue" if order_by < choices.as_of else "order"
    if not shelf.carried:
        return "no use"
    dips = float(np.mean(run_out <= shelf.last_day)) > 1 - choices.service_level
    if dips and shelf.on_order > 0 and not shelf.replaced_by:
        return "gap"
    return "surplus" if _months_of_use(shelf) > SURPLUS_MONTHS else "watch"


def _months_of_use(shelf: Shelf) -> float:
    """Months that the shelf lasts at the coming year's mean use; inf without any use."""
    days = min(364, shelf.needed.shape[1] - 1)
    monthly: float = float(shelf.needed[:, days].mean()) / days * 365 / 12
    if monthly > 0:
        return shelf.at_hand / monthly
    return float("inf") if shelf.at_hand > 0 else 0.0


def _gap_days(
    shelf: Shelf,
    bought: Purchase,
    order_by: pd.Timestamp,
    choices: Choices,
) -> dict[str, float]:
    """How many days pieces may be owed when the line goes out today; 0 if that is in time."""
    today = first_working_day(choices.as_of, choices.closed_days)
    in_time = order_by >= today and bought.pieces > 0
    if pd.isna(order_by) or in_time:
        return {"gap_days_p50": 0.0, "gap_days_p95": 0.0}
    arrives = (today - choices.as_of).days + shelf.lead
    pieces = bought.pieces
    owed = owed_days(shelf.needed, shelf.at_hand, shelf.delivered, pieces, arrives, shelf.last_day)
    return {"gap_days_p50": whole_quantile(owed, 0.5), "gap_days_p95": whole_quantile(owed, 0.95)}


def _with_order_days(frame: pd.DataFrame, choices: Choices) -> pd.DataFrame:
    """The day each line goes out, gathered by supplier, and its chance to arrive in time."""
    today = first_working_day(choices.as_of, choices.closed_days)
    buys = frame["order_pieces"] > 0
    wanted = frame["order_by"].astype("datetime64[ns]")
    due = wanted.where(wanted >= today, today)
    order_on = gather(due[buys], frame.loc[buys, "supplier"], choices.gather_days)
    order_on = order_on.reindex(frame.index)
    day = (order_on - choices.as_of).dt.days
    in_time = [
        float(np.mean(latest >= on)) if np.isfinite(on) else np.nan
        for latest, on in zip(frame["latest"], day, strict=True)
    ]
    soon = order_on <= choices.as_of + pd.Timedelta(days=SOON_DAYS)
    status = frame["status"].mask(frame["status"].eq("order") & soon, "order now")
    return frame.assign(order_by=wanted, order_on=order_on, in_time=in_time, status=status)


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


def _with_catalogue(frame: pd.DataFrame, parts: pd.DataFrame) -> pd.DataFrame:
    named = parts.set_index("part")[["name", "supplier", "kind"]]
    return frame.join(named, on="part")
