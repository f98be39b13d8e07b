"""One sheet of a logbook: its cells as the person wrote them, before anybody judges them.

Whatever the file was, the rest of the room sees `Sheet` alone. Nothing is converted here: a
cell of a CSV is text, a cell of a workbook keeps the type that the workbook gave it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import PurePath
from string import ascii_letters

from wearcast.logbook.schema.names import table_named
from wearcast.told import Problem

LONGEST_TEXT = 1_000
"""Characters kept of one cell: no name is longer, and findings quote the cell."""
MOST_COLUMNS = 100
"""Columns kept of one row: the widest table has sixteen."""
COMMENTED = "comments in cells are not read"
"""What is told of them."""
LETTERS = frozenset(ascii_letters)
"""Of a column's name; no others have one capital each."""


@dataclass(frozen=True, slots=True)
class CellError:
    """A cell that shows an error, or a formula whose value was never stored."""

    text: str
    """As the spreadsheet shows it (``#N/A``), or why there is no value."""

    def __str__(self) -> str:
        """The cell as a finding quotes it."""
        return self.text


@dataclass(frozen=True, slots=True)
class Sheet:
    """The filled rows of one sheet, CSV file or database table."""

    source: str
    """File as the person gave it."""
    name: str
    """Sheet name, table name, or the file's name without its ending."""
    rows: Sequence[list[object]]
    """Cells as written: str, int, float, bool, datetime, date, None or `CellError`."""
    row_numbers: Sequence[int]
    """For each entry of ``rows``: its row as the spreadsheet shows it."""
    hidden: bool = False
    hidden_rows: int = 0
    """Filled rows that are hidden or filtered away; they are in ``rows`` all the same."""
    date1904: bool = False
    """True if day numbers in this sheet count from 1904."""
    every_cell: bool = False
    """True if empty cells were kept, so that a row's length says how many cells it has."""
    told: tuple[Problem, ...] = field(default=())
    """What was decided on the way in: encoding, delimiter, stray cells."""
    mapped: "Mapped | None" = None
    """How the person's mapping made this sheet, if it did."""


@dataclass(frozen=True, slots=True)
class Mapped:
    """What a sheet that was made through a mapping remembers of the original."""

    sheet: str
    """Its name in the file; the sheet itself is called like the table that it feeds."""
    headings: dict[str, str]
    """Column of ours -> the heading it came from."""
    aside: frozenset[int] = frozenset()
    """Places of rows, from the first below the headings, with a word that nobody decided."""
    skipped: tuple[int, ...] = ()
    """Numbers of rows that words leave out."""
    bare: tuple[int, ...] = ()
    """Numbers of rows that say nothing to this table."""
    run: bool = False
    """True if ``hours`` are hours run in the row's period, not a meter."""


def note(
    source: str, table: str, wrong: str, remedy: str = "", rows: tuple[int, ...] = ()
) -> Problem:
    """A finding about a file as a whole that leaves its rows as they are."""
    return Problem(source, table, rows, "", "", "note", wrong, remedy)


def shown(name: object) -> str:
    """A file's name as it can be printed anywhere."""
    return "".join(letter if letter.isprintable() else "?" for letter in str(name))


def shorten(text: str) -> str:
    """The text, cut where no name goes on."""
    return text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT - 1] + "…"


def cut_told(source: str, table: str, rows: Iterable[int]) -> Problem:
    """The finding on texts that `shorten` cut."""
    wrong = f"a cell of {LONGEST_TEXT:,} or more characters was cut there"
    return note(source, table, wrong, "Shorten it", tuple(rows))


def letters(column: int) -> str:
    """A column as the spreadsheet names it: 1 is A, 28 is AB."""
    name = ""
    while column:
        column, rest = divmod(column - 1, 26)
        name = chr(65 + rest) + name
    return name


def column_of(reference: str) -> int:
    """Column number of ``B7`` (2); 0 if it says none."""
    number = 0
    for letter in reference[:8]:
        if letter not in LETTERS:
            break
        number = number * 26 + ord(letter.upper()) - 64
    return number


def source_of(sheet: Sheet) -> str:
    """The sheet's file; in a workbook also its name, where that is not the table's own."""
    table, exact = table_named(sheet.name)
    name = sheet.mapped.sheet if sheet.mapped else sheet.name
    own = exact and name == sheet.name
    return sheet.source if own or table is None or sheet.every_cell else f"{sheet.source}[{name}]"


def workbook_of(sheet: Sheet) -> str:
    """What a sheet's dates are settled with: its workbook, or its folder of text files."""
    return str(PurePath(sheet.source).parent) if sheet.every_cell else sheet.source
