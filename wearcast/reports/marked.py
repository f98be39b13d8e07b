"""A copy of the logbook with the cells in question coloured and explained.

The colours tell apart for every kind of eye, and the words say it again: each note begins with
what was done. A sheet in front lists every finding with a link to its first cell.
"""

from collections.abc import Iterable, Sequence
from contextlib import suppress
from copy import copy
from pathlib import Path

from openpyxl.cell.cell import Cell
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.styles.cell_style import StyleArray
from openpyxl.utils import get_column_letter
from openpyxl.workbook.workbook import Workbook
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from wearcast.errors import CannotWrite
from wearcast.logbook.schema.names import SEARCHED_ROWS, table_named
from wearcast.logbook.schema.spelling import heading_key
from wearcast.logbook.schema.tables import BY_NAME
from wearcast.logbook.sources.files import read_sheets
from wearcast.logbook.sources.sheet import Sheet, source_of
from wearcast.reports.workbook.sheets import sheet_names
from wearcast.reports.workbook_copy import (
    LAST_ROW,
    OURS,
    Placed,
    bytes_of,
    clean,
    own_copy,
    plain_copy,
    write_inert,
)
from wearcast.reports.writing.folder import put_file
from wearcast.told import Problem, row_words

FILLS = {"set aside": "F2B48C", "repaired": "BFE0F5", "note": "FBF6C0"}
"""Light tints of vermilion, sky blue and yellow (Okabe and Ito's palette, from memory)."""
_DONE = {"set aside": "Set aside", "repaired": "Repaired", "note": "Worth knowing"}
MOST_NOTES = 2_000
"""Cells that get a note; further ones are coloured only, and the list in front has them all."""
_WIDTHS = {
    "file": 34,
    "sheet": 12,
    "rows": 18,
    "column": 15,
    "value": 20,
    "done": 14,
    "what": 60,
    "what to do": 50,
}
_LINE, _MOST_LINES = 15, 10


def write_marked(logbooks: Sequence[str | Path], told: Iterable[Problem], copy: str | Path) -> None:
    """Write the marked copy; the logbook itself is never written to.

    Raises
    ------
    CannotWrite
        If the copy would stand over a logbook or another file that is not such a copy.
    """
    place = Path(copy)
    if place.suffix.lower() != ".xlsx":
        raise CannotWrite(f"{copy} must end in .xlsx: the marked copy is a workbook")
    if place.exists() and any(place.samefile(logbook) for logbook in logbooks):
        raise CannotWrite(f"{copy} is the logbook itself; choose another name for the copy")
    put_file(marked_copy(logbooks, told), place, lambda content: content.endswith(OURS))


def marked_copy(logbooks: Sequence[str | Path], told: Iterable[Problem]) -> bytes:
    """The marked copy as the bytes of an .xlsx workbook."""
    problems = list(told)
    sheets, _ = read_sheets(logbooks)
    own = own_copy(logbooks, sheets)
    if own is not None:
        _mark(own, [(sheet, sheet.name) for sheet in sheets], problems)
        # What the library could read it cannot always write; then the plain copy must do.
        with suppress(Exception):
            return bytes_of(own)
    plain, placed = plain_copy(_read_as_tables(sheets, problems))
    _mark(plain, placed, problems)
    return bytes_of(plain)


def _read_as_tables(sheets: Sequence[Sheet], problems: Sequence[Problem]) -> list[Sheet]:
    """The sheets that bear a table's name, and those that a mapping read as a table."""
    told = {problem.source for problem in problems if problem.table in BY_NAME}
    return [
        sheet
        for sheet in sheets
        if table_named(sheet.name)[0] is not None or _own_place(sheet) in told
    ]


def _own_place(sheet: Sheet) -> str:
    """How findings name a sheet that a mapping read."""
    return sheet.source if sheet.every_cell else f"{sheet.source}[{sheet.name}]"


def _mark(book: Workbook, placed: Placed, problems: Iterable[Problem]) -> None:
    """Colour and explain the cells of every finding, and list the findings in front."""
    findings: list[tuple[Problem, str]] = []
    notes_left = MOST_NOTES
    sheets = _by_finding(placed)
    for problem in problems:
        place = sheets.get((problem.source, problem.table)) or sheets.get((problem.source, ""))
        sheet, title = place or (None, "")
        cells = _cells_of(book[title], sheet, problem) if sheet is not None else []
        _colour(cells, problem)
        notes_left = _explain(cells, problem, notes_left)
        target = cells[0].coordinate if cells else "A1"
        findings.append((problem, _link(title, target) if title else ""))
    _list_findings(book, findings)


def _by_finding(placed: Placed) -> dict[tuple[str, str], tuple[Sheet, str]]:
    """The sheet that findings are about, with its title in the copy, by their source and table."""
    found: dict[tuple[str, str], tuple[Sheet, str]] = {}
    for sheet, title in placed:
        table, _ = table_named(sheet.name)
        found.setdefault((_own_place(sheet), ""), (sheet, title))
        for source in (source_of(sheet), sheet.source):
            for name in (sheet.name, table.name if table else sheet.name):
                found.setdefault((source, name), (sheet, title))
    return found


def _cells_of(page: Worksheet, sheet: Sheet, problem: Problem) -> list[Cell]:
    """The cells in question: those of the column, or the first of each row."""
    row_at = dict(zip(sheet.row_numbers, range(len(sheet.rows)), strict=True))
    column = _column_of(sheet, problem.column)
    cells = []
    for number in problem.rows:
        if number in row_at and number <= LAST_ROW:
            row = sheet.rows[row_at[number]]
            found = column or _place_of_value(row, problem.value) or _first_filled(row)
            cell = page.cell(number, found)
            if isinstance(cell, Cell):  # not the inside of a merged area
                cells.append(cell)
    return cells


def _column_of(sheet: Sheet, name: str) -> int:
    """Where a column stands in a sheet, by its own name, else by a synonym; 0 if nowhere."""
    table, _ = table_named(sheet.name)
    if not name:
        return 0
    columns = [column for column in table.columns if column.name == name] if table else []
    also = {heading_key(other) for column in columns for other in column.also}
    for wanted in ({heading_key(name)}, also):
        for row in sheet.rows[:SEARCHED_ROWS]:
            for place, cell in enumerate(row, 1):
                if isinstance(cell, str) and heading_key(cell) in wanted:
                    return place
    return 0


def _place_of_value(row: Sequence[object], value: str) -> int:
    return next((place for place, cell in enumerate(row, 1) if value and str(cell) == value), 0)


def _first_filled(row: Sequence[object]) -> int:
    return next((place for place, cell in enumerate(row, 1) if cell not in (None, "")), 1)


def _colour(cells: Iterable[Cell], problem: Problem) -> None:
    """Colour the cells, unless a graver finding has."""
    order = list(FILLS.values())
    colour = FILLS[problem.severity]
    coloured: dict[int, StyleArray] = {}  # by the style before: a style costs much to make
    for cell in cells:
        before = cell.style_id
        if before not in coloured:
            now = str(cell.fill.start_color.rgb)[-6:] if cell.fill.fill_type == "solid" else ""
            if now not in order or order.index(colour) < order.index(now):
                cell.fill = PatternFill("solid", start_color=colour)
            coloured[before] = cell._style  # type: ignore[attr-defined]
        cell._style = copy(coloured[before])  # type: ignore[attr-defined]


def _explain(cells: Iterable[Cell], problem: Problem, left: int) -> int:
    """Put a note on the cells while notes are left; how many are left then."""
    remedy = f" {problem.remedy}." if problem.remedy else ""
    words = clean(f"{_DONE[problem.severity]}: {problem.wrong}.{remedy}")
    for cell in cells:
        if not left:
            break
        before = f"{cell.comment.text}\n" if cell.comment else ""
        cell.comment = Comment(before + words, "wearcast", height=110, width=320)
        left -= 1
    return left


def _link(title: str, cell: str) -> str:
    return f"'{title.replace(chr(39), chr(39) * 2)}'!{cell}"


def _list_findings(book: Workbook, findings: Sequence[tuple[Problem, str]]) -> None:
    """A sheet in front: every finding in a row, its place a link."""
    title = sheet_names(["Findings"], book.sheetnames)["Findings"]
    page = book.create_sheet(title, 0)
    book.active = 0
    for other in book.worksheets[1:]:
        other.sheet_view.tabSelected = False
    for place, (heading, width) in enumerate(_WIDTHS.items(), 1):
        cell = page.cell(1, place, heading)
        cell.font = Font(name=cell.font.name, size=cell.font.size, bold=True, color="FFFFFF")
        cell.fill = PatternFill("solid", start_color="1B4965")
        page.column_dimensions[get_column_letter(place)].width = width
    for number, (problem, link) in enumerate(findings, 2):
        _write_finding(page, number, problem, link)
    page.freeze_panes = "A2"
    page.page_setup.orientation = "landscape"
    page.page_setup.fitToHeight = 0
    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    if not findings:
        page.cell(2, 1, "Nothing to report: every row was used as it stands.")


def _write_finding(page: Worksheet, number: int, problem: Problem, link: str) -> None:
    texts = (
        problem.source,
        problem.table,
        row_words(problem.rows) if problem.rows else "",
        problem.column,
        problem.value,
        _DONE[problem.severity].lower(),
        problem.wrong,
        problem.remedy,
    )
    for place, text in enumerate(texts, 1):
        cell = page.cell(number, place)
        write_inert(cell, text)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
    lines = max(
        len(text) // (width - 2) for text, width in zip(texts, _WIDTHS.values(), strict=True)
    )
    page.row_dimensions[number].height = _LINE * min(lines + 1, _MOST_LINES)
    page.cell(number, 6).fill = PatternFill("solid", start_color=FILLS[problem.severity])
    if link:
        cell = page.cell(number, 2)
        cell.hyperlink = Hyperlink(ref=cell.coordinate, location=clean(link))
        cell.font = Font(
            name=cell.font.name, size=cell.font.size, underline="single", color="1B4965"
        )
