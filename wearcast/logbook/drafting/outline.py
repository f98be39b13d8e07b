"""A sheet of unknown shape: where its headings stand and what kind of cells each column holds."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wearcast.logbook.drafting.phrases import action_named, heading_words, meanings
from wearcast.logbook.reshape.periods import is_period as names_period
from wearcast.logbook.schema.spelling import heading_key
from wearcast.logbook.schema.tables import BY_NAME
from wearcast.logbook.schema.trade_words import BOUGHT, HEADINGS
from wearcast.logbook.schema.vocabulary import TOTALS
from wearcast.logbook.sheets.cells import cells_of
from wearcast.logbook.sheets.dates import read_date
from wearcast.logbook.sheets.numbers import looks_like_number, read_numbers
from wearcast.logbook.sources.cell_texts import is_empty, says_ditto, says_missing, text_of
from wearcast.logbook.sources.sheet import Sheet

Kind = Literal["date", "number", "text", "blank"]

SEARCHED = 30
"""Rows that are looked at for headings."""
MOSTLY = 0.8
FEWEST_PERIODS = 3
"""Days, weeks or months beside each other that make a row of headings."""
_LONG = re.compile(r"(?:[0-9]{3,}|[3-9][0-9]):[0-5][0-9]")
"""Hours and minutes of a meter: no time of day."""
HEADS = frozenset().union(*HEADINGS.values(), BOUGHT)


@dataclass(frozen=True, slots=True, eq=False)
class Lane:
    """One column of a sheet under its heading."""

    heading: str
    """As the mapping names it; headings in two rows are joined by a blank."""
    label: object
    """The heading's cell."""
    kind: Kind
    cells: tuple[object, ...]
    """One a row of the body; None where blank."""
    place: int = 0
    """Number of the column, from 0."""
    dittos: bool = False
    """Whether marks stand in it for the cell above."""

    @property
    def filled(self) -> list[object]:
        """The cells that hold something."""
        return [cell for cell in self.cells if cell is not None]


@dataclass(frozen=True, slots=True)
class Outline:
    """The columns of a sheet, and the rows they run through."""

    sheet: Sheet
    lanes: tuple[Lane, ...]
    rows: tuple[int, ...]
    """Numbers of the rows, as the spreadsheet shows them."""
    titles: tuple[str, ...]
    """Texts above the headings."""
    beside: tuple[str, ...] = ()
    """Headings of another table beside this one."""


def is_period(cell: object) -> bool:
    """Whether a cell names a day, a week or a month, with its year or without."""
    if cell is None or isinstance(cell, bool) or looks_like_number(cell):
        return False
    if names_period(cell):
        return True
    dated = read_date(cell)
    return not dated.wrong and not dated.serial


def outline(sheet: Sheet) -> Outline | None:
    """The sheet's columns; None where no row looks like headings with rows below."""
    rows = sheet.rows
    if len(rows) < 2:
        return None
    at = max(range(min(len(rows) - 1, SEARCHED)), key=lambda place: (_score(rows, place), -place))
    if _score(rows, at) <= 0:
        return None
    last, texts = _headings(rows, at)
    texts = _told_apart(texts)
    again = [text_of(cell) for cell in rows[last]]
    body = [
        (row, number)
        for row, number in zip(rows[last + 1 :], sheet.row_numbers[last + 1 :], strict=True)
        if not _is_total(row) and [text_of(cell) for cell in row] != again
    ]
    width = max((len(row) for row, _ in body), default=0)
    lanes = [
        _lane(texts[place], rows[last][place] if place < len(rows[last]) else None, body, place)
        for place in range(min(width, len(texts)))
        if texts[place]
    ]
    titles = tuple(cell for row in rows[:last] for cell in row if isinstance(cell, str))
    numbers = tuple(number for _, number in body)
    return Outline(sheet, tuple(lanes), numbers, titles) if lanes else None


def empty(cell: object) -> bool:
    """Whether a cell says nothing."""
    return cell is None or is_empty(cell) or says_missing(cell)


def _lane(heading: str, label: object, body: Sequence[tuple[list[object], int]], at: int) -> Lane:
    cells = tuple(None if at >= len(row) or empty(row[at]) else row[at] for row, _ in body)
    kind = _kind([cell for cell in cells if cell is not None])
    dittos = any(says_ditto(row[at]) for row, _ in body if at < len(row))
    return Lane(heading, label, kind, cells, at, dittos)


def _kind(cells: Sequence[object]) -> Kind:
    """What most of the cells hold."""
    if not cells:
        return "blank"
    different = Counter(cells)
    if sum(count for cell, count in different.items() if _is_number(cell)) >= MOSTLY * len(cells):
        return "number"
    dated = sum(count for cell, count in different.items() if is_period(cell))
    return "date" if dated >= MOSTLY * len(cells) else "text"


def numbers_of(cells: Sequence[object]) -> NDArray[np.float64]:
    """What each cell counts, array (cells,); nan where it is no number."""
    values, _ = read_numbers(cells_of(list(cells)), BY_NAME["readings"].column("hours"))
    return np.asarray(values, float)


def numbers_in(cells: Sequence[object]) -> NDArray[np.float64]:
    """What the cells count, array (numbers,), without those that are no number."""
    values = numbers_of(cells)
    return values[np.isfinite(values)]


def _is_number(cell: object) -> bool:
    """Whether a cell is a number; one with a unit or with blanks between thousands is one too."""
    if looks_like_number(cell):
        return True
    clock = isinstance(cell, str) and ":" in cell and not _LONG.match(cell)
    digits = isinstance(cell, str) and cell[:1].isdigit() and not clock
    return digits and len(numbers_in([cell])) > 0


def _is_total(row: Sequence[object]) -> bool:
    """Whether a row sums up what stands above it."""
    first = next((cell for cell in row if not empty(cell)), None)
    words = heading_words(first).split() if isinstance(first, str) else []
    return bool(words) and words[0] in TOTALS


def _score(rows: Sequence[Sequence[object]], at: int) -> float:
    """How much a row looks like headings."""
    row = rows[at]
    words = {heading_words(cell) for cell in row if isinstance(cell, str)}
    known = sum(word in HEADS for word in words)
    places = sum(_is_place(cell) for cell in row)
    over = [place for place in range(len(row)) if _over_days(rows, at, place)]
    periods = sum(is_period(cell) for place, cell in enumerate(row) if place not in over)
    known += sum(bool(action_named(_text(row[place]))) for place in over)
    score = known + (places if places > 1 else 0)
    score += periods if periods >= FEWEST_PERIODS else 0
    return score + (0.5 if score or len(words) > 1 else 0) * _heads_dates(rows, at)


def _heads_dates(rows: Sequence[Sequence[object]], at: int) -> bool:
    """Whether a column of days, weeks or months begins right below this row, and not in it."""
    below = rows[at + 1 : at + 6]
    for place, cell in enumerate(rows[at]):
        cells = [row[place] for row in below if place < len(row)]
        if (
            cell is not None
            and not is_period(cell)
            and len(cells) > 1
            and all(map(is_period, cells))
        ):
            return True
    return False


def _over_days(rows: Sequence[Sequence[object]], at: int, place: int) -> bool:
    """Whether days stand below a cell, so that it is no day at the head of a grid."""
    return any(is_period(row[place]) for row in rows[at + 1 : at + 6] if place < len(row))


def _is_place(cell: object) -> bool:
    """Whether a heading names a position on a machine."""
    if not isinstance(cell, str):
        return False
    told = meanings(cell)
    return told is not None and all(each.position and not any(each[1:]) for each in told)


def _headings(rows: Sequence[Sequence[object]], at: int) -> tuple[int, list[str]]:
    """The last row of the headings, and their texts."""
    single = [_text(cell) for cell in rows[at]]
    if at + 2 < len(rows) and _goes_on(rows[at], rows[at + 1]):
        return at + 1, _joined(rows[at], rows[at + 1])
    if at > 0 and _is_above(rows[at - 1], rows[at]):
        return at, _joined(rows[at - 1], rows[at])
    return at, single


def _goes_on(upper: Sequence[object], lower: Sequence[object]) -> bool:
    """Whether the row below headings is the second half of them."""
    named = [place for place, cell in enumerate(upper) if heading_words(_text(cell)) in HEADS]
    held = [place for place in named if place < len(lower) and not empty(lower[place])]
    filled = [place for place, cell in enumerate(lower) if not empty(cell)]
    same = [place for place in held if lower[place] == upper[place]]
    return bool(named) and same == held and len(filled) - len(held) > 1


def _is_above(upper: Sequence[object], lower: Sequence[object]) -> bool:
    """Whether the row above headings names groups of them, without which they say too little."""
    groups = [cell for cell in upper if not empty(cell)]
    alone, together = list(map(_text, lower)), _joined(upper, lower)
    more = _known(together) > _known(alone)
    places = sum(map(_is_place, together)) > max(sum(map(_is_place, alone)), 1)
    return len(groups) > 1 and (more or places)


def _known(texts: Sequence[str]) -> int:
    return sum(heading_words(text) in HEADS for text in texts)


def _joined(upper: Sequence[object], lower: Sequence[object]) -> list[str]:
    """Two rows of headings as one; a group's name goes on to the right over filled cells."""
    width = max(len(upper), len(lower))
    texts, group = [], ""
    for place in range(width):
        above = _text(upper[place]) if place < len(upper) else ""
        below = _text(lower[place]) if place < len(lower) else ""
        group = above or (group if below else "")
        texts.append(above if above == below else f"{group} {below}".strip())
    return texts


def _told_apart(texts: Sequence[str]) -> list[str]:
    """The headings; one that stands twice is ``Date #2`` the second time."""
    seen: Counter[str] = Counter()
    named = []
    for text in texts:
        seen[heading_key(text)] += 1
        again = seen[heading_key(text)]
        named.append(f"{text} #{again}" if text and again > 1 else text)
    return named


def _text(cell: object) -> str:
    return "" if cell is None else " ".join(text_of(cell).split())
