"""One column of cells becomes texts, names, yes/no or choices; what was repaired is told.

Cells stay as the person wrote them until here. Words for "nothing" (``n/a``, ``-``, ``?``, an error
cell) count as blank. Numbers and dates have files of their own.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wearcast.logbook.sheet import CellError
from wearcast.logbook.spelling import fold, nearest, tidy
from wearcast.logbook.tables import Column
from wearcast.told import Severity

MISSING_WORDS = frozenset({"n/a", "na", "-", "--", "?", "none", "null", "nil"})
ERROR_WORDS = frozenset({"#n/a", "#ref!", "#value!", "#div/0!", "#name?", "#num!", "#null!"})
YES = frozenset({"yes", "y", "true", "1", "x"})
NO = frozenset({"no", "n", "false", "0"})


@dataclass(frozen=True, slots=True)
class Fault:
    """Something about some cells of a column."""

    places: np.ndarray
    """Places in the column, from 0."""
    severity: Severity
    wrong: str
    remedy: str = ""


def text_of(cell: object) -> str:
    """The cell as the person sees it."""
    if isinstance(cell, str):
        return cell
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    return str(cell).removesuffix(" 00:00:00")


def empty_cells(cells: Sequence[object]) -> np.ndarray:
    """Which cells hold nothing at all."""
    return np.array([cell is None or (type(cell) is str and not cell.strip()) for cell in cells])


def missing_cells(cells: Sequence[object]) -> np.ndarray:
    """Which cells hold a word or an error that says there is nothing."""
    return np.array([_says_missing(cell) for cell in cells])


def _says_missing(cell: object) -> bool:
    if isinstance(cell, CellError):
        return True
    if not isinstance(cell, str) or len(cell) > 12:
        return False
    word = cell.strip().lower()
    return word in MISSING_WORDS or word in ERROR_WORDS


def read_texts(cells: Sequence[object], blank: np.ndarray) -> np.ndarray:
    """The cells as texts or names, without blanks around; "" where blank."""
    known: dict[str, str] = {}
    values = np.full(len(cells), "", object)
    for at in np.flatnonzero(~blank).tolist():
        text = text_of(cells[at])
        if text not in known:
            known[text] = tidy(text)
        values[at] = known[text]
    return values


def read_yes_no(cells: Sequence[object], blank: np.ndarray) -> tuple[np.ndarray, list[Fault]]:
    """The cells as yes (True) or no; blank is no."""
    words = [fold(text) for text in read_texts(cells, blank)]
    yes = np.array([word in YES for word in words], bool)
    strange = np.array([bool(word) and word not in YES and word not in NO for word in words], bool)
    faults = []
    if strange.any():
        wrong, remedy = "neither yes nor no; read as no", "Write yes, or leave it blank"
        faults.append(Fault(np.flatnonzero(strange), "set aside", wrong, remedy))
    return yes, faults


def read_choices(
    cells: Sequence[object], blank: np.ndarray, column: Column
) -> tuple[np.ndarray, list[Fault]]:
    """The cells as one of the column's choices; "" where blank or unknown."""
    ours = {fold(choice): choice for choice in column.choices}
    also = {fold(word): choice for word, choice in column.words}
    texts = read_texts(cells, blank)
    values = np.full(len(cells), "", object)
    told: dict[tuple[Severity, str, str], list[int]] = {}
    for at in np.flatnonzero(~blank).tolist():
        key = fold(texts[at])
        values[at] = ours.get(key) or also.get(key) or column.unknown_is
        if key not in ours:
            told.setdefault(_on_choice(texts[at], key, also, column), []).append(at)
    return values, [Fault(np.array(places), *what) for what, places in told.items()]


def _on_choice(
    text: str, key: str, also: dict[str, str], column: Column
) -> tuple[Severity, str, str]:
    """What is told about a word that is none of the choices."""
    if key in also:
        return "repaired", f"read as {also[key]}", ""
    near = nearest(text, column.choices)
    remedy = f"Write one of {', '.join(column.choices)}"
    remedy += f"; did you mean {near[0]}?" if near else ""
    if column.unknown_is:
        return "repaired", f"no known {column.name}; read as {column.unknown_is}", remedy
    return "set aside", f"no known {column.name}", remedy
