"""The cells of a workbook, read as a stream: blank cells cost nothing, however far they reach.

Element names are those of ECMA-376 part 1, 18.3.
"""

import datetime
import zipfile
from pathlib import Path

from wearcast.errors import UnreadableFile
from wearcast.logbook.sources.formats import as_shown
from wearcast.logbook.sources.guard import listen, open_entry, open_zip
from wearcast.logbook.sources.merged import MOST_MERGED, fill_merged
from wearcast.logbook.sources.sheet import (
    COMMENTED,
    LETTERS,
    LONGEST_TEXT,
    MOST_COLUMNS,
    CellError,
    Sheet,
    column_of,
    cut_told,
    letters,
    note,
    shorten,
)
from wearcast.logbook.sources.xlsx_parts import Book, commented, plain, read_book, whole
from wearcast.told import Problem

MOST_CELLS = 4_000_000
MOST_FAR = 16_384
"""Cells beyond the last column kept, in one row: no spreadsheet program has more columns."""
FAR_ROWS = 1_000
"""A cell with so many blank rows above it is taken for a slip of the hand."""
STRUCK = 2.0
"""Weight of rows that are struck through: most were meant to be gone."""
NO_VALUE = CellError("formula without a value")


def read_workbook(path: Path, source: str) -> list[Sheet]:
    """Every sheet of an .xlsx or .xlsm workbook, in the workbook's order."""
    with open_zip(path, source) as archive:
        book = read_book(archive, source)
        return [_read_sheet(archive, source, book, *sheet) for sheet in book.sheets]


class _Cells:
    """Collects the filled rows of one sheet."""

    def __init__(self, source: str, book: Book) -> None:
        self.rows: list[list[object]] = []
        self.row_numbers: list[int] = []
        self.hidden_rows = 0
        self.far_right: list[str] = []
        self.cut: list[int] = []
        """Rows with a text that was cut."""
        self.struck: set[int] = set()
        """Rows with a cell that is struck through."""
        self.merged: list[str] = []
        """Areas of merged cells."""
        self.days = False
        """True if a number was shown as a day."""
        self._source, self._book = source, book
        self._row: list[object] = []
        self._number = self._column = self._cells = self._far = 0
        self._row_hidden = self._formula = self._open = self._aid = False
        self._cell: dict[str, str] = {}
        self._pieces: list[str] = []
        self._length = 0

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "c":
            if attributes.get("r", "")[:1] not in LETTERS:
                self._column = self._place() + 1
            self._cell, self._formula, self._pieces, self._length = attributes, False, [], 0
        elif name == "v" or (name == "t" and not self._aid):
            self._open = True
        elif name == "f":
            self._formula = True
        elif name == "rPh":
            self._aid = True
        elif name == "mergeCell" and len(self.merged) < MOST_MERGED:
            self.merged.append(attributes.get("ref", ""))
        elif name == "row":
            number = whole(attributes.get("r", ""))
            self._number = number if number > 0 else self._number + 1
            self._row_hidden = attributes.get("hidden") in ("1", "true")
            self._row, self._column, self._far, self._cell = [], 0, 0, {}

    def _place(self) -> int:
        """Column of the cell at hand: as it says itself, else as counted."""
        return column_of(self._cell.get("r", "")) or self._column

    def text(self, piece: str) -> None:
        if self._open and self._length <= LONGEST_TEXT:
            self._pieces.append(piece)
            self._length += len(piece)

    def end(self, name: str) -> None:
        if name == "c":
            if self._pieces or self._formula:
                self._keep(self._value())
        elif name == "row" and self._row:
            self._cells += len(self._row)
            if self._cells > MOST_CELLS:
                raise UnreadableFile(
                    f"{self._source}: more than {MOST_CELLS:,} cells; give one workbook a site."
                )
            self.rows.append(self._row)
            self.row_numbers.append(self._number)
            self.hidden_rows += self._row_hidden
        elif name == "rPh":
            self._aid = False
        self._open = False

    def _keep(self, value: object) -> None:
        column = self._place()
        if value == "" or not column:  # a cell outside any row has no place
            return
        if column > MOST_COLUMNS:
            if len(self.far_right) < 2:
                self.far_right.append(self._cell.get("r", f"row {self._number}")[:20])
            self._far += 1
            if self._far > MOST_FAR:
                raise UnreadableFile(
                    f"{self._source}: row {self._number} goes on for more than {MOST_FAR:,} cells,"
                    " which no spreadsheet's does; save it under a new name in your spreadsheet"
                    " program."
                )
            return
        if isinstance(value, str) and len(value) == LONGEST_TEXT:
            self.cut.append(self._number)
        if self._cell.get("s") in self._book.struck:
            self.struck.add(self._number)
        self._row.extend([None] * (column - len(self._row)))
        self._row[column - 1] = value

    def _value(self) -> object:
        text, kind = "".join(self._pieces), self._cell.get("t", "n")
        if kind == "s":
            place = whole(text)
            texts = self._book.texts
            return texts[place] if 0 <= place < len(texts) else CellError("text is missing")
        if self._formula and not text and kind != "str":
            return NO_VALUE
        if not text or kind in ("str", "inlineStr"):
            return plain(text)
        if kind == "e":
            return CellError(shorten(text))
        if kind == "b":
            return text in ("1", "true")
        return _moment(text) if kind == "d" else self._number_shown(text)

    def _number_shown(self, text: str) -> object:
        number = _number(text)
        style = whole(self._cell.get("s", "0"))
        meanings = self._book.meanings
        meaning = meanings[style] if 0 <= style < len(meanings) else "amount"
        if isinstance(number, str) or meaning == "amount":
            return number
        shown = as_shown(number, meaning, self._book.date1904)
        self.days |= isinstance(shown, datetime.datetime)
        return shown


def _number(text: str) -> int | float | str:
    """The number that a cell stores; what is none, or not finite, stays text."""
    try:
        number = float(text)
    except ValueError:
        return shorten(text)
    if "_" in text or not text.isascii() or not abs(number) < float("inf"):
        return shorten(text)
    return int(text) if text.lstrip("-").isdigit() and len(text) < 16 else number


def _moment(text: str) -> object:
    try:
        return datetime.datetime.fromisoformat(text.strip()).replace(tzinfo=None)
    except ValueError:
        return shorten(text)


def _read_sheet(
    archive: zipfile.ZipFile, source: str, book: Book, name: str, entry: str, hidden: bool
) -> Sheet:
    cells = _Cells(source, book)
    with open_entry(archive, entry, source) as stream:
        listen(stream, source, cells.start, cells.end, cells.text)
    told = [_far_right_told(source, name, cells.far_right)] if cells.far_right else []
    if cells.cut:
        told.append(cut_told(source, name, cells.cut))
    if cells.struck:
        wrong, remedy = "struck through, but read like the others", "Delete what does not count"
        struck = note(source, name, wrong, remedy, tuple(sorted(cells.struck)))
        told.append(struck._replace(weight=STRUCK))
    if cells.days and book.date1904 and not book.days_told:
        words = "this workbook counts its days from 1904, and its dates were read so"
        told.append(note(source, name, words)._replace(severity="repaired"))
        book.days_told = True
    rows, numbers = _in_order(cells.rows, cells.row_numbers)
    covered = fill_merged(rows, numbers, cells.merged)
    if covered:
        wrong = "the value of merged cells was taken for every row that they cover"
        told.append(note(source, name, wrong, rows=covered)._replace(severity="repaired"))
    head = next((n for row, n in zip(rows, numbers, strict=True) if len(row) > 1), 0)
    noted = tuple(sorted({row for row in commented(archive, source, entry) if row > head > 0}))
    if noted:
        remedy = "If they tell of work, write it in a column"
        told.append(note(source, name, COMMENTED, remedy, noted))
    kept = _before_the_far_cells(rows, numbers)
    if kept < len(rows):
        told.append(_far_down_told(source, name, rows[kept:], numbers[kept:]))
    return Sheet(
        source,
        name,
        rows[:kept],
        numbers[:kept],
        hidden,
        cells.hidden_rows,
        book.date1904,
        told=tuple(told),
    )


def _in_order(rows: list[list[object]], numbers: list[int]) -> tuple[list[list[object]], list[int]]:
    order = sorted(range(len(rows)), key=numbers.__getitem__)
    return [rows[place] for place in order], [numbers[place] for place in order]


def _before_the_far_cells(rows: list[list[object]], numbers: list[int]) -> int:
    """How many rows there are before a wide gap that only one or two stray cells follow."""
    for place in range(len(rows) - 1, max(0, len(rows) - 4), -1):
        filled = sum(cell is not None for cell in rows[place])
        if filled > 1:
            break
        if numbers[place] - numbers[place - 1] > FAR_ROWS:
            return place
    return len(rows)


def _far_down_told(source: str, name: str, rows: list[list[object]], numbers: list[int]) -> Problem:
    return note(
        source,
        name,
        f"a stray cell {letters(len(rows[0]))}{numbers[0]} far below the table was not read",
        "Clear it if it is a slip",
        tuple(numbers),
    )


def _far_right_told(source: str, name: str, references: list[str]) -> Problem:
    words = references[0] + (" and others" if len(references) > 1 else "")
    return note(
        source,
        name,
        f"a stray cell {words} far to the right of the table was not read",
        "Clear it if it is a slip",
    )
