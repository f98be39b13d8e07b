"""One column of cells becomes texts, names, yes/no or choices; what was repaired is told.

Cells stay as the person wrote them until here, and each distinct one is looked at once. Words for
"nothing" (``n/a``, ``-``, ``?``, ditto marks, an error cell) count as blank. Numbers and dates have
files of their own.
"""

import datetime
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from wearcast.logbook.schema.spelling import did_you_mean, fold, tidy
from wearcast.logbook.schema.tables import Column
from wearcast.logbook.schema.vocabulary import (
    ALSO_NO,
    ALSO_YES,
    NO,
    YES,
)
from wearcast.logbook.sources.cell_texts import text_of
from wearcast.logbook.sources.clean_csv import CleanRows
from wearcast.told import Severity

MOST_WORDS = 50
"""Unknown words of a column that are told one by one."""
PLAIN = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,4})?")
"""A number that is written in the one way that needs no deciding."""
WORDLESS = re.compile(
    rf"{PLAIN.pattern}|[A-Za-z]{{1,3}}-?[0-9]{{3,}}|[0-9]{{4}}-[0-9]{{2}}-[0-9]{{2}}"
)
"""Plain numbers, and what most machines and days are called: M-014, 2026-02-03."""
_ALL_PLAIN = re.compile(r"(?:[0-9]+(?:\.[0-9]*)?\n)*+")
_AROUND = ".!()[] "
"""Marks around a word that say nothing."""
_NOUNS = re.compile(r"\b(?:the|blade|brush|pad|squeegee|part)s?\b")
"""What was turned or changed is said by the position."""


@dataclass(frozen=True, slots=True)
class Cells:
    """A column of cells, each distinct one kept once."""

    codes: np.ndarray
    """array (rows,) of int32: place in ``distinct``; -1: nothing there"""
    distinct: tuple[object, ...]
    words: np.ndarray | None = None
    """Places in ``distinct`` of all texts that may be a word; None: not looked for."""

    def said(self, test: Callable[[object], bool]) -> np.ndarray:
        """As `where`, for a test of words: one that nothing passes which `bears_no_word`."""
        if self.words is None:
            return self.where(test)
        passes = np.zeros(len(self.distinct) + 1, bool)
        passes[self.words] = [test(self.distinct[place]) for place in self.words.tolist()]
        return np.asarray(passes[self.codes]) if passes.any() else np.zeros(len(self.codes), bool)

    def where(self, test: Callable[[object], bool]) -> np.ndarray:
        """Which rows hold a cell that passes the test; none that hold nothing."""
        passes = np.array([*(test(cell) for cell in self.distinct), False], bool)
        return np.asarray(passes[self.codes])

    def spread(self, values: Sequence[object], nothing: object, dtype: object) -> np.ndarray:
        """A value for every row from a value for every distinct cell."""
        every = np.empty(len(values) + 1, dtype)  # type: ignore[call-overload]
        every[:-1] = values
        every[-1] = nothing
        return np.asarray(every[self.codes])

    def rows_of(self, places: Sequence[int]) -> np.ndarray:
        """The rows that hold one of these distinct cells."""
        return np.flatnonzero(np.isin(self.codes, list(places)))


def all_plain(texts: Sequence[object]) -> bool:
    """Whether all are texts that are plain numbers, looked at in one go; False settles nothing."""
    if not all(type(text) is str for text in texts):
        return False
    lines = "\n".join(texts) + "\n"  # type: ignore[arg-type]
    return lines.count("\n") == len(texts) and _ALL_PLAIN.fullmatch(lines) is not None


def bears_no_word(text: str) -> bool:
    """Whether a text is a number, a date or a name with a number, as no word of any list is."""
    return WORDLESS.fullmatch(text) is not None


def numbers_of(rows: Sequence[int]) -> np.ndarray:
    """The number of each row, as the sheet shows it: array (rows,)."""
    if isinstance(rows, range):
        return np.arange(rows.start, rows.stop, rows.step)
    return np.array(rows, np.int64)


def cells_at(rows: Sequence[Sequence[object]], place: int) -> Cells:
    """The column at that place of the rows; rows that end before it hold nothing there."""
    if isinstance(rows, CleanRows):
        codes, distinct = rows.lanes[place].in_order()
        words = (
            []
            if all_plain(distinct)
            else [at for at, text in enumerate(distinct) if not bears_no_word(text)]
        )
        return Cells(codes, distinct, np.array(words, np.int64))
    return cells_of([row[place] if place < len(row) else None for row in rows])


def cells_of(column: Sequence[object]) -> Cells:
    """The column with each distinct cell once; 7, 7.0, "7" and True are four."""
    places: dict[object, int] = {}
    codes = [
        -1
        if cell is None
        else places.setdefault(cell if type(cell) is str else (type(cell), cell), len(places))
        for cell in column
    ]
    distinct = tuple(key if type(key) is str else key[1] for key in places)  # type: ignore[index]
    return Cells(np.array(codes, np.int32), distinct)


def without(cells: Cells, skipped: np.ndarray) -> Cells:
    """The cells with nothing in the skipped rows.

    Array (rows,) of bool: True in a row to skip.
    """
    if not (skipped & (cells.codes >= 0)).any():
        return cells
    codes = np.where(skipped, -1, cells.codes)
    live = np.unique(codes[codes >= 0])
    renumbered = np.full(len(cells.distinct) + 1, -1, np.int32)
    renumbered[live] = np.arange(len(live))
    words = cells.words
    if words is not None:
        words = renumbered[words]
        words = words[words >= 0]
    return Cells(renumbered[codes], tuple(cells.distinct[place] for place in live), words)


@dataclass(frozen=True, slots=True)
class Fault:
    """Something about some cells of a column."""

    places: np.ndarray
    """Rows of the column, from 0."""
    severity: Severity
    wrong: str
    remedy: str = ""
    keeps: bool = False
    """True where the cell has a reading all the same."""


def says_yes(cell: object) -> bool:
    """Whether the cell says yes."""
    return fold(text_of(cell)).strip(_AROUND) in YES | ALSO_YES


def says_no(cell: object) -> bool:
    """Whether the cell says no."""
    return fold(text_of(cell)).strip(_AROUND) in NO | ALSO_NO


def read_names(cells: Cells) -> tuple[np.ndarray, list[Fault]]:
    """As `read_texts`, and what a spreadsheet program made of names like 3-4.

    Array (rows,) of texts, one a row.
    """
    dates = [at for at, cell in enumerate(cells.distinct) if isinstance(cell, datetime.date)]
    faults: list[Fault] = []
    if dates:
        wrong = "a date where a name belongs; spreadsheet programs make dates of names like 3-4"
        cure = "Format the column as text and write the name once more"
        faults.append(Fault(cells.rows_of(dates), "set aside", wrong, cure))
    return read_texts(without(cells, np.isin(cells.codes, dates))), faults


def read_texts(cells: Cells) -> np.ndarray:
    """The cells as texts or names, without blanks around; "" where nothing is.

    Array (rows,) of texts, one a row.
    """
    return cells.spread([tidy(text_of(cell)) for cell in cells.distinct], "", object)


def read_yes_no(cells: Cells) -> tuple[np.ndarray, list[Fault]]:
    """The cells as yes (True) or no; nothing is no.

    Array (rows,) of bool.
    """
    words = [fold(text_of(cell)) for cell in cells.distinct]
    bare = [word.strip(_AROUND) or word for word in words]
    yes = [word in YES or word in ALSO_YES for word in bare]
    wrong, remedy = "neither yes nor no", "Write yes, or leave it blank"
    told: dict[tuple[Severity, str, str], list[int]] = {}
    for place, (word, said) in enumerate(zip(bare, yes, strict=True)):
        if not said and word not in NO and word not in ALSO_NO:
            told.setdefault(("set aside", wrong, remedy), []).append(place)
        elif words[place] not in YES and words[place] not in NO:
            told.setdefault(("repaired", f"read as {'yes' if said else 'no'}", ""), []).append(
                place
            )
    faults = [Fault(cells.rows_of(places), *what) for what, places in told.items()]
    return cells.spread(yes, False, bool), faults


def read_choices(cells: Cells, column: Column) -> tuple[np.ndarray, list[Fault]]:
    """The cells as one of the column's choices; "" where nothing is or it is unknown.

    Array (rows,) of texts, one a row.
    """
    ours = {fold(choice): choice for choice in column.choices}
    also = ours | {fold(word): choice for word, choice in column.words}
    texts = [tidy(text_of(cell)) for cell in cells.distinct]
    keys = [fold(text) for text in texts]
    said = [
        also.get(key) or also.get(_bare_key(text), "")
        for text, key in zip(texts, keys, strict=True)
    ]
    known = {*column.choices, column.unknown_is}
    values = [one if one in known else column.unknown_is for one in said]
    told: dict[tuple[Severity, str, str], list[int]] = {}
    unknown: dict[str, list[int]] = {}
    for place, (text, key) in enumerate(zip(texts, keys, strict=True)):
        if column.unknown_is and not said[place]:
            unknown.setdefault(_bare_key(text), []).append(place)
        elif key not in ours and not (said[place] and said[place] == column.unknown_is):
            told.setdefault(_on_choice(text, said[place], column), []).append(place)
    faults = [Fault(cells.rows_of(places), *what) for what, places in told.items()]
    return cells.spread(values, "", object), [*faults, *_on_unknown(cells, unknown, column)]


def _on_unknown(cells: Cells, unknown: dict[str, list[int]], column: Column) -> list[Fault]:
    """One fault for each word that nobody decided, the commonest first; many rare ones as one."""
    words = {text_of(cells.distinct[places[0]]): places for places in unknown.values()}
    rows = {word: cells.rows_of(places) for word, places in words.items()}
    by_count = sorted(rows, key=lambda word: -len(rows[word]))
    most, rest = by_count[:MOST_WORDS], by_count[MOST_WORDS:]
    groups = [(word, rows[word]) for word in most]
    if rest:
        groups.append(("", np.sort(np.concatenate([rows[word] for word in rest]))))
    cure = f"Write one of {', '.join(column.choices)}, or say in a table words what it means"
    faults = []
    for word, here in groups:
        count = f"{len(here)} row{'s' if len(here) > 1 else ''}"
        wrong = f"no known {column.name} ({count}); read as {column.unknown_is}"
        remedy = did_you_mean(word, column.choices, cure)
        faults.append(Fault(here, "set aside", wrong, remedy, keeps=True))
    return faults


def _bare_key(text: str) -> str:
    """The key of a word without marks around it and without the thing it was done to."""
    return fold(_NOUNS.sub(" ", text.casefold()).strip(_AROUND))


def _on_choice(text: str, said: str, column: Column) -> tuple[Severity, str, str]:
    """What is told about a word that is none of the choices."""
    if said in column.choices:
        return "repaired", f"read as {said}", ""
    remedy = did_you_mean(text, column.choices, f"Write one of {', '.join(column.choices)}")
    if said:
        return "set aside", f"can mean {said}", remedy
    return "set aside", f"no known {column.name}", remedy
