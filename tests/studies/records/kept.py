"""A set of records with its truth, and the pens the sites write with."""

import csv
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import openpyxl
import pandas as pd

Cell = Any
Meaning = tuple[str, str, str]
"""Position, action and cause."""


@dataclass(frozen=True)
class Kept:
    """Records in files, what they say, and what the person who keeps them would answer.

    Attributes
    ----------
    paths : tuple of Path
        What is given to the command.
    readings, changes : DataFrame
        The truth, in our words.
    phrases : dict
        A phrase to what it says: a list of (position, action, cause); an empty list says nothing.
    words : dict
        (our column, word) to our word; for ``only`` yes or no.
    columns : dict
        A heading to our column, for headings that the draft leaves open; blank: not used.
    from_zero : bool
        The records hold hours run, so a machine's meter is known up to a constant.
    grain : str
        How finely a reading's day is known: ``D``, ``W`` (Monday to Sunday) or ``M``.
    serves : bool
        Whether wear can be read from these records at all.
    """

    paths: tuple[Path, ...]
    readings: pd.DataFrame
    changes: pd.DataFrame
    phrases: dict[str, list[Meaning]] = field(default_factory=dict)
    words: dict[tuple[str, str], str] = field(default_factory=dict)
    columns: dict[str, str] = field(default_factory=dict)
    from_zero: bool = False
    grain: str = "D"
    serves: bool = True


PLACES = ("front blade", "rear blade", "left brush", "right brush")


def at_places(*words: Any) -> dict[str, Any]:
    """The words of a site for the four places, in their order, by our names."""
    return dict(zip(PLACES, words, strict=True))


def workbook(path: Path, sheets: dict[str, Iterable[Sequence[Cell]]], merged=()) -> Path:
    """A workbook with these sheets; `merged` holds (sheet, range) pairs."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    for name, cells in merged:
        book[name].merge_cells(cells)
    book.save(path)
    return path


def text(path: Path, rows: Iterable[Sequence[Cell]], sep: str = ",", encoding="utf-8") -> Path:
    """A file of separated values."""
    with path.open("w", newline="", encoding=encoding) as file:
        csv.writer(file, delimiter=sep).writerows(rows)
    return path


def grid(table: pd.DataFrame, down: str, across: str, value: str) -> pd.DataFrame:
    """One column's values with two others down and across, in order of appearance."""
    return table.pivot_table(index=down, columns=across, values=value, aggfunc="last", sort=False)


def comma(number: float, thousands: str = "") -> str:
    """A number with a decimal comma."""
    plain = f"{number:,.1f}".replace(",", "\0").replace(".", ",")
    return plain.replace("\0", thousands)


def said(changes: pd.DataFrame, phrase: Callable[..., str]) -> tuple[pd.DataFrame, dict]:
    """The changes with a column ``phrase``, and what each phrase says.

    `phrase` takes position, action, cause and the number of the row.
    """
    told = [
        phrase(row.position, row.action, row.cause, number)
        for number, row in enumerate(changes.itertuples())
    ]
    meanings: dict[str, list[Meaning]] = {}
    for words, row in zip(told, changes.itertuples(), strict=True):
        meaning = [(row.position, row.action, row.cause)]
        assert meanings.setdefault(words, meaning) == meaning, f"{words} says two things"
    return changes.assign(phrase=told), meanings
