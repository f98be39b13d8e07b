"""Why so much, in at most twenty words: ``Need 51 by 10 April, have 10: order 44 (11 packs)``."""

import pandas as pd

from wearcast.logbook.schema.vocabulary import MONTH_NAMES

_LONG = 120  # months beyond which no one counts them
_A_YEAR = 330
"""Days: a date farther off than this says its year."""


def day_words(day: pd.Timestamp) -> str:
    """A date in plain words, the same in every locale: ``4 January 2027``."""
    return f"{short_day(day)} {day.year}"


def short_day(day: pd.Timestamp) -> str:
    """The same without the year: ``4 January``."""
    return f"{day.day} {MONTH_NAMES[day.month - 1]}"


def counted(number: float, noun: str) -> str:
    """``1 day``, ``12 days``."""
    shown = f"{number:.0f}"
    return f"{shown} {noun}" if shown == "1" else f"{shown} {noun}s"


def transfer_words(
    moved_in: tuple[tuple[str, float], ...], moved_out: tuple[tuple[str, float], ...]
) -> str:
    """A shelf's moves: ``7 moved in from north``."""
    into = [f"{pieces:.0f} moved in from {depot}" for depot, pieces in moved_in]
    out = [f"{pieces:.0f} moved out to {depot}" for depot, pieces in moved_out]
    return ", ".join([*into, *out])


def months_words(months: float) -> str:
    """How long a shelf lasts."""
    return f"about {counted(months, 'month')}" if months < _LONG else "more than ten years"


def why(line: pd.Series) -> str:
    """At most twenty words for one order line.

    Parameters
    ----------
    line : Series
        A row of the order frame, all columns but ``why`` and ``reason``.
    """
    words = {
        "not counted": _not_counted, "watch": _enough, "gap": _gap, "surplus": _surplus,
        "no use": _no_use,
    }.get(str(line["status"]), _order)  # fmt: skip
    return words(line)


def _need(line: pd.Series) -> str:
    return f"Need {line['order_up_to']:.0f} by {_until(line)}"


def _until(line: pd.Series) -> str:
    far = (line["to"] - line["from"]).days > _A_YEAR
    return day_words(line["to"]) if far else short_day(line["to"])


def _have(line: pd.Series) -> str:
    return f"have {line['there']:.0f}"


def _bought(line: pd.Series) -> str:
    packs = f" ({counted(line['order_packs'], 'pack')})" if line["pack"] > 1 else ""
    return f"order {line['order_pieces']:.0f}{packs}"


def _order(line: pd.Series) -> str:
    late = "Late: " if line["status"] == "overdue" else ""
    words = f"{_need(line)}, {_have(line)}: {_bought(line)}"
    return f"{late}{words[0].lower() if late else words[0]}{words[1:]}{_besides(line)}"


def _besides(line: pd.Series) -> str:
    """Why more or less than the need is ordered; the weightiest reason only."""
    pieces = line["order_pieces"]
    if line["wanted_pieces"] > pieces:
        return f", of {line['wanted_pieces']:.0f}, by the budget"
    if line["topped_up"] > 0:
        return f", {line['topped_up']:.0f} for the supplier's order value"
    if line["missing"] > max(line["order_up_to"] - line["there"], 0.0):
        return ", to last until the open order"
    if line["stepped_up"]:
        return ", cheaper in all than fewer"
    if pieces == line["min_order"] > line["missing"]:
        return ", the smallest order"
    return ""


def _not_counted(line: pd.Series) -> str:
    if line["wanted_pieces"] <= 0:
        return f"Not counted. {_need(line)}: {line['on_order']:.0f} on order are enough"
    coming = f", {line['on_order']:.0f} on order" if line["on_order"] > 0 else ""
    cut = line["wanted_pieces"] > line["order_pieces"]
    last = _besides(line) if cut else " if the shelf is empty"
    return f"Not counted. {_need(line)}{coming}: {_bought(line)}{last}"


def _enough(line: pd.Series) -> str:
    rest = f"; the rest as {line['replaced_by']}" if line["replaced_by"] else ""
    return f"{_need(line)}, {_have(line)}: nothing to order{rest}"


def _gap(line: pd.Series) -> str:
    when = f" from {short_day(line['runs_out_p05'])}" if pd.notna(line["runs_out_p05"]) else ""
    return f"{_need(line)}, {_have(line)}, but perhaps empty{when}: ask for an earlier delivery"


def _surplus(line: pd.Series) -> str:
    if line["expected_use"] <= 0:
        return f"{line['there']:.0f} there, no use expected until {_until(line)}"
    return f"{line['on_hand']:.0f} on the shelf last {months_words(line['months_of_use'])}"


def _no_use(line: pd.Series) -> str:
    return f"{line['there']:.0f} there or on order, but no machine of this depot carries it"
