"""The whole reason of an order line: why so much and why by then, from the line's own figures."""

import pandas as pd

from wearcast.decisions.ordering.reasons import counted, day_words, months_words


def pieces_words(pieces: float) -> str:
    """``1 piece``, ``12 pieces``; a mean keeps one decimal under ten."""
    shown = f"{pieces:.0f}" if pieces >= 10 or pieces == round(pieces) else f"{pieces:.1f}"
    return f"{shown} piece" if shown == "1" else f"{shown} pieces"


def whole_reason(line: pd.Series) -> str:
    """One sentence for one order line.

    Parameters
    ----------
    line : Series
        A row of the order frame, all columns but ``why`` and ``reason``.
    """
    status = str(line["status"])
    if status == "no use":
        return _no_use(line)
    if status == "surplus":
        return _surplus(line)
    words = {"watch": _enough, "gap": _gap, "not counted": _not_counted}.get(status, _order)
    return words(line)


def _stock(line: pd.Series) -> str:
    have = f"{line['on_hand']:.0f} on the shelf"
    if line["on_order"] > 0:
        have += f" and {line['on_order']:.0f} on order{_when(line)}"
    if line["transfer"]:
        have += f", with {line['transfer']}"
    return have


def _when(line: pd.Series) -> str:
    """When the open orders come."""
    late, comes = line["on_order_late"], day_words(line["on_order_comes"])
    if late <= 0:
        return f" (by {comes})"
    if late == line["on_order"]:
        return f" (past due, expected by {comes})"
    return f" ({late:.0f} of them past due, all expected by {comes})"


def _there(line: pd.Series) -> str:
    verb = "is" if f"{line['on_hand']:.0f}" == "1" else "are"
    return f"there {verb} {_stock(line)}"


def _need(line: pd.Series) -> str:
    cover = "covers" if f"{line['order_up_to']:.0f}" == "1" else "cover"
    return (
        f"until {day_words(line['to'])} about {pieces_words(line['expected_use'])} will be used, "
        f"and {line['order_up_to']:.0f} {cover} the need in "
        f"{100 * line['service_level']:.3g} of 100 cases"
    )


def _order(line: pd.Series) -> str:
    parts = [f"{_need(line)}; {_there(line)}, so {_bought(line)}", _timing(line)]
    if line["order_on"] < line["order_by"]:
        parts.append(
            f"it goes out on {day_words(line['order_on'])} with the supplier's other lines"
        )
    if line["on_record"] <= 0:
        parts.append(
            "no such part has ended in the log, so the use rests on a typical life: look at the "
            "quantity before you order, and write usual_hours"
        )
    return _sentence("; ".join(each for each in parts if each))


def _timing(line: pd.Series) -> str:
    """Why by then."""
    if line["status"] == "overdue":
        by = day_words(line["order_by"])
        return f"to arrive in time it had to go out by {by}: {_owed(line)}"
    if pd.isna(line["runs_out_p05"]):
        return ""
    return (
        f"the shelf may be empty from {day_words(line['runs_out_p05'])} (1 case in 20) and "
        f"delivery takes about {counted(line['lead_days'], 'day')}"
    )


def _bought(line: pd.Series) -> str:
    bought = pieces_words(line["order_pieces"])
    if line["pack"] > 1:
        bought += f" ({counted(line['order_packs'], 'pack')} of {line['pack']:.0f})"
    bought += " are ordered" if line["order_pieces"] != 1 else " is ordered"
    if _bridges(line):
        bought += " to last until the open order has come (or ask for that one sooner)"
    if line["wanted_pieces"] > line["order_pieces"]:
        bought += f", of {line['wanted_pieces']:.0f}, as the budget reaches no farther"
    elif line["topped_up"] > 0:
        bought += (
            f", {line['topped_up']:.0f} of them for the supplier's smallest order or free carriage"
        )
    elif line["stepped_up"]:
        bought += ", more than needed because the larger order costs less in total"
    elif line["order_pieces"] == line["min_order"] > line["missing"]:
        bought += ", the smallest order the supplier takes"
    return bought


def _bridges(line: pd.Series) -> bool:
    """Whether more is bought than the window needs, because open orders come late."""
    there = line["on_hand"] + line["moved_in"] - line["moved_out"] + line["on_order"]
    return bool(line["missing"] > max(line["order_up_to"] - there, 0.0))


def _owed(line: pd.Series) -> str:
    low, high = line["gap_days_p50"], line["gap_days_p95"]
    if high < 1:
        return "order now"
    days = counted(high, "day")
    return (
        f"if it goes out on {day_words(line['order_on'])} the shelf may stand empty for "
        f"{days if low == high else f'{low:.0f} to {days}'}"
    )


def _gap(line: pd.Series) -> str:
    empty = "may be empty"
    # At a service level above 95 the dip may be rarer than 1 case in 20.
    if pd.notna(line["runs_out_p05"]):
        empty += f" from {day_words(line['runs_out_p05'])}"
    return _sentence(
        f"{_need(line)}; {_there(line)}, which is enough, but the shelf {empty} "
        "before the open order comes, sooner than a new one could: ask for an earlier delivery"
    )


def _not_counted(line: pd.Series) -> str:
    words = f"{_need(line)}; nobody counted the shelf"
    if line["on_order"] > 0:
        words += f", and {line['on_order']:.0f} are on order{_when(line)}"
    if line["wanted_pieces"] <= 0:
        return _sentence(f"{words}, which is enough even if it is empty")
    return _sentence(
        f"{words}, so {_bought(line)} if it is empty, and the fewer the more lies there"
    )


def _enough(line: pd.Series) -> str:
    words = f"{_need(line)}; {_there(line)}, so nothing is ordered"
    if line["replaced_by"]:
        words += f"; what is used beyond that is ordered as {line['replaced_by']}"
    elif pd.notna(line["runs_out_p05"]):
        words += f"; the shelf may be empty from {day_words(line['runs_out_p05'])}"
    return _sentence(words)


def _surplus(line: pd.Series) -> str:
    if line["expected_use"] <= 0:
        return _sentence(
            f"{_stock(line)}, but no use of the part is expected until {day_words(line['to'])}"
        )
    last = "lasts" if f"{line['on_hand']:.0f}" == "1" else "last"
    return _sentence(
        f"{_stock(line)} {last} {months_words(line['months_of_use'])} at "
        f"{pieces_words(line['expected_use'])} until {day_words(line['to'])}"
    )


def _no_use(line: pd.Series) -> str:
    words = f"{_stock(line)}, but no machine of this depot carries the part"
    if line["on_order"] > 0:
        words += ": ask to cancel the open order, or name the depot that it is for"
    return _sentence(words)


def _sentence(words: str) -> str:
    return words[0].upper() + words[1:] + "."
