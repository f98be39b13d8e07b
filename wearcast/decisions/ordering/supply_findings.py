"""What stock and open orders have to tell, file by file."""

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.supply import Supply
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.told import Problem


def tell_supply(supply: Supply, book: Logbook, choices: Choices) -> tuple[Problem, ...]:
    """Findings about counts, open orders and delivery times."""
    return (
        *_tell_used_up(supply.stock["at_as_of"]),
        *(problem for fate in _WORDS for problem in _tell_orders(supply.orders, fate)),
        *_tell_lead(supply.lead, book, choices),
    )


def _tell_used_up(at_as_of: pd.Series) -> list[Problem]:
    short = at_as_of[at_as_of < 0]
    if short.empty:
        return []
    names = ", ".join(f"{part} at {depot}" for depot, part in short.index)
    return [
        Problem(
            "stock", "stock", (), "on_hand", "", "note",
            f"more was fitted since the count than lay on the shelf: {names}; taken as none left",
            "Count these parts again and write the day under counted",
            weight=float(-short.sum()),
        )
    ]  # fmt: skip


_WORDS = {
    "late": (
        "past due; {it} expected after half a lead time",
        "Ask the supplier for a new date, or write under received when it came",
    ),
    "doubtful": (
        "past due, and the shelf was counted later; {it} not counted in",
        "Find out whether it came: write the day under received, or a new date under due",
    ),
    "assumed": (
        "past due since the shelf was counted; {it} taken as received on the due day",
        "Write the day under received, or a new date under due",
    ),
}


def _tell_orders(orders: pd.DataFrame, fate: str) -> list[Problem]:
    """One finding for each file with orders of that fate."""
    here, (words, remedy) = orders[orders["fate"] == fate], _WORDS[fate]
    return [
        Problem(
            str(source), "on_order", tuple(sorted(rows["row"].dropna().astype(int))), "due", "",
            "note", f"{_how_many(rows, words)}: {_shelves(rows)}", remedy,
            weight=float(rows["pieces"].sum()),
        )
        for source, rows in here.groupby(here["source"].astype(object).fillna("on_order"))
    ]  # fmt: skip


def _how_many(orders: pd.DataFrame, words: str) -> str:
    if len(orders) == 1:
        return f"1 open order is {words.format(it='it is')}"
    return f"{len(orders)} open orders are {words.format(it='they are')}"


def _shelves(orders: pd.DataFrame) -> str:
    return ", ".join(sorted(orders["part"] + " at " + orders["depot"]))


def explained(book: Logbook, column: str) -> set[str]:
    """Parts of which it is told already why the catalogue says nothing under a column.

    Their cell was set aside; or they have no line, where whole lines were set aside.
    """
    aside = [each for each in book.told if each.table == "parts" and each.severity == "set aside"]
    if not aside:
        return set()
    cells = {(each.source, row) for each in aside if each.column == column for row in each.rows}
    lines = any(tally.table == "parts" and tally.set_aside for tally in book.tallies)
    places = zip(book.parts["source"], book.parts["row"], strict=True)
    here = np.array([place in cells for place in places], dtype=bool)
    return set(book.parts["part"][here | (~book.parts["catalogued"] & lines)])


def _tell_lead(lead: pd.DataFrame, book: Logbook, choices: Choices) -> list[Problem]:
    names = ", ".join(sorted(set(lead.index[lead["assumed"]]) - explained(book, "lead_days")))
    if not names:
        return []
    return [
        Problem(
            "parts", "parts", (), "lead_days", "", "note",
            f"no delivery time is given for {names}; {choices.lead_days:g} days are assumed",
            "Write the usual days from order to delivery under lead_days",
        )
    ]  # fmt: skip
