"""The figures of one order line, read off its shelf: need, purchase, timing, status."""

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.policy import Policy
from wearcast.decisions.ordering.prices import Purchase, Terms, buy_together
from wearcast.decisions.ordering.reasons import transfer_words
from wearcast.decisions.ordering.runout import (
    latest_order_day,
    owed_days,
    run_out_days,
    whole_quantile,
)
from wearcast.decisions.ordering.shelf import Shelf
from wearcast.decisions.ordering.supply import Supply, lead_time
from wearcast.decisions.ordering.workdays import last_working_day
from wearcast.logbook.choices import Choices

SURPLUS_MONTHS = 12.0
"""Stock that lasts longer than this is a surplus."""


def part_lines(
    shelves: list[Shelf], terms: Terms, supply: Supply, policy: Policy
) -> list[dict[str, object]]:
    """The lines of one part at all depots; depots that order on one day buy together.

    Besides the figures of the order frame each holds arrays (draws,): ``need`` up to the end and
    ``latest``, the last day on which an order comes in time; ``there``, pieces there and coming
    before the order; and ``could_wait_until``, order_by also where nothing need be ordered.
    """
    bought: dict[str, Purchase] = {}
    for day in sorted({shelf.order_day for shelf in shelves}):
        here = [shelf for shelf in shelves if shelf.order_day == day]
        bought |= zip(
            (shelf.depot for shelf in here),
            buy_together([shelf.missing for shelf in here], terms),
            strict=True,
        )
    return [
        _line(shelf, bought[shelf.depot], terms, supply, policy)
        for shelf in shelves
        if shelf.stock + shelf.on_order + shelf.need.sum() + shelf.pieces_in > 0
        or shelf.delivered[-1] > 0
    ]


def _line(
    shelf: Shelf, bought: Purchase, terms: Terms, supply: Supply, policy: Policy
) -> dict[str, object]:
    choices = policy.choices
    return {
        "depot": shelf.depot,
        "part": shelf.part,
        **_stock(shelf, supply, choices),
        **_need(shelf, choices),
        **_purchase(shelf, bought, terms, supply),
        **_timing(shelf, bought, choices),
        "service_level": shelf.level,
        "service_from": str(policy.levels.loc[shelf.part, "source"]),
    }


def _stock(shelf: Shelf, supply: Supply, choices: Choices) -> dict[str, object]:
    """What is there and coming; nothing is known of a shelf that was not counted."""
    about = supply.stock.reindex([(shelf.depot, shelf.part)]).iloc[0]
    return {
        "on_hand": about["on_hand"],
        "counted": about["counted"],
        "expected_count": about["expected"],
        "count_gap": about["found"] - about["expected"],
        "on_order": shelf.on_order,
        "on_order_late": shelf.late,
        "on_order_comes": _date(shelf.coming_day or np.inf, choices),
        "moved_in": shelf.pieces_in,
        "moved_out": shelf.pieces_out,
        "transfer": transfer_words(shelf.moved_in, shelf.moved_out),
        "replaced_by": shelf.replaced_by,
        "there": shelf.at_hand + shelf.on_order,
    }


def _need(shelf: Shelf, choices: Choices) -> dict[str, object]:
    """The need over the window."""
    return {
        "from": choices.as_of + pd.Timedelta(days=1),
        "to": choices.as_of + pd.Timedelta(days=shelf.last_day),
        "expected_use": float(shelf.need.mean()),
        "use_p05": whole_quantile(shelf.need, 0.05),
        "use_p50": whole_quantile(shelf.need, 0.50),
        "use_p95": whole_quantile(shelf.need, 0.95),
        "order_up_to": shelf.up_to,
        "missing": shelf.missing,
        "spare": shelf.spare,
        "months_of_use": _months_of_use(shelf),
        "need": shelf.need,
    }


def _purchase(shelf: Shelf, bought: Purchase, terms: Terms, supply: Supply) -> dict[str, object]:
    """What is bought and on which terms."""
    lead, lead_sd = lead_time(supply, shelf.part)
    return {
        "order_pieces": bought.pieces,
        "unit_price": bought.unit_price,
        "stepped_up": bought.stepped_up,
        "pack": terms.pack,
        "min_order": terms.min_order,
        "lead_days": lead,
        "lead_days_sd": lead_sd,
    }


def _timing(shelf: Shelf, bought: Purchase, choices: Choices) -> dict[str, object]:
    """When the shelf runs out and by when to order; blank where nobody counted."""
    if not shelf.counted and not shelf.replaced_by:
        return _unknown_timing(shelf)
    run_out = run_out_days(shelf.needed, shelf.at_hand, shelf.delivered)
    order_by = _latest(run_out, shelf, choices)
    return {
        "order_by": order_by if bought.pieces else pd.NaT,
        "could_wait_until": order_by,
        "runs_out_p05": _date(whole_quantile(run_out, 0.05), choices),
        "runs_out_p50": _date(whole_quantile(run_out, 0.50), choices),
        "status": _status(shelf, bought, order_by, run_out, choices),
        "latest": run_out - 1 - shelf.lead,
        "dips": run_out <= (shelf.coming_day or 0),
        **_gap_days(shelf, bought, order_by, choices),
    }


def _unknown_timing(shelf: Shelf) -> dict[str, object]:
    return {
        "order_by": pd.NaT,
        "could_wait_until": pd.NaT,
        "runs_out_p05": pd.NaT,
        "runs_out_p50": pd.NaT,
        "status": "not counted" if shelf.carried else "no use",
        "latest": np.full(len(shelf.lead), np.nan),
        "dips": np.zeros(len(shelf.lead), dtype=bool),
        "gap_days_p50": 0.0,
        "gap_days_p95": 0.0,
    }


def _latest(run_out: np.ndarray, shelf: Shelf, choices: Choices) -> pd.Timestamp:
    """The working day by which to order; NaT where nothing runs out."""
    date = _date(latest_order_day(run_out, shelf.lead, shelf.level), choices)
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
    dips = float(np.mean(run_out <= shelf.last_day)) > 1 - shelf.level
    if dips and shelf.on_order > 0 and not shelf.replaced_by:
        return "gap"
    return "surplus" if _months_of_use(shelf) > SURPLUS_MONTHS else "watch"


def _months_of_use(shelf: Shelf) -> float:
    """Months that the shelf lasts at the coming year's mean use; inf without any use."""
    days = min(364, shelf.needed.shape[1] - 1)
    monthly: float = float(shelf.needed[:, days].mean()) / days * 365 / 12
    if not shelf.counted:
        return float("nan")
    if monthly > 0:
        return shelf.at_hand / monthly
    return float("inf") if shelf.at_hand > 0 else 0.0


def _gap_days(
    shelf: Shelf, bought: Purchase, order_by: pd.Timestamp, choices: Choices
) -> dict[str, float]:
    """How many days pieces may be owed when the line goes out; 0 if that is in time."""
    goes_out = choices.as_of + pd.Timedelta(days=shelf.order_day)
    in_time = order_by >= goes_out and bought.pieces > 0
    if pd.isna(order_by) or in_time:
        return {"gap_days_p50": 0.0, "gap_days_p95": 0.0}
    arrives, pieces = shelf.order_day + shelf.lead, bought.pieces
    owed = owed_days(shelf.needed, shelf.at_hand, shelf.delivered, pieces, arrives, shelf.last_day)
    return {"gap_days_p50": whole_quantile(owed, 0.5), "gap_days_p95": whole_quantile(owed, 0.95)}
